package plan_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/plan"
)

func TestByThePriorNoHourStandsOut(t *testing.T) {
	for name, hours := range everyWeather() {
		p := build(t, input(t, hours))
		want := "no hour stands out"
		if p.Activity == nil {
			want = "every hour is struck out by a caution"
		}
		if p.HoursText != want {
			t.Errorf("%s: %q, want %q", name, p.HoursText, want)
		}
		if name == "thunder" {
			continue
		}
		for i, h := range p.HoursCompared {
			if want := start.Add(time.Duration(i) * time.Hour); !h.At.Equal(want) || h.Struck || h.BitesPerH == nil {
				t.Fatalf("%s: hour %d is %+v, want %v in clock order with its interval", name, i, h, want)
			}
			if r := *h.BitesPerH; !(0 < r.Low90 && r.Low90 < r.Low50 && r.Low50 < r.High50 && r.High50 < r.High90) || r.Mean < r.Low90 || r.Mean > r.High90 {
				t.Errorf("%s: rate %+v is no interval", name, r)
			}
		}
	}
}

func TestStruckHoursShowNoActivity(t *testing.T) {
	// Thunder in the fourth hour strikes that one; it lasts half an hour longer
	// than the hours asked for, and reaches back into none.
	p := build(t, input(t, thundery(3)))
	if p.Activity == nil || p.Activity.HoursCounted != 3 {
		t.Fatalf("activity %+v, want it over the three hours left", p.Activity)
	}
	for i, h := range p.HoursCompared {
		if struck := i == 3; h.Struck != struck || (h.BitesPerH == nil) != struck {
			t.Errorf("hour %d: %+v, want it struck: %v", i, h, struck)
		}
	}
	whole := build(t, input(t, series(ordinary)))
	if p.Feed.TotalDampG >= whole.Feed.TotalDampG {
		t.Errorf("%v g for three hours, %v g for four: want less", p.Feed.TotalDampG, whole.Feed.TotalDampG)
	}
}

func TestWhereEveryHourIsStruckNothingIsFedAndNothingExpected(t *testing.T) {
	p := build(t, input(t, thundery(0, 1, 2, 3)))
	f := p.Feed
	if p.Activity != nil || f.RateGH != 0 || f.OpeningFills != 0 || f.OpeningG != 0 || f.TotalDampG != 0 || f.TotalDryG != 0 || f.MixDryG != 0 {
		t.Errorf("activity %+v, feed %+v; want none", p.Activity, f)
	}
	if len(p.Take) != 0 || len(p.Reasons) != 0 || len(p.Alternatives) != 0 || !contains(strings.Join(p.Notes, " "), "do not fish then") {
		t.Errorf("take %v, reasons %v, alternatives %v, notes %v", p.Take, p.Reasons, p.Alternatives, p.Notes)
	}
	if !slices.ContainsFunc(p.Cautions, func(c model.Caution) bool { return c.ID == "lightning" && c.Level == model.Stop }) {
		t.Errorf("cautions %+v, want the lightning that struck the hours", p.Cautions)
	}
	b, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	if !contains(string(b), `"activity":null`) || !contains(string(b), `"take":[]`) {
		t.Error("the document does not show activity as null and take as an empty list")
	}
}

func TestReasonsAddUpToTheDifferenceFromTheUsual(t *testing.T) {
	in := input(t, series(ordinary))
	in.Usual.WaterC = model.Known[model.Celsius](14) // a warmer usual, so that there is something to explain
	in.Usual.WindMps = model.Known[model.MetresPerSecond](9)
	p := build(t, in)
	day, usual := dayCovariates(t, in, p), covariates(t, in.Usual)
	want, _, err := in.Fit.Difference(day, usual)
	if err != nil {
		t.Fatal(err)
	}
	columns, err := activity.Columns("bream")
	if err != nil {
		t.Fatal(err)
	}
	sum, last := 0.0, math.Inf(1)
	for _, r := range p.Reasons {
		sum += r.EffectLogRate
		if size := math.Abs(r.EffectLogRate); size > last || size < 0.02 {
			t.Errorf("reason %s of %v after one of %v: want the largest first, none under 0.02", r.Factor, r.EffectLogRate, last)
		} else {
			last = size
		}
		if more := contains(r.Text, "more bites"); more != (r.EffectLogRate > 0) {
			t.Errorf("%q of %v", r.Text, r.EffectLogRate)
		}
	}
	if len(p.Reasons) == 0 || p.Reasons[0].Factor != "log_appetite" {
		t.Errorf("reasons %+v, want the colder water first", p.Reasons)
	}
	// Each left out is under 0.02 and every shown one is rounded.
	if left := 0.02 * float64(len(columns)-1-len(p.Reasons)); math.Abs(sum-want) > left {
		t.Errorf("the reasons add up to %.4f, the difference is %.4f: more than %.2f apart", sum, want, left)
	}
}

