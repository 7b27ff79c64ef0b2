package page_test

import (
	"strings"
	"testing"

	"osier/api/page"
	"osier/model"
)

// days are what the embed says of the fixture's two waters on some days.
var days = []struct{ at, pit, mere string }{
	{
		"2026-11-28T10:00:00Z", "not closed; at most 500 g of dry feed a day 09:00 to 15:00: too warm; water 6.1 °C, modelled: 5.2 to 7.0",
		"closed all day: low oxygen; water 6.1 °C, modelled: 5.2 to 7.0",
	},
	{
		"2026-10-24T06:00:00Z", "closed from 08:00: low oxygen; water temperature not told: no outlook is published for today",
		"closed all day: low oxygen; water temperature not told: no outlook is published for today",
	},
	{
		"2026-10-24T23:30:00Z", "closed all day: low oxygen; water temperature not told: no outlook is published for today",
		"closed all day: low oxygen; water temperature not told: no outlook is published for today",
	},
	{
		"2026-10-26T20:00:00Z", "closed until 08:00: low oxygen; water temperature not told: no outlook is published for today",
		"closed all day: low oxygen; water temperature not told: no outlook is published for today",
	},
	{ // no keepnets until they were lifted at 10:00
		"2026-11-22T09:00:00Z", "not closed; water temperature not told: no outlook is published for today",
		"closed all day: low oxygen; no keepnets until 10:00: rest; water temperature not told: no outlook is published for today",
	},
}

// plainly is the fixture with words that a table of a test can hold.
func plainly() page.ClubWord {
	w := told()
	w.Club.Name, w.Waters[0].Name = "Quill Club", "Quillmarsh Pit"
	for i, why := range []string{"low oxygen", "rest", "low oxygen", "too warm"} {
		w.Restrictions[i].Reason = why
	}
	return w
}

func TestTheEmbedSaysWhatHoldsOnTheDay(t *testing.T) {
	for _, tc := range days {
		body, err := page.Embed(plainly(), utc(tc.at))
		if err != nil {
			t.Fatal(err)
		}
		var said []string
		for _, e := range elements(t, body) {
			if e.name == "h2" || e.name == "p" {
				said = append(said, e.text)
			}
		}
		got := strings.Join(said, "; ")
		want := "Quillmarsh Pit; " + tc.pit + "; Drovelow Mere; " + tc.mere + "; Outlooks and restrictions"
		if !strings.HasSuffix(got, want) {
			t.Errorf("%s:\n got %s\nwant %s", tc.at, got, want)
		}
		picture, err := page.EmbedSVG(plainly(), utc(tc.at))
		if err != nil {
			t.Fatal(err)
		}
		desc := named(elements(t, picture), "desc")
		if want := "Quillmarsh Pit: " + tc.pit + ". Drovelow Mere: " + tc.mere + ". " + model.Deferral; len(desc) != 1 || desc[0].text != want {
			t.Errorf("%s: the description is\n%s\nwant\n%s", tc.at, desc[0].text, want)
		}
	}
}

// The day on which the clocks go back has 25 hours, and the last of them counts.
func TestTheEmbedKnowsTheLongDay(t *testing.T) {
	word := plainly()
	word.Restrictions = word.Restrictions[:1]
	word.Restrictions[0].From = utc("2026-10-25T23:30:00Z")
	body, err := page.Embed(word, utc("2026-10-25T12:00:00Z"))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(body), "<p>closed from 23:30: low oxygen</p>") {
		t.Errorf("a closure in its last hour is not told:\n%s", body)
	}
}

func TestTheEmbedTakesNothingFromAnywhere(t *testing.T) {
	for name, render := range map[string]func() ([]byte, error){
		"page":    func() ([]byte, error) { return page.Embed(told(), utc("2026-11-28T10:00:00Z")) },
		"picture": func() ([]byte, error) { return page.EmbedSVG(told(), utc("2026-11-28T10:00:00Z")) },
	} {
		body, err := render()
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range elements(t, body) {
			for attr, v := range e.attr {
				if attr == "src" || strings.HasPrefix(attr, "on") || attr == "style" || attr == "href" && v != "https://club.example/clubs/quill-club" {
					t.Errorf("%s: %s has %s=%q", name, e.name, attr, v)
				}
			}
			if e.name == "script" || e.name == "link" || e.name == "img" || e.name == "image" || e.name == "use" {
				t.Errorf("%s has a %s", name, e.name)
			}
		}
		for _, rated := range []string{"bites", "stands out", "prime", "best", "out of"} {
			if strings.Contains(string(body), rated) {
				t.Errorf("%s says %q", name, rated)
			}
		}
	}
	if policy := page.EmbedPolicy(); !strings.Contains(policy, "default-src 'none'") || !strings.Contains(policy, "frame-ancestors *") || strings.Contains(policy, "script-src") {
		t.Errorf("the policy is %s", policy)
	}
}

func TestThePictureHoldsItsWords(t *testing.T) {
	word := told()
	word.Waters[0].Name = strings.Repeat("W", 120)
	body, err := page.EmbedSVG(word, utc("2026-11-28T10:00:00Z"))
	if err != nil {
		t.Fatal(err)
	}
	all := elements(t, body)
	root := all[0]
	if root.name != "svg" || root.attr["role"] != "img" || root.attr["aria-labelledby"] != "t d" || len(named(all, "title")) != 1 {
		t.Errorf("the picture has no name for those who cannot see it: %v", root.attr)
	}
	for _, e := range named(all, "text") {
		if n := len([]rune(e.text)); n == 0 || n > 44 {
			t.Errorf("a line of %d characters: %q", n, e.text)
		}
	}
}

func TestTheEmbedOfTheDemoSaysSo(t *testing.T) {
	word := told()
	word.Club.Demo = true
	for _, render := range []func(page.ClubWord) ([]byte, error){
		func(w page.ClubWord) ([]byte, error) { return page.Embed(w, utc("2026-11-28T10:00:00Z")) },
		func(w page.ClubWord) ([]byte, error) { return page.EmbedSVG(w, utc("2026-11-28T10:00:00Z")) },
	} {
		if body, err := render(word); err != nil || !strings.Contains(string(body), "Invented: ") || !strings.Contains(string(body), "Everything here is invented.") {
			t.Errorf("it does not say that it is invented (%v):\n%s", err, body)
		}
	}
}
