package plan_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
	"osier/model/activity"
	"osier/model/plan"
)

func TestTheHoursOfAnOutlookAreTheLightStillToCome(t *testing.T) {
	at := func(text string) time.Time {
		v, err := time.Parse(time.RFC3339, text)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	north := reedmere
	north.LatDeg, north.LonDeg, north.Zone = 70, 25, "Europe/Helsinki"
	for _, c := range []struct {
		name        string
		water       model.Water
		day, now    string
		from, until string
		left        bool
	}{
		// The sun itself is tested in model/solar; here it rises a little after half past seven and sets at five.
		{"a day ahead", reedmere, "2026-02-08T00:00:00Z", "2026-02-06T12:05:00Z", "08:00", "17:00", true},
		{"today, begun", reedmere, "2026-02-06T00:00:00Z", "2026-02-06T12:05:00Z", "12:00", "17:00", true},
		{"its last hour", reedmere, "2026-02-06T00:00:00Z", "2026-02-06T16:59:00Z", "16:00", "17:00", true},
		{"over", reedmere, "2026-02-06T00:00:00Z", "2026-02-06T17:00:00Z", "17:00", "17:00", false},
		{"by the clock of summer", reedmere, "2026-06-21T00:00:00Z", "2026-06-01T00:00:00Z", "05:00", "21:00", true},
		{"no sunrise: around noon", north, "2026-12-21T00:00:00Z", "2026-12-01T00:00:00Z", "08:00", "16:00", true},
		{"no sunset: the whole day", north, "2026-06-21T00:00:00Z", "2026-06-01T00:00:00Z", "01:00", "01:00", true},
	} {
		from, until, left, err := plan.OutlookHours(c.water, at(c.day), at(c.now))
		if err != nil {
			t.Fatal(err)
		}
		if from.Format("15:04") != c.from || until.Format("15:04") != c.until || left != c.left {
			t.Errorf("%s: %s to %s, left %v; want %s to %s, %v", c.name, from, until, left, c.from, c.until, c.left)
		}
	}
	if _, _, _, err := plan.OutlookHours(reedmere, at("2200-01-01T00:00:00Z"), now); err == nil {
		t.Error("the sun of 2200 is told")
	}
}

// outlookOf is a day of an outlook from 08:00 on for the groups, after a change.
func outlookOf(t testing.TB, hours float64, change func(in *plan.Input), groups ...model.Group) (model.OutlookDay, []model.OutlookBasis) {
	t.Helper()
	out := plan.OutlookInput{Date: "2026-02-07"}
	for _, g := range groups {
		in := input(t, series(ordinary))
		in.Question.Group, in.Question.Start, in.Question.Hours = g, start.Add(-time.Hour), hours
		var err error
		if in.Fit, err = activity.PriorFit(string(g)); err != nil {
			t.Fatal(err)
		}
		if change != nil {
			change(&in)
		}
		out.Groups = append(out.Groups, in)
	}
	day, basis, err := plan.Outlook(out)
	if err != nil {
		t.Fatal(err)
	}
	return day, basis
}

// closedFrom is a closure of Reedmere between two hours after 08:00 of the day.
func closedFrom(from, until int) model.Restriction {
	begin := start.Add(-time.Hour)
	return model.Restriction{
		ID: "r-1", Club: "quill-club", Water: "reedmere", Kind: model.WaterClosed, Reason: "fish in distress", DecidedBy: "water-officer",
		From: begin.Add(time.Duration(from) * time.Hour), Until: model.Known(begin.Add(time.Duration(until) * time.Hour)),
	}
}

func TestADayOfAnOutlookIsThePlanForAnybodyRounded(t *testing.T) {
	day, basis := outlookOf(t, 9, nil, model.Bream, model.Silver)
	if len(day.Groups) != 2 || len(basis) != 2 || day.Struck || day.Closed {
		t.Fatalf("the day is %+v", day)
	}
	g := day.Groups[0]
	in := input(t, series(ordinary))
	in.Question.Start, in.Question.Hours = g.From, g.Hours
	p := build(t, in)
	if g.From.Format("15:04") != "10:00" || g.Hours != 5 {
		t.Errorf("the session is from %s, %g h, want the middle five", g.From, g.Hours)
	}
	if g.Level != p.Feed.Level || g.RateGH != p.Feed.RateGH || g.CapacityMl != p.Feeder.CapacityMl || g.Activity.Bites != p.Activity.Bites || basis[0].Basis != p.Activity.Basis || basis[0].Mean != p.Activity.BitesPerH.Mean {
		t.Errorf("it is %+v, and the plan of those hours %+v", g, p)
	}
	if len(g.HoursCompared) != 9 || g.HoursCompared[0].At.Format("15:04") != "08:00" || g.HoursText != "no hour stands out" {
		t.Errorf("%d hours compared: %s", len(g.HoursCompared), g.HoursText)
	}
	for _, says := range []string{
		"From 08:00 to 17:00: air ", "wind up to 3 m/s with gusts of 5", "no rain", "The water is about ",
		"For bream: feed lean, ", " g/h damp, by a cage feeder of size ", "For silver: ", " a slow session in our words", "nine in ten such sessions lie between ", "No hour stands out.",
	} {
		if !strings.Contains(day.Paragraph, says) {
			t.Errorf("the paragraph lacks %q: %s", says, day.Paragraph)
		}
	}
	if day.Confidence.Level != p.Confidence.Level {
		t.Errorf("confidence %+v, the plan's %+v", day.Confidence, p.Confidence)
	}
}

func TestClosuresComeFirstAndTakeTheExpectationWithThem(t *testing.T) {
	for _, c := range []struct {
		name           string
		from, until    int
		closed, struck bool
		session        string // of the first group
		hours          float64
	}{
		{"all of it", -20, 30, true, true, "", 0},
		{"just its hours", 0, 9, true, true, "", 0},
		{"all but the last", 0, 8, false, false, "16:00", 1},
		{"the morning", -5, 3, false, false, "11:00", 5},
		{"the middle: the longer stretch is after it", 2, 4, false, false, "12:00", 5},
		{"the day before", -20, 0, false, false, "10:00", 5},
	} {
		t.Run(c.name, func(t *testing.T) {
			day, basis := outlookOf(t, 9, func(in *plan.Input) { in.Around.Restrictions = []model.Restriction{closedFrom(c.from, c.until)} }, model.Bream)
			if day.Closed != c.closed || day.Struck != c.struck {
				t.Fatalf("closed %v, struck %v", day.Closed, day.Struck)
			}
			if c.until > 0 && !strings.HasPrefix(day.Paragraph, "quill-club has closed this water") {
				t.Errorf("the paragraph begins %q", day.Paragraph)
			}
			if c.struck {
				if len(day.Groups) != 0 || len(basis) != 0 || day.Confidence.Level != "none" || !strings.HasSuffix(day.Paragraph, "nothing is said of feed or bites.") || strings.Contains(day.Paragraph, "bites an hour") {
					t.Errorf("of a closed day it is said: %+v", day)
				}
				return
			}
			g := day.Groups[0]
			if g.From.Format("15:04") != c.session || g.Hours != c.hours || g.Activity.HoursCounted != c.hours {
				t.Errorf("the session is from %s, %g h, want %s, %g h", g.From, g.Hours, c.session, c.hours)
			}
			for i, h := range g.HoursCompared {
				if struck := i >= c.from && i < c.until; h.Struck != struck || (h.BitesPerH == nil) != struck {
					t.Errorf("hour %d is struck: %v", i, h.Struck)
				}
			}
		})
	}
}

// A caution of level stop strikes hours out without anybody having closed the
// water.
func TestADayStruckByWeatherIsNotClosed(t *testing.T) {
	storm := func(at time.Time) values {
		v := ordinary(at)
		v.wind, v.gust = 16, 24
		return v
	}
	in := input(t, series(storm))
	in.Question.Start, in.Question.Hours = start.Add(-time.Hour), 9
	day, _, err := plan.Outlook(plan.OutlookInput{Date: "2026-02-07", Groups: []plan.Input{in}})
	if err != nil {
		t.Fatal(err)
	}
	if day.Closed || !day.Struck || len(day.Groups) != 0 {
		t.Errorf("closed %v, struck %v, %d groups", day.Closed, day.Struck, len(day.Groups))
	}
	if _, _, err := plan.Outlook(plan.OutlookInput{Date: "2026-02-07"}); err == nil {
		t.Error("an outlook for no group is made")
	}
}

func TestWhatIsNotKnownIsSaid(t *testing.T) {
	none := series(ordinary)
	for i := range none {
		none[i] = model.WeatherHour{At: none[i].At, AirC: gone, DewC: gone, WindMps: gone, WindFromDeg: gone, GustMps: gone, SeaLevelHPa: gone, RainMm: gone, Cloud: gone}
	}
	in := input(t, none)
	in.Question.Start, in.Question.Hours = start.Add(-time.Hour), 9
	day, _, err := plan.Outlook(plan.OutlookInput{Date: "2026-02-07", Groups: []plan.Input{in}})
	if err != nil {
		t.Fatal(err)
	}
	for _, says := range []string{"nothing is known of the weather", "Weather is missing for 9 of 9 hours.", "by its climate alone", "Not checked, since something is not known: "} {
		if !strings.Contains(day.Paragraph, says) {
			t.Errorf("the paragraph lacks %q: %s", says, day.Paragraph)
		}
	}
	c := day.Conditions
	if c.AirLowC.Known || c.WindMps.Known || c.PressureHPa.Known || c.MissingHours != 9 || day.Confidence.Level != "low" {
		t.Errorf("conditions %+v, confidence %+v", c, day.Confidence)
	}
}

// Rates are published to half a bite (statistics pack, section 6), and no
// interval is told narrower than it is.
func TestPublishedRatesAreRounded(t *testing.T) {
	for _, airC := range []float64{-2, 8, 24} {
		for _, wind := range []float64{0, 9} {
			weather := func(at time.Time) values {
				v := ordinary(at)
				v.wind, v.gust, v.air, v.dew = wind, wind+1, airC, airC-2
				return v
			}
			in := input(t, series(weather))
			in.Question.Start, in.Question.Hours = start.Add(-time.Hour), 9
			day, basis, err := plan.Outlook(plan.OutlookInput{Date: "2026-02-07", Groups: []plan.Input{in}})
			if err != nil {
				t.Fatal(err)
			}
			g := day.Groups[0]
			wantRounded(t, g.Activity.BitesPerH)
			for _, h := range g.HoursCompared {
				wantRounded(t, *h.BitesPerH)
			}
			if r := g.Activity.BitesPerH; math.Abs(r.Mean-basis[0].Mean) > 0.25+1e-9 || r.Low90 > basis[0].Mean || r.High90 < basis[0].Mean {
				t.Errorf("at %g C published %+v of %v", airC, r, basis[0].Mean)
			}
			if twentieths := 20 * g.Activity.BlankProbability; math.Abs(twentieths-math.Round(twentieths)) > 1e-9 {
				t.Errorf("the chance of a blank is %v", g.Activity.BlankProbability)
			}
		}
	}
}

func wantRounded(t *testing.T, r model.RateRange) {
	t.Helper()
	for _, v := range []float64{r.Mean, r.Median, r.Low50, r.High50, r.Low90, r.High90} {
		if v < 0 || v*2 != math.Trunc(v*2) {
			t.Errorf("%v is no half", v)
		}
	}
	if r.Low90 > r.Low50 || r.Low50 > r.Median || r.Median > r.High50 || r.High50 > r.High90 {
		t.Errorf("the intervals are out of order: %+v", r)
	}
}

func TestTheWordForTheActivityStandsInTheSentenceAlone(t *testing.T) {
	day, _ := outlookOf(t, 9, nil, model.Bream)
	got := day.Groups[0].Activity
	want := &model.OutlookActivity{
		BitesPerH: got.BitesPerH, Bites: got.Bites, Fish: got.Fish, BlankProbability: got.BlankProbability, HoursCounted: 5, Sentence: got.Sentence,
	}
	if diff := cmp.Diff(want, got); diff != "" || !strings.HasPrefix(got.Sentence, "No records yet, typical for season: ") {
		t.Errorf("%s: %s", got.Sentence, diff)
	}
}
