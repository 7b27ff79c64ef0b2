package activity_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/activity"
)

func TestPriorFitIsTheTable(t *testing.T) {
	fit, err := activity.PriorFit("bream")
	if err != nil {
		t.Fatal(err)
	}
	columns, _ := activity.Columns("bream")
	for j, c := range columns {
		if !near(fit.Count.Coefficients[j], c.PriorMean, 1e-12) || !near(fit.Count.SEs[j], c.PriorSD, 1e-12) {
			t.Errorf("%s: %v, sd %v; want the prior %v, %v", c.Name, fit.Count.Coefficients[j], fit.Count.SEs[j], c.PriorMean, c.PriorSD)
		}
	}
	// The project's statistics notes, section 1.6: the medians.
	if !near(1/fit.Count.Spread.Alpha, 1.2, 1e-12) || !cmp.Equal(fit.Count.Spread.SDs, []float64{0.4, 0.4, 0.4}) || fit.Sessions != 0 {
		t.Errorf("spread %+v of %d sessions; want theta 1.2 and sds of 0.4", fit.Count.Spread, fit.Sessions)
	}
	if _, err := activity.PriorFit("tench"); err == nil {
		t.Error("a prior fit for an unknown group was made")
	}
	none := mustFit(t, nil)
	if diff := cmp.Diff(fit, none); diff != "" {
		t.Errorf("no session (-prior +got):\n%s", diff)
	}
}

func TestFitRecoversWhatWasPlanted(t *testing.T) {
	fit := mustFit(t, anySessions(100, 1500))
	columns, _ := activity.Columns("bream")
	for j, c := range columns {
		if got, want := fit.Count.Coefficients[j], plantedEffects[c.Name]; math.Abs(got-want) > 3.5*fit.Count.SEs[j] {
			t.Errorf("%s: %.3f (sd %.3f), planted %.3f", c.Name, got, fit.Count.SEs[j], want)
		}
	}
	if theta := 1 / fit.Count.Spread.Alpha; math.Abs(theta-plantedShape) > 0.15 {
		t.Errorf("theta %.3f, planted %.1f", theta, plantedShape)
	}
	m, v := fit.Landed.Logit("nobody")
	if share := activity.ExpectedShare(m, v); math.Abs(share-plantedLanded) > 0.03 {
		t.Errorf("share landed %.3f, planted %.1f", share, plantedLanded)
	}
	if fit.Condition < 1 || fit.Count.Steps < 1 {
		t.Errorf("condition %v after %d steps", fit.Condition, fit.Count.Steps)
	}
}

func TestFishWithoutBitesAreLearntFrom(t *testing.T) {
	// The same sessions with every second count of bites forgotten: the fit must
	// come out near the whole one, and nearer than without those sessions.
	all := anySessions(101, 1200)
	var rest, fishOnly []activity.SessionRecord
	for i, r := range all {
		if i%2 == 0 {
			rest, fishOnly = append(rest, r), append(fishOnly, r)
			continue
		}
		r.Intervals = []activity.IntervalRecord{r.Intervals[0]}
		r.Intervals[0].Bites, r.Intervals[0].BitesKnown = 0, false
		fishOnly = append(fishOnly, r)
	}
	whole, half, mixed := mustFit(t, all), mustFit(t, rest), mustFit(t, fishOnly)
	if mixed.Sessions != 1200 {
		t.Fatalf("%d sessions were read, want 1200", mixed.Sessions)
	}
	for _, name := range []string{"intercept", "log_appetite", "feed_z_squared"} {
		j := column(t, name)
		if got, want := mixed.Count.Coefficients[j], whole.Count.Coefficients[j]; math.Abs(got-want) > 2*half.Count.SEs[j] {
			t.Errorf("%s: %.3f with fish alone in half, %.3f with bites in all", name, got, want)
		}
		if mixed.Count.SEs[j] >= half.Count.SEs[j] {
			t.Errorf("%s: the sessions with fish alone taught nothing (sd %.4f, %.4f without them)", name, mixed.Count.SEs[j], half.Count.SEs[j])
		}
	}
}

