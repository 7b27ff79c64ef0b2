package water

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"math"
	"os"
	"strconv"
	"testing"
)

// stepFraction is how far a water of the depth goes towards a new equilibrium
// in the days, in hourly steps with a constant K.
func stepFraction(depthM, k float64, days int) float64 {
	t := 0.0
	for range days * 24 {
		change, _ := relax(k*(1-t), k, 3600/(densityKgM3*heatCapacityJKgK*depthM))
		t += change
	}
	return t
}

// sineAmplitude drives the water with an equilibrium that swings by 1 in hourly
// steps and gives the swing of the water over the last of its periods.
func sineAmplitude(depthM, k float64, periodH, periods int) float64 {
	t, low, high := 0.0, math.Inf(1), math.Inf(-1)
	for i := range periodH * periods {
		te := math.Sin(2 * math.Pi * (float64(i) + 0.5) / float64(periodH))
		change, _ := relax(k*(te-t), k, 3600/(densityKgM3*heatCapacityJKgK*depthM))
		t += change
		if i >= periodH*(periods-1) {
			low, high = math.Min(low, t), math.Max(high, t)
		}
	}
	return (high - low) / 2
}

// The step response printed in the reference pack (section 1.5): 2 m and
// K = 25 give a time constant of 3.876 days.
func TestStepResponse(t *testing.T) {
	for days, want := range map[int]float64{1: 0.2274, 3: 0.5388, 7: 0.8357} {
		if got := stepFraction(2, 25, days); math.Abs(got-want) > 6e-5 {
			t.Errorf("after %d days %.5f of the step, want %.4f", days, got, want)
		}
	}
}

// The damping of a sine for a time constant of 4 days (section 1.5). Hourly
// steps hold the equilibrium for an hour, so the third figure may differ.
func TestSineResponse(t *testing.T) {
	const depthM = 4 * 86400 * 25 / (densityKgM3 * heatCapacityJKgK)
	for periodH, want := range map[int]float64{24: 0.0398, 168: 0.2683} {
		if got := sineAmplitude(depthM, 25, periodH, 40); math.Abs(got-want) > 0.01*want {
			t.Errorf("period %d h: amplitude %.4f, want %.4f", periodH, got, want)
		}
	}
}

// All depths and coefficients of the shared check file.
func TestSharedLagResponse(t *testing.T) {
	f, err := os.Open("../../../shared/data/water/checks/lag_response.csv")
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("shared/data/water/checks/lag_response.csv is not here; the printed figures are checked by the other tests")
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		v := map[string]float64{}
		for i, text := range row {
			if v[rows[0][i]], err = strconv.ParseFloat(text, 64); err != nil {
				t.Fatal(err)
			}
		}
		depthM, k := v["depth_m"], v["K_wm2k"]
		for _, c := range []struct {
			column    string
			got       float64
			tolerance float64
		}{
			{"step_frac_1d", stepFraction(depthM, k, 1), 1e-6},
			{"step_frac_3d", stepFraction(depthM, k, 3), 1e-6},
			{"step_frac_7d", stepFraction(depthM, k, 7), 1e-6},
			{"amp_daily", sineAmplitude(depthM, k, 24, 60), 0.01 * v["amp_daily"]},
			{"amp_weekly", sineAmplitude(depthM, k, 168, 20), 0.01 * v["amp_weekly"]},
		} {
			if want, ok := v[c.column]; !ok || math.Abs(c.got-want) > c.tolerance {
				t.Errorf("%v m, K %v: %s = %v, want %v", depthM, k, c.column, c.got, want)
			}
		}
	}
}
