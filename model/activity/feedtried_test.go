package activity_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/activity"
)

// tried are n sessions on water that planned about rateGH at about waterC.
func tried(seed uint64, n int, water string, waterC, spreadC, rateGH, logSpread float64) []activity.FeedTried {
	random := rand.New(rand.NewPCG(seed, 2))
	var out []activity.FeedTried
	for range n {
		logRate := math.Log(rateGH) + logSpread*random.NormFloat64()
		out = append(out, activity.FeedTried{
			Water:     water,
			WaterC:    min(max(waterC+spreadC*random.NormFloat64(), -1), 45),
			LogRateGH: min(max(logRate, 0), math.Log(5000)),
		})
	}
	return out
}

// feedNear compares absolutely: many figures here are shares and logs about 0.
func feedNear(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

// Support by the definition, each sum written out, the plan model by the
// normal equations.
func TestFeedSupportByBruteForce(t *testing.T) {
	sessions := append(tried(1, 25, "mill", 14, 4, 200, 0.35), tried(2, 40, "quarry", 12, 3, 240, 0.3)...)
	history := activity.NewFeedHistory(sessions)
	var n, st, sy, stt, sty float64
	for _, s := range sessions {
		warmth := (s.WaterC - 12) / 5
		n, st, sy, stt, sty = n+1, st+warmth, sy+s.LogRateGH, stt+warmth*warmth, sty+warmth*s.LogRateGH
	}
	slope := (n*sty - st*sy) / (n*stt - st*st)
	intercept := (sy - slope*st) / n
	var rss float64
	for _, s := range sessions {
		off := s.LogRateGH - intercept - slope*(s.WaterC-12)/5
		rss += off * off
	}
	sd := math.Sqrt(rss / (n - 2))
	want := activity.FeedPlanModel{Rows: 65, Intercept: intercept, SlopePerT: slope, ResidualSD: sd}
	if got := history.Plan; got.Rows != want.Rows || !feedNear(got.Intercept, intercept, 1e-9) || !feedNear(got.SlopePerT, slope, 1e-9) || !feedNear(got.ResidualSD, sd, 1e-9) {
		t.Errorf("plan model %+v, want %+v", got, want)
	}
	verdicts := map[bool]int{}
	for _, water := range []string{"mill", "quarry", "never fished"} {
		for _, waterC := range []float64{4, 10, 14, 20} {
			for _, rate := range []float64{60, 120, 180, 250, 400, 900} {
				var here, here2, all, all2 float64
				for _, s := range sessions {
					k := math.Exp(-math.Pow((math.Log(rate)-s.LogRateGH)/0.25, 2)/2 - math.Pow((waterC-s.WaterC)/3, 2)/2)
					all, all2 = all+k, all2+k*k
					if s.Water == water {
						here, here2 = here+k, here2+k*k
					}
				}
				wantHere := 0.0
				if here > 0 {
					wantHere = here * here / here2
				}
				usual := math.Abs(math.Log(rate)-intercept-slope*(waterC-12)/5) <= 2*sd
				ok := usual && (wantHere >= 8 && here >= 4 || all*all/all2 >= 30 && all >= 15)
				got := history.Supported(water, waterC, rate)
				if got.OK != ok || got.Usual != usual || !feedNear(got.Here, wantHere, 1e-9) || !feedNear(got.All, all*all/all2, 1e-9) || (got.Why == "") != ok {
					t.Errorf("%s at %g C, %g g/h: %+v, want here %v, all %v, usual %v, ok %v", water, waterC, rate, got, wantHere, all*all/all2, usual, ok)
				}
				verdicts[got.OK]++
			}
		}
	}
	if verdicts[true] < 4 || verdicts[false] < 20 {
		t.Errorf("the cases do not tell: %v", verdicts)
	}
}

func TestFeedSupportAtTheLimits(t *testing.T) {
	at := func(n int, water string, waterC, spread float64) []activity.FeedTried {
		var out []activity.FeedTried
		for i := range n {
			out = append(out, activity.FeedTried{Water: water, WaterC: waterC, LogRateGH: math.Log(200) + spread*float64(i%2*2-1)})
		}
		return out
	}
	for _, row := range []struct {
		name   string
		tried  []activity.FeedTried
		waterC float64
		rateGH float64
		want   bool
	}{
		{"no sessions", nil, 12, 200, false},
		{"seven here", at(7, "mill", 12, 0), 12, 200, false},
		{"eight here, the very level", at(8, "mill", 12, 0), 12, 200, true},
		{"eight here, nobody ever fed another level", at(8, "mill", 12, 0), 12, 202, false},
		{"29 elsewhere", at(29, "quarry", 12, 0), 12, 200, false},
		{"30 elsewhere", at(30, "quarry", 12, 0), 12, 200, true},
		{"two residual sds off", at(12, "mill", 12, 0.1), 12, 200 * math.Exp(0.208), true},
		{"beyond two residual sds", at(12, "mill", 12, 0.1), 12, 200 * math.Exp(0.21), false},
		// All weights are alike there, so the effective count alone is 60.
		{"60 in far warmer water", at(60, "mill", 24, 0.3), 12, 200, false},
		{"eight without a water's name", at(8, "", 12, 0), 12, 200, false},
	} {
		if got := activity.NewFeedHistory(row.tried).Supported("mill", row.waterC, row.rateGH); got.OK != row.want {
			t.Errorf("%s: %+v, want ok %v", row.name, got, row.want)
		}
	}
	history := activity.NewFeedHistory(at(8, "", 12, 0))
	for _, bad := range []float64{0, -5, math.NaN(), math.Inf(1)} {
		if got := history.Supported("", 12, bad); got.OK || got.Why == activity.NotTriedOften {
			t.Errorf("%g g/h: %+v, want a refusal of the rate", bad, got)
		}
	}
}

func TestFeedPlanModelWithFewSessions(t *testing.T) {
	for _, row := range []struct {
		name      string
		tried     []activity.FeedTried
		rows      int
		withSlope bool
	}{
		{"seven", tried(3, 7, "mill", 12, 4, 200, 0.3), 0, false},
		{"eight", tried(3, 8, "mill", 12, 4, 200, 0.3), 8, false},
		{"nineteen", tried(3, 19, "mill", 12, 4, 200, 0.3), 19, false},
		{"twenty", tried(3, 20, "mill", 12, 4, 200, 0.3), 20, true},
		{"one temperature only", tried(3, 40, "mill", 12, 0, 200, 0.3), 40, false},
	} {
		plan := activity.NewFeedHistory(row.tried).Plan
		if plan.Rows != row.rows || (plan.SlopePerT != 0) != row.withSlope {
			t.Errorf("%s: %+v, want %d rows, slope %v", row.name, plan, row.rows, row.withSlope)
		}
	}
}

func TestFeedHistoryIgnoresOrderAndSurvivesJSON(t *testing.T) {
	sessions := append(tried(4, 30, "mill", 14, 4, 200, 0.35), tried(5, 20, "quarry", 12, 3, 240, 0.3)...)
	want := activity.NewFeedHistory(sessions)
	rapid.Check(t, func(t *rapid.T) {
		got := activity.NewFeedHistory(rapid.Permutation(sessions).Draw(t, "order"))
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("the order of sessions changed the history:\n%s", diff)
		}
	})
	text, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var got activity.FeedHistory
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("JSON changed the history:\n%s", diff)
	}
}

