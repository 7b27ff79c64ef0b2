package page_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"osier/api/page"
	"osier/model"
)

// clubNow is a Saturday morning.
var clubNow = time.Date(2026, 11, 28, 7, 30, 0, 0, time.UTC)

func clubOf(name string) model.Club {
	return model.Club{ID: "hobbin-row", Name: name, Zone: "Europe/London", Waters: []string{"pit", "mere"}, About: "Three waters."}
}

func clubWaters() []model.Water {
	return []model.Water{{ID: "pit", Name: "The Pit", Zone: "Europe/London"}, {ID: "mere", Name: "The Mere", Zone: "Europe/London"}}
}

func rates(mean, low, high float64) model.RateRange {
	return model.RateRange{Mean: mean, Median: 0.75 * mean, Low50: (low + mean) / 2, High50: (mean + high) / 2, Low90: low, High90: high}
}

// outlookDay is an open day with two groups, of the first of which an hour
// stands out.
func outlookDay(date string) model.OutlookDay {
	from, err := time.Parse(time.RFC3339, date+"T08:00:00Z")
	if err != nil {
		panic(err)
	}
	until := from.Add(8 * time.Hour)
	hours := make([]model.HourRate, 3)
	for i := range hours {
		r := rates(1, 0.5, 2.5+float64(i))
		hours[i] = model.HourRate{At: from.Add(time.Duration(i) * time.Hour), BitesPerH: &r}
	}
	hours[1] = model.HourRate{At: hours[1].At, Struck: true}
	return model.OutlookDay{
		Date: date, From: from, Until: until, Paragraph: "From 08:00 to 16:00: air 3 to 8 C.",
		Conditions: model.OutlookConditions{
			AirLowC: model.Known(model.Celsius(3)), AirHighC: model.Known(model.Celsius(8)), FeelsLikeLowC: model.Known(model.Celsius(-1)),
			WindMps: model.Known(model.MetresPerSecond(5)), GustMps: model.Known(model.MetresPerSecond(9)),
			PressureHPa: model.Known(model.Hectopascals(1011)), PressureText: "falling slowly", PressureChange: model.Known(model.Hectopascals(-1.4)),
			WaterC: model.WaterEstimate{Value: 6.1, Low: 5.2, High: 7, Kind: model.Modelled}, MissingHours: 1,
		},
		Groups: []model.OutlookGroup{
			{
				Group: model.Silver, From: from.Add(time.Hour), Hours: 5, Level: "Lean", RateGH: 240, FeederType: "open_end", FeederStep: "small", CapacityMl: 30, WeightG: model.Known(model.Grams(25)),
				Activity:      &model.OutlookActivity{BitesPerH: rates(2, 0.5, 6), BlankProbability: 0.15},
				HoursCompared: hours, HoursText: "the hour from 10:00 is expected to be better than a middling one: about 30 % more bites", Evidence: "Sessions behind it: 20-49.",
			},
			{
				Group: model.Bream, From: from.Add(time.Hour), Hours: 5, Level: "Even", RateGH: 400, FeederType: "open_end", FeederStep: "medium", CapacityMl: 45,
				Activity:      &model.OutlookActivity{BitesPerH: rates(0, 0, 1.5), BlankProbability: 0.6},
				HoursCompared: hours, HoursText: "no hour stands out", Evidence: "No records.",
			},
		},
		Cautions: []model.Caution{
			{ID: "note", Level: model.Note, Text: "Keep fish wet."},
			{ID: "fish_cold", Level: model.Care, From: from.Add(-time.Hour), Until: from.Add(2 * time.Hour), Text: "Handle fish quickly."},
			{ID: "ice", Level: model.Stop, From: from, Until: from.Add(time.Hour), Text: "No ice fishing."},
			{ID: "thunder", Level: model.NotChecked, Text: "Thunder was not checked: no forecast."},
		},
		Confidence: model.Confidence{Level: "lowered", Because: []string{"the forecast is 30 hours old", "one hour is missing"}},
	}
}

