package page_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"osier/api/page"
	"osier/model"
)

// tableRows are the rows of a page's tables, cells parted by a bar.
func tableRows(all []*element) []string {
	var rows []string
	for _, e := range all {
		switch e.name {
		case "tr":
			rows = append(rows, "")
		case "th", "td":
			if n := len(rows); n > 0 {
				rows[n-1] += strings.Join(strings.Fields(e.text), " ") + "|"
			}
		}
	}
	return rows
}

func TestAnOutlookIsAParagraphAndATableADay(t *testing.T) {
	body, err := page.Outlook(publishedOutlook(), clubNow, "")
	all := sound(t, body, err)
	holds(
		t, all, "Hobbin Row Angling Circle: outlook", "Saturday 28 to Sunday 29 November 2026", "Published Fri 27 Nov 2026, 19:30 by match-secretary; built Fri 27 Nov 2026, 18:30 on the fit fit-abc. It is kept as it was published.",
		"It supersedes an earlier one.", "Wrap up warm.", "The Pit", "The gate sticks.", "Saturday 28 November 2026",
		"stop, 08:00 to 09:00: No ice fishing.", "care, 08:00 to 10:00: Handle fish quickly.", "Confidence is lowered: the forecast is 30 hours old; one hour is missing.", "From 08:00 to 16:00: air 3 to 8 C.",
		"The Pit, Saturday 28 November 2026, 08:00 to 16:00", "For silver fish: a session from 09:00 to 14:00. Sessions behind it: 20-49.", "2 not checked or worth knowing", "Thunder was not checked: no forecast.",
		"The Mere", "Closed: ice on the platforms", "The club has closed the water.", "Rates are rounded to half a bite.", "Weather: invented.",
	)
	rows := tableRows(all)
	want := []string{
		"For|silver fish|bream|", "Conditions|", "Air|3 to 8 C, feels like -1 C at the least|", "Wind|5 m/s at the most, gusts to 9|", "Rain|not known|",
		"Pressure|1011 hPa, falling slowly; -1.4 from first hour to last|", "Water|6.1 C, eight in ten from 5.2 to 7.0; modelled|", "Missing|1 hour without weather|",
		"Feed|", "Level|Lean|Even|", "Damp, g/h|240|400|", "Feeder|open end|open end|", "Size, ml|small, 30|medium, 45|", "Weight, g|25|no safe cast|",
		"Expected|", "Bites an hour|2.0|under 0.5|", "Over as often as under|1.5|under 0.5|", "Nine in ten|0.5\u20136.0|0.0\u20131.5|", "Half|1.2\u20134.0|0.0\u20130.8|", "No fish|15 in 100|60 in 100|",
		"Hours, nine in ten sessions|", "silver fish|the hour from 10:00 is expected to be better than a middling one: about 30 % more bites|", "bream|no hour stands out|",
		"08:00|0.5\u20132.5|0.5\u20132.5|", "09:00|struck out|struck out|", "10:00|0.5\u20134.5|0.5\u20134.5|",
	}
	if got := strings.Join(rows[:len(want)], "\n"); got != strings.Join(want, "\n") {
		t.Errorf("the first table is\n%s\nwant\n%s", got, strings.Join(want, "\n"))
	}
	if n := len(named(all, "svg")); n != 2 {
		t.Errorf("%d pictures, want one a day that is open", n)
	}
}

// The paragraph of a document begins with the cautions; a page has them in frames
// over it, and does not say them twice.
func TestAPageSaysACautionOnce(t *testing.T) {
	p := publishedOutlook()
	d := &p.Waters[0].Days[0]
	d.Paragraph = "No ice fishing. Handle fish quickly. Not checked, since something is not known: lightning. " + d.Paragraph
	d.Cautions = []model.Caution{
		{ID: "ice", Level: model.Stop, Text: "No ice fishing.", From: d.From, Until: d.Until},
		{ID: "fish", Level: model.Care, Text: "Handle fish quickly.", From: d.From, Until: d.Until},
		{ID: "lightning", Level: model.NotChecked, Text: "Lightning was not checked."},
	}
	p.Waters = p.Waters[:1]
	p.Waters[0].Days = p.Waters[0].Days[:1]
	body, err := page.Outlook(p, clubNow, "")
	holds(t, sound(t, body, err), "No ice fishing.", "Handle fish quickly.", "Not checked, since something is not known: lightning. From 08:00 to 16:00: air 3 to 8 C.")
	for _, once := range []string{"No ice fishing.", "Handle fish quickly."} {
		if n := strings.Count(string(body), once); n != 1 {
			t.Errorf("%q stands there %d times", once, n)
		}
	}
}

// No day is rated, and no hour is shown where none stands out.
func TestNoHourIsShownWhereNoneStandsOut(t *testing.T) {
	p := publishedOutlook()
	for i := range p.Waters[0].Days {
		p.Waters[0].Days[i].Groups[0].HoursText = "no hour stands out"
	}
	body, err := page.Outlook(p, clubNow, "")
	all := sound(t, body, err)
	for _, row := range tableRows(all) {
		if strings.HasPrefix(row, "08:00|") {
			t.Errorf("there is a row of an hour: %s", row)
		}
	}
	holds(t, all, "silver fishno hour stands out", "breamno hour stands out")
}

