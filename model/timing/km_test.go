package timing_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/timing"
)

// Weeks in remission, Freireich and others 1963, Blood 21: the treated arm and
// the placebo arm. A wait cut short has no relapse.
var (
	sixMPWeeks    = []float64{6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35}
	sixMPRelapse  = []bool{true, true, true, false, true, false, true, false, false, true, true, false, false, false, true, true, false, false, false, false, false}
	placeboWeeks  = []float64{1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23}
	placeboRelaps = allTrue(21)
)

func allTrue(n int) []bool {
	out := make([]bool, n)
	for i := range out {
		out[i] = true
	}
	return out
}

func curveOf(t *testing.T, times []float64, bites []bool) timing.Survival {
	t.Helper()
	curve, err := timing.KaplanMeier(times, bites)
	if err != nil {
		t.Fatal(err)
	}
	return curve
}

// Fractions worked by hand from the counts: S is 6/7, then times 16/17, 14/15,
// 11/12, 10/11, 6/7 and 5/6; Greenwood's errors as printed in the textbooks.
func TestKaplanMeierGivesTheTreatedArm(t *testing.T) {
	curve := curveOf(t, sixMPWeeks, sixMPRelapse)
	want := []struct {
		week, survival, se float64
		atRisk             int
	}{
		{6, 6.0 / 7, 0.0763603548, 21},
		{7, 6.0 / 7 * 16 / 17, 0.0869352851, 17},
		{10, 6.0 / 7 * 16 / 17 * 14 / 15, 0.0963, 15},
		{13, 6.0 / 7 * 16 / 17 * 14 / 15 * 11 / 12, 0.1068, 12},
		{16, 6.0 / 7 * 16 / 17 * 14 / 15 * 10 / 12, 0.1141, 11},
		{22, 6.0 / 7 * 16 / 17 * 14 / 15 * 10 / 12 * 6 / 7, 0.1282, 7},
		{23, 6.0 / 7 * 16 / 17 * 14 / 15 * 10 / 12 * 5 / 7, 0.1345914568, 6},
	}
	i := 0
	for _, step := range curve.Steps {
		if step.Bites == 0 {
			continue
		}
		w := want[i]
		if step.TimeMin != w.week || step.AtRisk != w.atRisk || math.Abs(step.Survival-w.survival) > 1e-14 || math.Abs(*step.SE-w.se) > 6e-5 {
			t.Errorf("step %d is %+v with error %g, want %+v", i, step, *step.SE, w)
		}
		i++
	}
	if i != len(want) {
		t.Fatalf("%d steps with an event, want %d", i, len(want))
	}
	first := curve.Steps[0]
	if math.Abs(*first.Low95-0.619717955265984) > 1e-12 || math.Abs(*first.High95-0.951551747646997) > 1e-12 {
		t.Errorf("the log(-log) limits at week 6 are %g and %g", *first.Low95, *first.High95)
	}
	if median, ok := curve.MedianMin(); !ok || median != 23 {
		t.Errorf("the median is %g, %v, want 23", median, ok)
	}
	if mean, ok := curve.MeanMin(35); !ok || math.Abs(mean-23.2873949579832) > 1e-10 {
		t.Errorf("the mean up to week 35 is %g, %v", mean, ok)
	}
}