// The planned feed of a session reaches the choice through FeedTried alone, and
// there is no place for feed used: whoever adds a field meets this list.
func TestFeedUsedHasNoPlaceInTheChoice(t *testing.T) {
	for _, c := range []struct {
		holder any
		want   []string
	}{
		{activity.FeedTried{}, []string{"Water", "WaterC", "LogRateGH"}},
		{activity.FeedQuestion{}, []string{"Terms", "Tried", "Water", "WaterC", "StartingGH", "CapGH", "UsualGH", "CostOver", "CostUnder", "Seed"}},
	} {
		var got []string
		for _, field := range reflect.VisibleFields(reflect.TypeOf(c.holder)) {
			got = append(got, field.Name)
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("fields of %T (-want +got):\n%s", c.holder, diff)
		}
	}
	// A plan changed far from the question moves the plan model and the count
	// over all waters, never the draws: with the same candidates every share
	// stays as it was.
	sessions := tried(6, 60, "mill", 14, 3, 200, 0.4)
	q := feedQuestion(sessions)
	earlier := q.Tried
	before, err := activity.RecommendFeed(q)
	if err != nil {
		t.Fatal(err)
	}
	sessions = append(sessions, activity.FeedTried{Water: "far", WaterC: 26, LogRateGH: math.Log(230)})
	q.Tried = activity.NewFeedHistory(sessions)
	after, err := activity.RecommendFeed(q)
	if err != nil {
		t.Fatal(err)
	}
	if len(before.Candidates) < 4 || len(before.Candidates) != len(after.Candidates) {
		t.Fatalf("%d candidates before, %d after; want the same few", len(before.Candidates), len(after.Candidates))
	}
	for i, c := range before.Candidates {
		if d := after.Candidates[i]; c.RateGH != d.RateGH || c.BestShare != d.BestShare {
			t.Errorf("candidate %d was %+v, is %+v", i, c, d)
		}
		was, is := earlier.Supported(q.Water, q.WaterC, c.RateGH), q.Tried.Supported(q.Water, q.WaterC, c.RateGH)
		if !feedNear(was.Here, is.Here, 1e-12) {
			t.Errorf("near candidate %d lay %v sessions, now %v", i, was.Here, is.Here)
		}
	}
	if before.RateGH != after.RateGH || before.Ratio != after.Ratio {
		t.Errorf("%v g/h before, %v after", before.RateGH, after.RateGH)
	}
}
