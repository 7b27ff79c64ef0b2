package timing_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"osier/model/timing"
)

// even is the same handling with and without a bite.
func even(minutes float64) timing.Handling {
	return timing.Handling{BlankMin: minutes, BiteMin: minutes}
}

func hazardOf(t interface {
	Helper()
	Fatal(...any)
}, starts, perMin []float64, longest float64,
) timing.Hazard {
	t.Helper()
	h, err := timing.NewHazard(starts, perMin, longest)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// Worked by numerical integration in 40 digits, apart from this program.
func TestBestSoakOfPiecewiseHazardsIsABreak(t *testing.T) {
	for _, row := range []struct {
		starts, perMin                                []float64
		handling, soak, rate, rateAt5, rateAt30, to17 float64
	}{
		{[]float64{0, 3, 10, 20}, []float64{0.01, 0.08, 0.03, 0.01}, 1.5, 10, 0.04615058380979703, 0.02769085107480444, 0.0342392584396476, 11.656868775900378},
		{[]float64{0, 2, 6, 12, 25}, []float64{0, 0.05, 0.12, 0.04, 0.005}, 2, 12, 0.05405526139996097, 0.020526863866013583, 0.04706662392230398, 10.93313036658946},
	} {
		h := hazardOf(t, row.starts, row.perMin, 120)
		best, err := h.BestSoak(even(row.handling))
		if err != nil {
			t.Fatal(err)
		}
		if !best.Interior || best.SoakMin != row.soak || math.Abs(best.BitesPerMin-row.rate) > 1e-12 {
			t.Errorf("got %+v, want %g min at %g", best, row.soak, row.rate)
		}
		at5, _ := h.BitesPerMin(5, even(row.handling))
		at30, _ := h.BitesPerMin(30, even(row.handling))
		_, soaked, _ := h.At(17)
		if math.Abs(at5-row.rateAt5) > 1e-12 || math.Abs(at30-row.rateAt30) > 1e-12 || math.Abs(soaked-row.to17) > 1e-10 {
			t.Errorf("at 5, 30 and 17 min: %g, %g, %g; want %g, %g, %g", at5, at30, soaked, row.rateAt5, row.rateAt30, row.to17)
		}
	}
}

func TestBestSoakOfLaws(t *testing.T) {
	for _, row := range []struct {
		law        timing.Law
		handling   timing.Handling
		soak, rate float64 // soak 0: none
	}{
		{timing.Weibull{ScaleMin: 20, Shape: 0.7}, even(2), 5.213813978990485, 0.0523878268470023},
		{timing.Weibull{ScaleMin: 12, Shape: 0.85}, even(1.5), 10.641346526804263, 0.07212160428778185},
		{timing.Weibull{ScaleMin: 15, Shape: 1}, even(2), 0, 0.058823529411764705},
		{timing.Weibull{ScaleMin: 15, Shape: 1.6}, even(2), 0, 0.06473072516401152},
		{timing.LogLogistic{ScaleMin: 14, Shape: 1.8}, even(1.5), 32.1514167, 0.045742878871328496},
		{timing.LogLogistic{ScaleMin: 14, Shape: 1.8}, timing.Handling{BlankMin: 1, BiteMin: 4}, 30.7880072, 0.041245706477116666},
		{timing.LogLogistic{ScaleMin: 8, Shape: 2.5}, even(1.5), 28.192234, 0.08502960615859044},
		// The trap: sessions of constant hazard, pooled.
		{timing.GammaMixture{RateMin: 30, Shape: 2}, even(2), 13.1355292, 0.046365491720755464},
	} {
		best, err := timing.BestSoakOf(row.law, row.handling, 1500)
		if err != nil {
			t.Fatal(err)
		}
		if best.Interior != (row.soak > 0) || (best.Interior && math.Abs(best.SoakMin-row.soak) > 1e-3) || math.Abs(best.BitesPerMin-row.rate) > 1e-10 {
			t.Errorf("%+v: got %+v, want %g min at %g", row.law, best, row.soak, row.rate)
		}
	}
}

// Any soak from 22 to 53 min loses under 2 % where 32 is best.
func TestTheRangeThatIsNearlyAsGoodIsWide(t *testing.T) {
	best, err := timing.BestSoakOf(timing.LogLogistic{ScaleMin: 14, Shape: 1.8}, even(1.5), 600)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(best.NearlyAsGood.LowMin-21.937) > 0.01 || math.Abs(best.NearlyAsGood.HighMin-53.252) > 0.01 {
		t.Errorf("the range is %+v, want 22 to 53", best.NearlyAsGood)
	}
}

func anyHazard(t *rapid.T) timing.Hazard {
	starts, perMin := []float64{0}, []float64{rapid.Float64Range(0, 0.3).Draw(t, "hazard")}
	for range rapid.IntRange(0, 6).Draw(t, "breaks") {
		starts = append(starts, starts[len(starts)-1]+rapid.Float64Range(0.5, 8).Draw(t, "width"))
		perMin = append(perMin, rapid.Float64Range(0, 0.3).Draw(t, "hazard"))
	}
	return hazardOf(t, starts, perMin, starts[len(starts)-1]+rapid.Float64Range(0.5, 20).Draw(t, "last width"))
}

func anyHandling(t *rapid.T) timing.Handling {
	blank := rapid.Float64Range(0.3, 4).Draw(t, "blank")
	return timing.Handling{BlankMin: blank, BiteMin: blank + rapid.Float64Range(0, 8).Draw(t, "bite")}
}

func TestNoSoakBeatsTheBestAndTheBestIsABreakOrTheEnd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h, handling := anyHazard(t), anyHandling(t)
		best, err := h.BestSoak(handling)
		if err != nil {
			t.Fatal(err)
		}
		ends := append(append([]float64{}, h.StartsMin...), h.LongestMin)
		atBreak := false
		for _, end := range ends {
			atBreak = atBreak || end == best.SoakMin
		}
		if !atBreak || best.Interior != (best.SoakMin < h.LongestMin) {
			t.Fatalf("%+v is no break of %v", best, ends)
		}
		for i := range 401 {
			soak := min(h.LongestMin, h.LongestMin*float64(i)/400)
			rate, ok := h.BitesPerMin(soak, handling)
			if !ok || rate > best.BitesPerMin+1e-12 {
				t.Fatalf("%g min gives %g, more than %+v", soak, rate, best)
			}
			inside := soak > best.NearlyAsGood.LowMin+1e-6 && soak < best.NearlyAsGood.HighMin-1e-6
			if inside && rate < 0.98*best.BitesPerMin-1e-9 {
				t.Fatalf("%g min gives %g and counts as nearly as good as %+v", soak, rate, best)
			}
		}
	})
}