func TestIntervalsOfASessionAreNoSessions(t *testing.T) {
	// Each session cut in four: as much fishing, and no more days.
	whole := anySessions(102, 300)
	cut := make([]activity.SessionRecord, len(whole))
	for i, r := range whole {
		cut[i] = r
		cut[i].Intervals = nil
		left := r.Intervals[0].Bites
		for k := range 4 {
			part := r.Intervals[0]
			part.RodHours /= 4
			part.FishKnown = false
			part.Bites = left / (4 - k)
			left -= part.Bites
			cut[i].Intervals = append(cut[i].Intervals, part)
		}
	}
	a, b := mustFit(t, whole), mustFit(t, cut)
	if b.Rows != 4*a.Rows || b.Sessions != a.Sessions {
		t.Fatalf("%d rows of %d sessions, want %d of %d", b.Rows, b.Sessions, 4*a.Rows, a.Sessions)
	}
	// With equal conditions in all parts the likelihood is the same to a constant.
	for j := range a.Count.Coefficients {
		if !near(a.Count.Coefficients[j], b.Count.Coefficients[j], 1e-5) || !near(a.Count.SEs[j], b.Count.SEs[j], 1e-4) {
			t.Errorf("%s: %v (%v) whole, %v (%v) cut", a.Count.Columns[j], a.Count.Coefficients[j], a.Count.SEs[j], b.Count.Coefficients[j], b.Count.SEs[j])
		}
	}
}

func TestOrderOfSessionsChangesNothing(t *testing.T) {
	records := anySessions(4, 60)
	want, err := json.Marshal(mustFit(t, records))
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		got, err := activity.FitRecords("bream", rapid.Permutation(records).Draw(t, "records"))
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(got)
		if err != nil {
			t.Fatal(err)
		}
		if string(text) != string(want) {
			t.Fatal("the order of the sessions changed the fit")
		}
	})
}

func TestFitSurvivesJSON(t *testing.T) {
	want := mustFit(t, anySessions(5, 90))
	text, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var got activity.Fit
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	if err := got.Check(); err != nil {
		t.Fatal(err)
	}
	for name, at := range map[string]activity.Setting{"seen": pit, "not seen": nowhere} {
		if diff := cmp.Diff(mustForecast(t, want, usual(), at, 4), mustForecast(t, got, usual(), at, 4)); diff != "" {
			t.Errorf("%s: forecast after JSON (-want +got):\n%s", name, diff)
		}
	}
}

func TestUpdateIsTheFitAtThatSpreadInAStepOrTwo(t *testing.T) {
	records := anySessions(6, 401)
	before := mustFit(t, records[:400])
	after, err := activity.UpdateFit(before, records)
	if err != nil {
		t.Fatal(err)
	}
	if after.Count.Steps > 3 {
		t.Errorf("one new session took %d Newton steps", after.Count.Steps)
	}
	if diff := cmp.Diff(before.Count.Spread, after.Count.Spread); diff != "" {
		t.Errorf("the spread moved:\n%s", diff)
	}
	// From far off the same mode is reached.
	prior, _ := activity.PriorFit("bream")
	prior.Count.Spread = before.Count.Spread
	afar, err := activity.UpdateFit(prior, records)
	if err != nil {
		t.Fatal(err)
	}
	for j := range after.Count.Coefficients {
		if !near(after.Count.Coefficients[j], afar.Count.Coefficients[j], 1e-6) {
			t.Errorf("%s is %v from near and %v from afar", after.Count.Columns[j], after.Count.Coefficients[j], afar.Count.Coefficients[j])
		}
	}
	if afar.Count.Steps <= after.Count.Steps {
		t.Errorf("%d steps from near, %d from afar", after.Count.Steps, afar.Count.Steps)
	}
}