func covariates(t *testing.T, d model.Drivers) activity.Covariates {
	t.Helper()
	c, err := plan.Covariates(model.Bream, d)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// dayCovariates are those of the hours planned, with the plan's own feed.
func dayCovariates(t *testing.T, in plan.Input, p model.Plan) activity.Covariates {
	t.Helper()
	return covariates(t, in.History.Drivers(plan.Outing{
		Start: in.Question.Start, End: in.Question.End(), Group: model.Bream,
		PlannedGH: model.Known(p.Feed.RateGH), CapacityMl: model.Known(p.Feeder.CapacityMl),
	}))
}

func TestAlternativesAreHeldAgainstThePlan(t *testing.T) {
	in := input(t, series(ordinary))
	p := build(t, in)
	if p.Feed.Level != "Lean" || len(p.Alternatives) == 0 {
		t.Fatalf("level %s with %d alternatives, want the Lean of winter with some", p.Feed.Level, len(p.Alternatives))
	}
	day := dayCovariates(t, in, p)
	for _, a := range p.Alternatives {
		other := day
		switch a.Level {
		case "Trace":
			other.PlannedRateGH = math.Sqrt(15 * 50) // the middle of 15 to 50 g/h (trade pack 1)
		case "Even":
			other.PlannedRateGH = math.Sqrt(120 * 280)
		default:
			t.Fatalf("alternative %s is not the level next to Lean", a.Level)
		}
		mean, sd, err := in.Fit.Difference(other, day)
		if err != nil {
			t.Fatal(err)
		}
		r := a.RateRatio
		for what, pair := range map[string][2]float64{
			"mean": {r.Mean, math.Exp(mean)}, "low": {r.Low90, math.Exp(mean - 1.645*sd)}, "high": {r.High90, math.Exp(mean + 1.645*sd)},
			"rate": {float64(a.RateGH.Value), math.Round(other.PlannedRateGH)},
		} {
			if math.Abs(pair[0]-pair[1]) > 0.002 {
				t.Errorf("%s: %s %v, want %v", a.Level, what, pair[0], pair[1])
			}
		}
		alike := r.Low90 >= 0.8 && r.High90 <= 1.25
		open := !alike && r.Low90 < 1 && r.High90 > 1
		if alike != contains(a.Text, "no visible difference") || open != contains(a.Text, "cannot be told yet") {
			t.Errorf("interval %v to %v, and the text says %q", r.Low90, r.High90, a.Text)
		}
	}
}

func TestTheSentenceSaysWhatTheFiguresSay(t *testing.T) {
	in := input(t, series(ordinary))
	for _, c := range []struct {
		evidence model.Evidence
		begins   string
	}{
		{model.Evidence{Basis: "prior"}, "No records yet, typical for season: as likely over as under"},
		{model.Evidence{Basis: "prior", Sessions: 4}, "Too few records yet, typical for season: as likely over as under"},
		{model.Evidence{Basis: "both", Sessions: 40}, "as likely over as under"},
	} {
		in.Evidence = c.evidence
		p := build(t, in)
		if !strings.HasPrefix(p.Activity.Sentence, c.begins) {
			t.Errorf("%+v: %q, want it to begin %q", c.evidence, p.Activity.Sentence, c.begins)
		}
		if p.Activity.BlankProbability < p.Activity.NoBiteProbability {
			t.Errorf("a blank (%v) is less likely than no bite (%v)", p.Activity.BlankProbability, p.Activity.NoBiteProbability)
		}
		if p.Evidence != c.evidence {
			t.Errorf("evidence %+v, want %+v", p.Evidence, c.evidence)
		}
	}
}