func TestAConstantHazardHasNoBestSoak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		perMin := rapid.Float64Range(0, 0.5).Draw(t, "hazard")
		h := hazardOf(t, []float64{0, 3, 6, 10}, []float64{perMin, perMin, perMin, perMin}, 30)
		best, err := h.BestSoak(anyHandling(t))
		if err != nil || best.Interior || best.SoakMin != 30 {
			t.Fatalf("got %+v, %v", best, err)
		}
	})
}

func TestSurvivalOfAHazardFallsAndStopsAtTheLongestSoak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyHazard(t)
		before, soakedBefore := 1.0, 0.0
		for i := range 101 {
			s, soaked, ok := h.At(min(h.LongestMin, h.LongestMin*float64(i)/100))
			if !ok || s > before || s < 0 || soaked < soakedBefore || soaked > h.LongestMin*float64(i)/100+1e-9 {
				t.Fatalf("S %g after %g, soaked %g after %g", s, before, soaked, soakedBefore)
			}
			before, soakedBefore = s, soaked
		}
		if _, _, ok := h.At(h.LongestMin * 1.001); ok {
			t.Fatal("survival is claimed past the longest soak")
		}
		if _, _, ok := h.At(math.NaN()); ok {
			t.Fatal("survival is claimed at no time")
		}
	})
}

func TestSoaksRefuseWhatIsOutOfRange(t *testing.T) {
	for _, row := range []struct {
		starts, perMin []float64
		longest        float64
	}{
		{nil, nil, 3},
		{[]float64{1}, []float64{0.1}, 3},
		{[]float64{0, 2, 2}, []float64{0.1, 0.1, 0.1}, 3},
		{[]float64{0, 5}, []float64{0.1, 0.1}, 3},
		{[]float64{0}, []float64{-0.1}, 3},
		{[]float64{0}, []float64{math.NaN()}, 3},
		{[]float64{0}, []float64{0.1}, math.Inf(1)},
	} {
		if h, err := timing.NewHazard(row.starts, row.perMin, row.longest); err == nil {
			t.Errorf("%+v was taken", h)
		}
	}
	h := hazardOf(t, []float64{0}, []float64{0.1}, 10)
	for _, handling := range []timing.Handling{{}, {BlankMin: 2, BiteMin: 1}, {BlankMin: math.NaN(), BiteMin: 1}, {BlankMin: 1, BiteMin: math.Inf(1)}} {
		if _, err := h.BestSoak(handling); err == nil {
			t.Errorf("handling %+v was taken", handling)
		}
		if _, ok := h.BitesPerMin(3, handling); ok {
			t.Errorf("handling %+v gives a rate", handling)
		}
		if _, err := timing.BestSoakOf(timing.Weibull{ScaleMin: 20, Shape: 0.7}, handling, 100); err == nil {
			t.Errorf("handling %+v was taken for a law", handling)
		}
	}
	if _, err := h.BestSoakWithin(even(1), timing.SoakRange{LowMin: 2, HighMin: 11}); err == nil {
		t.Error("a range past the longest soak was taken")
	}
	for _, law := range []timing.Law{timing.Weibull{}, timing.LogLogistic{ScaleMin: 3, Shape: 1}, timing.GammaMixture{RateMin: 3, Shape: 0.5}} {
		if _, err := timing.BestSoakOf(law, even(1), 100); err == nil {
			t.Errorf("%+v was taken", law)
		}
	}
}