func publishedOutlook() model.Outlook {
	closed := model.Restriction{
		ID: "r-1", Club: "hobbin-row", Water: "mere", Kind: model.WaterClosed, From: clubNow.Add(-24 * time.Hour), Reason: "ice on the platforms", DecidedBy: "water-officer", MadeAt: clubNow.Add(-25 * time.Hour),
	}
	shut := outlookDay("2026-11-28")
	shut.Closed, shut.Struck, shut.Groups, shut.Paragraph = true, true, []model.OutlookGroup{}, "The club has closed the water."
	return model.Outlook{
		ID: "o-2", Club: "hobbin-row", ClubName: "Hobbin Row Angling Circle", Zone: "Europe/London", State: model.OutlookPublished, From: "2026-11-28", Days: 2,
		BuiltAt: clubNow.Add(-13 * time.Hour), Fit: "fit-abc", Note: "Wrap up warm.", Follows: "o-1", Publish: &model.OutlookPublish{At: clubNow.Add(-12 * time.Hour), By: "match-secretary"},
		Waters: []model.OutlookWater{
			{Water: "pit", Name: "The Pit", Zone: "Europe/London", Note: "The gate sticks.", Days: []model.OutlookDay{outlookDay("2026-11-28"), outlookDay("2026-11-29")}},
			{Water: "mere", Name: "The Mere", Zone: "Europe/London", Restrictions: []model.Restriction{closed}, Days: []model.OutlookDay{shut}},
		},
		Notes: []string{"Rates are rounded to half a bite."}, Credits: []string{"Weather: invented."},
	}
}

// sound checks what every page must be, and gives its elements.
func sound(t *testing.T, body []byte, err error) []*element {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	all := elements(t, body)
	ids := map[string]*element{}
	for _, e := range all {
		if id := e.attr["id"]; id != "" {
			if ids[id] != nil {
				t.Errorf("two elements have the id %s", id)
			}
			ids[id] = e
		}
		if e.name == "script" || e.name == "style" || e.name == "img" {
			t.Errorf("there is a <%s>", e.name)
		}
		for name := range e.attr {
			if strings.HasPrefix(name, "on") || name == "style" {
				t.Errorf("<%s %s> is a script or a style", e.name, name)
			}
		}
	}
	if len(named(all, "h1")) != 1 || len(named(all, "main")) != 1 {
		t.Error("one h1 and one main are wanted")
	}
	for _, e := range all {
		for _, names := range []string{"aria-labelledby", "aria-describedby", "for"} {
			for _, id := range strings.Fields(e.attr[names]) {
				if ids[id] == nil {
					t.Errorf("<%s %s=%q> names nothing", e.name, names, id)
				}
			}
		}
		if to, inPage := strings.CutPrefix(e.attr["href"], "#"); inPage && ids[to] == nil {
			t.Errorf("a link goes to #%s, which is not there", to)
		}
		if e.name == "svg" && (len(strings.Fields(e.attr["aria-labelledby"])) != 2 || e.attr["role"] != "img") {
			t.Errorf("a picture has no title and text: %v", e.attr)
		}
		if e.attr["type"] != "hidden" && (e.name == "input" || e.name == "select" || e.name == "textarea") && !labelled(all, e.attr["id"]) {
			t.Errorf("field %q has no label", e.attr["name"])
		}
		if e.name == "th" && e.attr["scope"] == "" {
			t.Errorf("heading %q heads nothing", e.text)
		}
	}
	return all
}

func labelled(all []*element, id string) bool {
	for _, e := range named(all, "label") {
		if e.attr["for"] == id && id != "" {
			return true
		}
	}
	return false
}

// says gives a page's text in one line.
func says(all []*element) string { return strings.Join(strings.Fields(all[0].text), " ") }

// holds checks that texts stand in a page, in this order.
func holds(t *testing.T, all []*element, texts ...string) {
	t.Helper()
	whole := says(all)
	for _, text := range texts {
		i := strings.Index(whole, text)
		if i < 0 {
			t.Fatalf("%q does not stand there, or not after what should come before it, in: %s", text, whole)
		}
		whole = whole[i+len(text):]
	}
}

func lacks(t *testing.T, all []*element, texts ...string) {
	t.Helper()
	for _, text := range texts {
		if strings.Contains(says(all), text) {
			t.Errorf("%q stands there: %s", text, says(all))
		}
	}
}

func clubPage() page.ClubPage {
	o := publishedOutlook()
	return page.ClubPage{
		Club: clubOf("Hobbin Row Angling Circle"), Waters: clubWaters(), Published: []model.Outlook{o},
		Restrictions: []model.Restriction{o.Waters[1].Restrictions[0], {
			ID: "r-2", Club: "hobbin-row", Water: "pit", Kind: model.FeedLimit, FeedLimitDryG: model.Known(model.Grams(500)), From: clubNow.Add(48 * time.Hour), Until: model.Known(clubNow.Add(96 * time.Hour)),
			Reason: "stocking", DecidedBy: "committee", MadeAt: clubNow.Add(-time.Hour),
		}},
		Scores: []model.OutlookScore{{Club: "hobbin-row", Water: "pit", Date: "2026-10", Sessions: "20-49", Expected: model.Known(1.5), Observed: model.Known(2.0), Inside90: model.Known(0.9)}},
	}
}