func TestNothingIsKnownWhereNobodyIsLeftOrWaitedSoLong(t *testing.T) {
	placebo := curveOf(t, placeboWeeks, placeboRelaps)
	last := placebo.Steps[len(placebo.Steps)-1]
	if last.Survival != 0 || last.SE != nil || last.Low95 != nil || last.High95 != nil {
		t.Errorf("the last step of the placebo arm is %+v, want 0 without error or limits", last)
	}
	treated := curveOf(t, sixMPWeeks, sixMPRelapse)
	if s, ok := treated.At(35); !ok || math.Abs(s-0.448179271708683) > 1e-12 {
		t.Errorf("S(35) is %g, %v", s, ok)
	}
	if s, ok := treated.At(35.1); ok || s != 0 {
		t.Errorf("S(35.1) is %g, %v, want unknown, not flat", s, ok)
	}
	if _, ok := treated.MeanMin(36); ok {
		t.Error("a mean past the longest time is claimed")
	}
	if _, ok := curveOf(t, []float64{3, 5}, []bool{false, true}).MedianMin(); !ok {
		t.Error("S falls to 0 and no median is known")
	}
	if _, ok := curveOf(t, []float64{3, 5}, []bool{false, false}).MedianMin(); ok {
		t.Error("nobody was bitten and a median is claimed")
	}
	none := curveOf(t, []float64{3}, []bool{false}).Steps[0]
	if none.Survival != 1 || *none.SE != 0 || none.Low95 != nil {
		t.Errorf("without an event the step is %+v", none)
	}
}

func TestBitesComeBeforeWindInsOfTheSameMinute(t *testing.T) {
	curve := curveOf(t, []float64{4, 4}, []bool{false, true})
	if step := curve.Steps[0]; step.AtRisk != 2 || step.Survival != 0.5 {
		t.Errorf("got %+v, want both at risk and S 0.5", step)
	}
}

func TestKaplanMeierRefusesWhatIsNoTime(t *testing.T) {
	for _, times := range [][]float64{nil, {-1}, {math.NaN()}, {math.Inf(1)}} {
		if _, err := timing.KaplanMeier(times, make([]bool, len(times))); err == nil {
			t.Errorf("%v was taken", times)
		}
	}
	if _, err := timing.KaplanMeier([]float64{1, 2}, []bool{true}); err == nil {
		t.Error("two times with one outcome were taken")
	}
}

func someCasts(t *rapid.T) (times []float64, bites []bool) {
	for range rapid.IntRange(1, 40).Draw(t, "casts") {
		times = append(times, float64(rapid.IntRange(1, 30).Draw(t, "minute")))
		bites = append(bites, rapid.Bool().Draw(t, "bite"))
	}
	return times, bites
}

func TestSurvivalNeverRisesAndOrderChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		times, bites := someCasts(t)
		curve, err := timing.KaplanMeier(times, bites)
		if err != nil {
			t.Fatal(err)
		}
		before := 1.0
		for _, step := range curve.Steps {
			if step.Survival > before || step.Survival < 0 {
				t.Fatalf("S goes from %g to %g", before, step.Survival)
			}
			if step.Low95 != nil && !(0 <= *step.Low95 && *step.Low95 <= step.Survival && step.Survival <= *step.High95 && *step.High95 <= 1) {
				t.Fatalf("limits %g to %g about %g", *step.Low95, *step.High95, step.Survival)
			}
			before = step.Survival
		}
		rand.New(rand.NewPCG(1, uint64(len(times)))).Shuffle(len(times), func(i, j int) {
			times[i], times[j] = times[j], times[i]
			bites[i], bites[j] = bites[j], bites[i]
		})
		again, err := timing.KaplanMeier(times, bites)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(curve, again); diff != "" {
			t.Fatalf("another order gives another curve: %s", diff)
		}
	})
}

func TestOneMoreCastWithoutABiteNeverLowersSurvival(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		times, bites := someCasts(t)
		before, err := timing.KaplanMeier(times, bites)
		if err != nil {
			t.Fatal(err)
		}
		after, err := timing.KaplanMeier(append(times, float64(rapid.IntRange(1, 40).Draw(t, "blank"))), append(bites, false))
		if err != nil {
			t.Fatal(err)
		}
		for _, step := range before.Steps {
			if s, _ := after.At(step.TimeMin); s < step.Survival-1e-12 {
				t.Fatalf("S(%g) fell from %g to %g", step.TimeMin, step.Survival, s)
			}
		}
	})
}
