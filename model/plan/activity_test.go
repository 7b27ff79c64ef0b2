package plan_test

import (
	"encoding/json"
	"fmt"
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
	want, _, err := in.Fit.Difference(day, anyone, usual, anyone)
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

// What stands in for a wind that nobody knows is no reason for anything.
func TestWhatIsNotKnownIsNoReason(t *testing.T) {
	for _, known := range []bool{true, false} {
		hours := series(ordinary)
		for i := range hours {
			hours[i].WindMps.Known = known
		}
		in := input(t, hours)
		in.Usual.WindMps = model.Known[model.MetresPerSecond](12)
		p := build(t, in)
		if got := slices.ContainsFunc(p.Reasons, func(r model.Reason) bool { return r.Factor == "wind_mps" }); got != known {
			t.Errorf("wind known: %v, given as a reason: %v (%+v)", known, got, p.Reasons)
		}
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

// anyone is whoever fishes reedmere and gave no name.
var anyone = activity.Setting{Water: "reedmere"}

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
		mean, sd, err := in.Fit.Difference(other, anyone, day, anyone)
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
		e, _ := activity.EValue(math.Exp(mean))
		bound, _ := activity.EValue(min(max(1, r.Low90), r.High90))
		if !a.EValue.Known || math.Abs(a.EValue.Value-e) > 0.006 || !contains(a.Text, fmt.Sprintf("%.1f-fold (%.1f-fold for the nearer end", e, bound)) {
			t.Errorf("%s: E-value %+v and %q, want %.2f and %.2f for the nearer end", a.Level, a.EValue, a.Text, e, bound)
		}
		if !strings.HasSuffix(a.Text, "; not tried often enough to say") {
			t.Errorf("%q, want it to say that by the prior alone no level was tried", a.Text)
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
		{model.Evidence{Basis: "both", Sessions: model.EvidenceCount{Own: 40, Others: "under 5"}}, "as likely over as under"},
	} {
		in.Evidence = c.evidence
		p := build(t, in)
		if !strings.HasPrefix(p.Activity.Sentence, c.begins) {
			t.Errorf("%+v: %q, want it to begin %q", c.evidence, p.Activity.Sentence, c.begins)
		}
		if p.Evidence != c.evidence {
			t.Errorf("evidence %+v, want %+v", p.Evidence, c.evidence)
		}
	}
}

// The counts and what they stand on agree: no fish is likelier than no bite, a
// wider interval holds the narrower, and the basis gives the rate and the counts
// back, for scoring.
func TestWhatIsExpectedFollowsFromItsBasis(t *testing.T) {
	for _, hours := range []float64{1, 4, 9.5} {
		for _, in := range []plan.Input{input(t, series(ordinary)), withRecords(t, "nothing"), withRecords(t, "less")} {
			in.Question.Hours, in.Question.Angler = hours, "a2"
			a := build(t, in).Activity
			if a.BlankProbability < a.NoBiteProbability || a.NoBiteProbability < 0 || a.BlankProbability > 1 {
				t.Errorf("%s, %g h: a blank %v, no bite %v", in.FitID, hours, a.BlankProbability, a.NoBiteProbability)
			}
			if b := a.Bites; !(0 <= b.Low90 && b.Low90 <= b.Low50 && b.Low50 <= b.High50 && b.High50 <= b.High90) || a.Fish.Low90 > a.Fish.High90 || a.Fish.High90 > b.High90 {
				t.Errorf("%s, %g h: bites %+v, fish %+v", in.FitID, hours, b, a.Fish)
			}
			basis := activity.ForecastBasis(a.Basis)
			if want := math.Exp(basis.LogRateMean + basis.LogRateVariance/2); math.Abs(a.BitesPerH.Mean-want) > 0.001*want+0.0006 {
				t.Errorf("%s, %g h: mean rate %v, its basis gives %v", in.FitID, hours, a.BitesPerH.Mean, want)
			}
			counts, err := basis.Bites(a.HoursCounted)
			if err != nil || a.HoursCounted != hours {
				t.Fatalf("%g hours counted of %g: %v", a.HoursCounted, hours, err)
			}
			at := func(p float64) int {
				k, err := counts.Quantile(p)
				if err != nil {
					t.Fatal(err)
				}
				return k
			}
			if got := (model.CountRange{Low50: at(0.25), High50: at(0.75), Low90: at(0.05), High90: at(0.95)}); got != a.Bites {
				t.Errorf("%s, %g h: bites %+v, the basis gives %+v", in.FitID, hours, a.Bites, got)
			}
			if none := counts.Probability(0); math.Abs(none-a.NoBiteProbability) > 6e-5 {
				t.Errorf("%s, %g h: no bite %v, the basis gives %v", in.FitID, hours, a.NoBiteProbability, none)
			}
			share := 1 / (1 + math.Exp(-basis.LandedLogitMean))
			if got := a.Fish.Mean / (a.BitesPerH.Mean * hours); math.Abs(got-share) > 0.08 {
				t.Errorf("%s, %g h: %.2f of the bites are landed, the basis says about %.2f", in.FitID, hours, got, share)
			}
		}
	}
}

// A level that the records speak of is not said to be untried, and a plan that
// is not the trade's gives the feed as a reason.
func TestRecordsSpeakInAlternativesAndReasons(t *testing.T) {
	p := build(t, withRecords(t, "less"))
	untried := 0
	for _, a := range p.Alternatives {
		if contains(a.Text, "not tried often enough") {
			untried++
		}
		if !a.EValue.Known || !contains(a.Text, "Something unrecorded") {
			t.Errorf("%q has no E-value with it", a.Text)
		}
	}
	if len(p.Alternatives) == 0 || untried == len(p.Alternatives) {
		t.Errorf("alternatives %+v, want the records to speak of one", p.Alternatives)
	}
	i := slices.IndexFunc(p.Reasons, func(r model.Reason) bool { return r.Factor == "feed" })
	if i < 0 || p.Reasons[i].EffectLogRate <= 0 || !contains(p.Reasons[i].Text, "The feed planned, against the trade's rate at this temperature: about") || contains(p.Reasons[i].Text, "cannot be told from none") {
		t.Errorf("reasons %+v, want that less feed brings more", p.Reasons)
	}
	if i >= 0 && !contains(p.Reasons[i].Text, "could explain this away") {
		t.Errorf("%q has no E-value with it", p.Reasons[i].Text)
	}
}