func TestTheClubPageTellsEachWaterToday(t *testing.T) {
	body, err := page.Club(clubPage(), clubNow, "")
	all := sound(t, body, err)
	holds(
		t, all, "Hobbin Row Angling Circle", "The Pit", "Feed limit: 500 g dry a day (to come): stocking", "from Mon 30 Nov 2026, 07:30 until Wed 2 Dec 2026, 07:30; decided by committee on Sat 28 Nov 2026, 06:30.",
		"Today. Expected: silver fish 2.0 bites an hour (nine in ten sessions 0.5 to 6.0); bream under 0.5 bites an hour (nine in ten sessions 0.0 to 1.5); 2 cautions to read first.",
		"The Mere", "Closed: ice on the platforms", "until it is lifted; decided by water-officer", "Closed today: no outlook holds while it is.",
		"Saturday 28 to Sunday 29 November 2026", "published Fri 27 Nov 2026, 19:30 by match-secretary",
	)
	lacks(t, all, "INVENTED")
	if rows := strings.Join(tableRows(all), "\n"); !strings.Contains(rows, "October 2026|The Pit|20-49|1.5|2.0|90 in 100|") {
		t.Errorf("the months are\n%s", rows)
	}
	var heads int
	for _, l := range named(all, "link") {
		if l.attr["rel"] == "alternate" {
			heads++
		}
	}
	if heads != 3 {
		t.Errorf("%d feeds can be discovered, want 3", heads)
	}
}

func TestTheClubPageWithoutAnything(t *testing.T) {
	c := clubPage()
	c.Published, c.Restrictions, c.Scores, c.Demo = nil, nil, nil, true
	body, err := page.Club(c, clubNow, "")
	all := sound(t, body, err)
	holds(t, all, "INVENTED", "The Pit", "No restriction is in force or to come.", "No outlook is published for today.", "None is published for these days.")
	c.Waters = nil
	body, err = page.Club(c, clubNow, "")
	holds(t, sound(t, body, err), "No water is registered with this club yet.")
}

// What is decided after publication outranks what was published.
func TestAClosureSincePublishedIsToldOnTheClubPage(t *testing.T) {
	c := clubPage()
	c.Restrictions = append(c.Restrictions, model.Restriction{ID: "r-9", Club: "hobbin-row", Water: "pit", Kind: model.WaterClosed, From: clubNow.Add(-time.Minute), Reason: "fish in distress", DecidedBy: "bailiff", MadeAt: clubNow.Add(-time.Minute)})
	body, err := page.Club(c, clubNow, "")
	all := sound(t, body, err)
	holds(t, all, "The Pit", "Closed: fish in distress", "Closed today: no outlook holds while it is.")
	lacks(t, all, "Today. Expected")
}

// hostileEverywhere puts a text that would break a page into each text of a
// value, but for what names times, days and identifiers.
func hostileEverywhere[T any](t *testing.T, v T, texts ...string) T {
	t.Helper()
	whole, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	said := string(whole)
	bad, err := json.Marshal(hostile)
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range texts {
		quoted, err := json.Marshal(text)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(said, string(quoted)) {
			t.Fatalf("there is no text %q to replace", text)
		}
		said = strings.ReplaceAll(said, string(quoted), string(bad))
	}
	var out T
	if err := json.Unmarshal([]byte(said), &out); err != nil {
		t.Fatal(err)
	}
	return out
}

func TestWhatClubsWriteStaysText(t *testing.T) {
	o := hostileEverywhere(t, publishedOutlook(), "Hobbin Row Angling Circle", "Wrap up warm.", "The gate sticks.", "The Pit", "ice on the platforms", "water-officer", "match-secretary", "From 08:00 to 16:00: air 3 to 8 C.", "Handle fish quickly.", "falling slowly", "Weather: invented.")
	body, err := page.Outlook(o, clubNow, "")
	if n := strings.Count(sound(t, body, err)[0].text, hostile); n < 20 {
		t.Errorf("the texts of the outlook are shown %d times", n)
	}
	c := clubPage()
	c.Club.Name, c.Club.About = hostile, hostile
	c.Waters[0].Name = hostile
	c.Published = []model.Outlook{o}
	c.Restrictions[0].Reason = hostile
	body, err = page.Club(c, clubNow, "")
	if n := strings.Count(sound(t, body, err)[0].text, hostile); n < 5 {
		t.Errorf("the texts of the club are shown %d times", n)
	}
	office := officePage()
	office.Drafts[0] = hostileEverywhere(t, office.Drafts[0], "Wrap up warm.", "The gate sticks.", "The Pit", "Handle fish quickly.")
	office.Refused = &page.RefusedForm{Of: page.OfficeRestrict, Values: map[string]string{"reason": hostile, "water": hostile}, Field: "reason", Text: hostile}
	office.Done, office.By = hostile, hostile
	body, err = page.Office(office)
	sound(t, body, err)
}
