package water_test

import (
	"math"
	"testing"
	"time"

	"osier/model/water"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var july = time.Date(2021, 7, 20, 12, 0, 0, 0, time.UTC)

func daysBefore(days float64, diffC float64) water.Residual {
	return water.Residual{At: july.Add(-time.Duration(days * 24 * float64(time.Hour))), DiffC: diffC}
}

func calibration(t tb, residuals ...water.Residual) water.Calibration {
	t.Helper()
	c, err := water.NewCalibration(residuals)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The first row is the check printed in the reference pack (2.2); the others
// are worked by hand from its formula.
func TestOffset(t *testing.T) {
	for _, c := range []struct {
		name             string
		residuals        []water.Residual
		wantC, wantSdC   float64
		toleranceC, tolS float64
	}{
		{"1.2 today and 0.9 eight days ago", []water.Residual{daysBefore(0, 1.2), daysBefore(8, 0.9)}, 0.67703, 0.60960, 5e-6, 5e-5},
		{"the order does not matter", []water.Residual{daysBefore(8, 0.9), daysBefore(0, 1.2)}, 0.67703, 0.60960, 5e-6, 5e-5},
		{"none", nil, 0, 1, 0, 0},
		{"one now: half of it", []water.Residual{daysBefore(0, 1)}, 0.5, math.Sqrt(0.5), 1e-12, 1e-12},
		{"one of 15 days: a third of it", []water.Residual{daysBefore(15, 1)}, 1.0 / 3, math.Sqrt(1 / 1.5), 1e-12, 1e-12},
		{"one of tomorrow", []water.Residual{daysBefore(-1, 3)}, 0, 1, 0, 0},
		{"one of two years ago", []water.Residual{daysBefore(730, 3)}, 0, 1, 1e-12, 1e-12},
	} {
		offset, sd := calibration(t, c.residuals...).At(july)
		near(t, c.name+": offset", offset, c.wantC, c.toleranceC)
		near(t, c.name+": sd", sd, c.wantSdC, c.tolS)
	}
}

// The corrected figures and interval of one estimate, worked by hand: a reading
// of now leaves a variance of a half beside the short-term error's.
func TestApply(t *testing.T) {
	e, err := water.ClimateEstimate(site, july)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(e, water.Calibration{}.Apply(e)); diff != "" {
		t.Error("the zero calibration changes the estimate:\n" + diff)
	}
	if diff := cmp.Diff(e, calibration(t, daysBefore(-1, 5)).Apply(e)); diff != "" {
		t.Error("a reading of tomorrow changes the estimate:\n" + diff)
	}
	got := calibration(t, daysBefore(0, 2)).Apply(e)
	near(t, "surface", got.SurfaceC, e.SurfaceC+1, 1e-12)
	near(t, "bottom", got.BottomC, e.BottomC+1, 1e-12)
	variance := func(e water.Estimate) float64 {
		half := (e.HighC - e.LowC) / 2 / 1.2815515655446004
		return half * half
	}
	near(t, "variance that the reading takes away", variance(e)-variance(got), 0.5, 1e-9)

	cold := calibration(t, daysBefore(0, -50)).Apply(e)
	if cold.SurfaceC != 0 || cold.BottomC != 0 || cold.LowC != 0 || cold.BottomHighC != 4 {
		t.Errorf("a correction below 0: %+v", cold)
	}
}

// A correction never overshoots the readings, more of them narrow what is left,
// and a reading counts for less the older it is.
func TestCalibrationMovesTowardsReadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ages := rapid.SliceOfN(rapid.Float64Range(0, 200), 1, 30).Draw(t, "ages")
		diffC := rapid.Float64Range(-10, 10).Draw(t, "diff")
		var residuals []water.Residual
		sdBefore, offsetBefore := water.OffsetSdC, 0.0
		for _, age := range ages {
			residuals = append(residuals, daysBefore(age, diffC))
			offset, sd := calibration(t, residuals...).At(july)
			if sd >= sdBefore {
				t.Fatalf("one more reading, and the sd goes from %v to %v", sdBefore, sd)
			}
			if math.Abs(offset) < math.Abs(offsetBefore) || math.Abs(offset) > math.Abs(diffC) || offset*diffC < 0 {
				t.Fatalf("readings of %v move the offset from %v to %v", diffC, offsetBefore, offset)
			}
			sdBefore, offsetBefore = sd, offset
		}
		older := rapid.Float64Range(1, 60).Draw(t, "older by")
		young, _ := calibration(t, daysBefore(ages[0], 1)).At(july)
		old, _ := calibration(t, daysBefore(ages[0]+older, 1)).At(july)
		if old >= young {
			t.Fatalf("a reading of %v days counts %v, one %v days older %v", ages[0], young, older, old)
		}
	})
}

func TestCalibrationRefusesWhatIsNoReading(t *testing.T) {
	for _, r := range []water.Residual{{DiffC: 1}, {At: july, DiffC: math.NaN()}, {At: july, DiffC: math.Inf(1)}, {At: july, DiffC: -61}} {
		if _, err := water.NewCalibration([]water.Residual{daysBefore(1, 1), r}); err == nil {
			t.Errorf("%+v: no error", r)
		}
	}
}

// A reading that meets what is left of the start's guess says less: with 1 C of
// it left, half as much as with none.
func TestAReadingBesideTheStartsErrorCountsLess(t *testing.T) {
	at := april
	calibration := func(memorySdC float64) water.Calibration {
		c, err := water.NewCalibration([]water.Residual{{At: at, DiffC: 3, MemorySdC: memorySdC}})
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	offsetC, _ := calibration(0).At(at)
	near(t, "offset without", offsetC, 1.5, 1e-12)
	offsetC, sdC := calibration(1).At(at)
	near(t, "offset beside 1 C", offsetC, 1, 1e-12)
	near(t, "what is left uncertain", sdC, 1/math.Sqrt(1.5), 1e-12)
	if _, err := water.NewCalibration([]water.Residual{{At: at, MemorySdC: -1}}); err == nil {
		t.Error("a memory below 0: no error")
	}
}