func TestFitNamesTheWrongSession(t *testing.T) {
	for _, c := range []struct {
		want   string
		change func(*activity.SessionRecord)
	}{
		{"session s-0003: interval 1: bites is -1", func(r *activity.SessionRecord) { r.Intervals[0].Bites = -1 }},
		{"session s-0003: interval 1: fish is -1", func(r *activity.SessionRecord) { r.Intervals[0].Fish = -1 }},
		{"session s-0003: interval 1: rod-hours is 0", func(r *activity.SessionRecord) { r.Intervals[0].RodHours = 0 }},
		{"session s-0003: interval 1: rod-hours is NaN", func(r *activity.SessionRecord) { r.Intervals[0].RodHours = math.NaN() }},
		{"session s-0003, interval 1: covariates: wind_mps is 99", func(r *activity.SessionRecord) { r.Intervals[0].Covariates.WindMps = 99 }},
		{"session s-0003: interval 1: neither bites nor fish are known", func(r *activity.SessionRecord) {
			r.Intervals[0].BitesKnown, r.Intervals[0].FishKnown = false, false
		}},
		{"session s-0003: the weight is 0", func(r *activity.SessionRecord) { r.Weight = 0 }},
		{"session s-0003: there is no interval", func(r *activity.SessionRecord) { r.Intervals = nil }},
		{"session s-0003: the water is", func(r *activity.SessionRecord) { r.Water = "" }},
	} {
		records := anySessions(6, 12)
		c.change(&records[3])
		if _, err := activity.FitRecords("bream", records); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v, want one that says %q", err, c.want)
		}
	}
	if _, err := activity.FitRecords("eel", nil); err == nil {
		t.Error("an unknown group was fitted")
	}
}

func TestBlanksAloneAreNoError(t *testing.T) {
	records := anySessions(7, 40)
	for i := range records {
		records[i].Intervals[0].Bites, records[i].Intervals[0].Fish = 0, 0
	}
	f := mustForecast(t, mustFit(t, records), usual(), pit, 5)
	prior, _ := activity.PriorFit("bream")
	before := mustForecast(t, prior, usual(), pit, 5)
	if !(f.NoBiteProbability > before.NoBiteProbability && f.NoBiteProbability < 1) {
		t.Errorf("after 40 blanks P(no bite) is %v, before them %v", f.NoBiteProbability, before.NoBiteProbability)
	}
}

func TestAnUnseenWaterIsNeverSurerThanASeenOne(t *testing.T) {
	fits := []activity.Fit{mustFit(t, anySessions(8, 15)), mustFit(t, anySessions(9, 300))}
	rapid.Check(t, func(t *rapid.T) {
		fit := rapid.SampledFrom(fits).Draw(t, "fit")
		c := usual()
		c.WindMps = rapid.Float64Range(0, 15).Draw(t, "wind")
		c.LogAppetite = rapid.Float64Range(-3, 0).Draw(t, "appetite")
		seen := fit.Count.Factors[0].Levels
		at := activity.Setting{Water: rapid.SampledFrom(seen).Draw(t, "water"), Angler: "a", Peg: "1"}
		unseen := at
		unseen.Water = "new water"
		a, b := mustForecast(t, fit, c, at, 4).Basis, mustForecast(t, fit, c, unseen, 4).Basis
		if b.LogRateVariance < a.LogRateVariance {
			t.Fatalf("variance %v at a new water, %v at %s", b.LogRateVariance, a.LogRateVariance, at.Water)
		}
	})
}

// More sessions never widen an interval in expectation.
func TestMoreSessionsNarrowTheForecast(t *testing.T) {
	const seeds = 12
	variance := func(n int) float64 {
		var sum float64
		for seed := range uint64(seeds) {
			sum += mustForecast(t, mustFit(t, anySessions(300+seed, n)), usual(), pit, 4).Basis.LogRateVariance
		}
		return sum / seeds
	}
	last := math.Inf(1)
	for _, n := range []int{0, 10, 40, 160, 640} {
		v := variance(n)
		if v > last {
			t.Errorf("with %d sessions the mean variance of the log rate is %.4f, with fewer it was %.4f", n, v, last)
		}
		last = v
	}
}

func TestRenewalIsJudgedOnSessionsToCome(t *testing.T) {
	records := anySessions(10, 300)
	right := mustFit(t, records[:200])
	wrong := right
	wrong.Count.Spread.Alpha = 30 // a session's luck many times what it is
	was, now, scored, err := activity.RenewalScores(right, wrong, records[:200], records[200:])
	if err != nil {
		t.Fatal(err)
	}
	if scored != 100 || now < was+0.01 {
		t.Errorf("mean log score %v in force, %v for a wrong spread, over %d sessions; want the wrong one turned down over 100", was, now, scored)
	}
	was, now, _, err = activity.RenewalScores(right, right, records[:200], records[200:])
	if err != nil || was != now {
		t.Errorf("the same fit scores %v and %v (%v)", was, now, err)
	}
}