func TestADraftAndASupersededOutlookSaySo(t *testing.T) {
	p := publishedOutlook()
	p.SupersededBy = "o-3"
	body, err := page.Outlook(p, clubNow, "")
	all := sound(t, body, err)
	holds(t, all, "Superseded by a newer outlook.", "Published Fri 27 Nov 2026, 19:30 by match-secretary", "The same as a table (CSV)")
	p = publishedOutlook()
	p.Publish, p.State, p.NewerDraft = nil, model.OutlookDraft, "o-8"
	body, err = page.Outlook(p, clubNow, "")
	all = sound(t, body, err)
	lacks(t, all, "CSV")
	holds(t, all, "A newer draft with newer figures", "A draft, built", "Nobody but the club's officers sees it.")
}

// A closure made since is told above the water, and nothing is expected any more
// of the hours it takes.
func TestAClosureSinceIsToldOnTop(t *testing.T) {
	p := publishedOutlook()
	p.SincePublished = p.Since([]model.Restriction{{
		ID: "r-7", Club: "hobbin-row", Water: "pit", Kind: model.WaterClosed, From: clubNow, Until: model.Known(clubNow.Add(12 * time.Hour)), Reason: "fish in distress", DecidedBy: "bailiff", MadeAt: clubNow,
	}})
	body, err := page.Outlook(p, clubNow, "")
	all := sound(t, body, err)
	holds(t, all, "The Pit", "Since this was published: The Pit: closed from", "fish in distress", "The gate sticks.", "Saturday 28 November 2026", "is withdrawn")
	if n := len(named(all, "svg")); n != 1 {
		t.Errorf("%d pictures, want only that of the other day", n)
	}
}

func TestScoresOfAnOutlookAreShown(t *testing.T) {
	p := publishedOutlook()
	p.Scores = []model.OutlookScore{
		{Outlook: "o-2", Water: "pit", Date: "2026-11-28", Group: model.Silver, Sessions: "10-19", Expected: model.Known(2.0), Observed: model.Known(3.5), Inside90: model.Known(0.8)},
		{Outlook: "o-2", Water: "pit", Date: "2026-11-28", Group: model.Bream, Sessions: "under 5", Withheld: []string{"contributors"}},
	}
	body, err := page.Outlook(p, clubNow, "")
	rows := strings.Join(tableRows(sound(t, body, err)), "\n")
	for _, want := range []string{"Saturday 28 November 2026|silver fish|10-19|2.0|3.5|80 in 100|", "Saturday 28 November 2026|bream|under 5|not shown: too few anglers|"} {
		if !strings.Contains(rows, want) {
			t.Errorf("no row %q in\n%s", want, rows)
		}
	}
}

func TestTheOutlookOfOneWater(t *testing.T) {
	o := publishedOutlook()
	w := model.WaterOutlook{
		Water: "pit", Name: "The Pit", Zone: "Europe/London", AskedAt: clubNow, Demo: true, Notes: []string{"Rounded."},
		Days: []model.WaterOutlookDay{
			{
				Published: true, Outlook: "o-2", Club: "hobbin-row", ClubName: o.ClubName, Publish: o.Publish, Note: o.Note, WaterNote: "The gate sticks.", Day: o.Waters[0].Days[0],
				Since: []model.OutlookSince{{Water: "pit", Text: "The Pit: no keepnets from now."}},
			},
			{BuiltAt: clubNow, Fit: "fit-abc", Day: o.Waters[0].Days[1]},
		},
	}
	body, err := page.WaterOutlook(w, "")
	all := sound(t, body, err)
	holds(
		t, all, "INVENTED", "The Pit: outlook", "Since this was published: The Pit: no keepnets from now.", "Wrap up warm.", "The gate sticks.", "Saturday 28 November 2026",
		"Published Fri 27 Nov 2026, 19:30 by match-secretary for Hobbin Row Angling Circle.", "Sunday 29 November 2026", "Not published by a club: built Sat 28 Nov 2026, 07:30",
	)
	w.Days = nil
	body, err = page.WaterOutlook(w, "")
	holds(t, sound(t, body, err), "Nothing can be said of the coming days")
}

// Whatever the rates, each part of the picture lies inside it.
func TestRangeBarsLieInsideTheirPicture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := publishedOutlook()
		for i := range p.Waters[0].Days[0].Groups {
			low := rapid.Float64Range(0, 300).Draw(t, "low")
			mean := low + rapid.Float64Range(0, 300).Draw(t, "mean")
			p.Waters[0].Days[0].Groups[i].Activity.BitesPerH = rates(mean, low, mean+rapid.Float64Range(0, 300).Draw(t, "high"))
		}
		body, err := page.Outlook(p, clubNow, "")
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range elements(t, body) {
			for _, name := range []string{"x", "x1", "x2"} {
				var x float64
				if v := e.attr[name]; v != "" && e.name != "pattern" {
					if _, err := fmt.Sscan(v, &x); err != nil || x < 0 || x > 300 {
						t.Fatalf("%s=%q of %s lies outside", name, v, e.name)
					}
				}
			}
		}
	})
}
