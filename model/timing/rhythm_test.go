package timing_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"osier/model/timing"
)

// logLogistic is a hazard that follows survival 1/(1 + (t/14)^1.8) in short steps.
func logLogistic(t *testing.T) timing.Hazard {
	t.Helper()
	const step, longest = 0.01, 30.0
	law := timing.LogLogistic{ScaleMin: 14, Shape: 1.8}
	var starts, perMin []float64
	before := 1.0
	for i := range int(longest / step) {
		s, _, _, _ := law.At(float64(i+1) * step)
		starts, perMin, before = append(starts, float64(i)*step), append(perMin, math.Log(before/s)/step), s
	}
	return hazardOf(t, starts, perMin, longest)
}

// 30 g fills for 200 g/h: worked by root finding apart from this program.
func TestTheSoakThatDeliversAPlan(t *testing.T) {
	h := logLogistic(t)
	soak, ok := h.SoakForFeed(30, 200, even(1.5))
	if !ok || math.Abs(soak-8.497506613137409) > 1e-4 {
		t.Errorf("the soak is %g, %v, want 8.4975", soak, ok)
	}
	if rate, _ := h.BitesPerMin(soak, even(1.5)); math.Abs(1-rate/0.045742878871328496-0.29724285398844974) > 1e-5 {
		t.Errorf("bites per min are %g, want 29.7 %% fewer than 0.0457", rate)
	}
	if soak, ok = h.SoakForFeed(30, 200, timing.Handling{BlankMin: 1, BiteMin: 4}); !ok || math.Abs(soak-8.06540979669051) > 1e-4 {
		t.Errorf("with 4 min a bite the soak is %g, %v, want 8.0654", soak, ok)
	}
	for _, row := range []struct{ fill, plan float64 }{{30, 1300}, {30, 50}, {0, 200}, {30, math.NaN()}} {
		if soak, ok := h.SoakForFeed(row.fill, row.plan, even(1.5)); ok {
			t.Errorf("%g g for %g g/h gives a soak of %g", row.fill, row.plan, soak)
		}
	}
}

func TestTheFeederAndSoakThatMeetThePlanWithLeastLoss(t *testing.T) {
	h := logLogistic(t)
	fills := []timing.Fill{{CapacityMl: 20, FillG: 15}, {CapacityMl: 35, FillG: 26}, {CapacityMl: 55, FillG: 41}, {CapacityMl: 85, FillG: 64}}
	for _, row := range []struct {
		name             string
		plan, low, high  float64
		capacity         float64
		meets            bool
		rateLow, rateTop float64
	}{
		// The rate of bites still rises at 15 min: the largest feeder that a soak in
		// range makes deliver the plan.
		{"a usual plan", 200, 4, 15, 55, true, 200, 200},
		{"a larger plan", 400, 4, 15, 85, true, 400, 400},
		{"longer soaks allowed", 250, 4, 25, 85, true, 250, 250},
		{"too much for any", 900, 6, 15, 85, false, 400, 600},
		{"too little for any", 30, 4, 15, 20, false, 55, 80},
	} {
		r, err := h.ChooseRhythm(fills, row.plan, even(1.5), timing.SoakRange{LowMin: row.low, HighMin: row.high})
		if err != nil {
			t.Fatal(err)
		}
		if r.CapacityMl != row.capacity || r.Meets != row.meets || r.RateGH < row.rateLow-1e-6 || r.RateGH > row.rateTop+1e-6 {
			t.Errorf("%s: got %+v", row.name, r)
		}
		if r.SoakMin < row.low || r.SoakMin > row.high || r.LostShare < -1e-12 || r.LostShare > 1 {
			t.Errorf("%s: %+v leaves the range or loses less than nothing", row.name, r)
		}
	}
}

func TestOfEqualFeedersTheSmallerIsChosen(t *testing.T) {
	h := logLogistic(t)
	fills := []timing.Fill{{CapacityMl: 55, FillG: 30}, {CapacityMl: 40, FillG: 30}, {CapacityMl: 45, FillG: 30}}
	for _, plan := range []float64{200, 30} {
		r, err := h.ChooseRhythm(fills, plan, even(1.5), timing.SoakRange{LowMin: 4, HighMin: 15})
		if err != nil || r.CapacityMl != 40 {
			t.Errorf("plan %g: got %+v, %v", plan, r, err)
		}
	}
}

// Of two feeders as far from the plan on either side, the lighter feed.
func TestOfEquallyNearRatesTheLighterIsChosen(t *testing.T) {
	h := hazardOf(t, []float64{0}, []float64{0}, 20) // no bites: 60/(soak + handling) casts an hour
	fills := []timing.Fill{{CapacityMl: 60, FillG: 40}, {CapacityMl: 20, FillG: 10}}
	// A soak of 4 min and 1 min of handling are 12 casts an hour: 480 and 120 g/h.
	r, err := h.ChooseRhythm(fills, 240, even(1), timing.SoakRange{LowMin: 4, HighMin: 4})
	if err != nil || r.FillG != 10 || r.RateGH != 120 || r.Meets {
		t.Errorf("got %+v, %v", r, err)
	}
}

func TestRhythmRefusesWhatIsOutOfRange(t *testing.T) {
	h, soaks := logLogistic(t), timing.SoakRange{LowMin: 4, HighMin: 15}
	fill := []timing.Fill{{CapacityMl: 20, FillG: 15}}
	for name, err := range map[string]error{
		"no feeder":      second(h.ChooseRhythm(nil, 200, even(1), soaks)),
		"no plan":        second(h.ChooseRhythm(fill, 0, even(1), soaks)),
		"an empty fill":  second(h.ChooseRhythm([]timing.Fill{{CapacityMl: 20}}, 200, even(1), soaks)),
		"no handling":    second(h.ChooseRhythm(fill, 200, timing.Handling{}, soaks)),
		"past the curve": second(h.ChooseRhythm(fill, 200, even(1), timing.SoakRange{LowMin: 4, HighMin: 31})),
	} {
		if err == nil {
			t.Errorf("%s was taken", name)
		}
	}
}

func second(_ timing.Rhythm, err error) error { return err }

func TestCastsAnHourFallWithTheSoakAndDeliverThePlan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, handling := anyHazard(t), anyHandling(t)
		soak := rapid.Float64Range(0.1, 0.9).Draw(t, "soak") * h.LongestMin
		casts, ok := h.CastsPerH(soak, handling)
		fewer, _ := h.CastsPerH(h.LongestMin, handling)
		if !ok || fewer > casts {
			t.Fatalf("%g casts an hour at %g min and %g at the longest", casts, soak, fewer)
		}
		if casts-fewer < 1e-6 {
			return // nobody is left waiting: the cycle no longer grows
		}
		back, ok := h.SoakForFeed(20, 20*casts, handling)
		again, _ := h.CastsPerH(back, handling)
		if !ok || math.Abs(again-casts) > 1e-9*casts {
			t.Fatalf("a plan of %g casts an hour gave %g min and %g", casts, back, again)
		}
	})
}
