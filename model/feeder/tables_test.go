package feeder_test

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/model/feeder"
)

// The trade's starting rates at their own temperatures, and halfway between two
// of them, where the log rule gives the geometric mean.
func TestStartingRate(t *testing.T) {
	for _, row := range []struct {
		group  feeder.Group
		waterC float64
		want   float64
	}{
		{feeder.Silver, -1, 45},
		{feeder.Silver, 2, 45},
		{feeder.Silver, 8, 70},
		{feeder.Silver, 17.5, 220},
		{feeder.Silver, 30, 220},
		{feeder.Bream, 12.5, 190},
		{feeder.Bream, 15, 268.7006}, // sqrt(190 x 380)
		{feeder.Carp, 5, 36.0555},    // sqrt(20 x 65)
		{feeder.Carp, 22, 290},
	} {
		got, ok := feeder.StartingRateGH(row.group, row.waterC)
		if !ok {
			t.Fatalf("%s at %v C refused", row.group, row.waterC)
		}
		near(t, string(row.group), got, row.want, 1e-4)
	}
	for _, waterC := range []float64{math.NaN(), math.Inf(1)} {
		if got, ok := feeder.StartingRateGH(feeder.Carp, waterC); ok {
			t.Errorf("%v C gave %v", waterC, got)
		}
	}
	if _, ok := feeder.StartingRateGH("pike", 10); ok {
		t.Error("an unknown group gave a rate")
	}
}

func TestLevelEdges(t *testing.T) {
	for _, row := range []struct {
		group  feeder.Group
		rateGH float64
		level  feeder.Level
		scale  feeder.Scale
	}{
		{feeder.Silver, 9.9, feeder.Trace, feeder.BelowScale},
		{feeder.Silver, 10, feeder.Trace, feeder.OnScale},
		{feeder.Silver, 40, feeder.Lean, feeder.OnScale},
		{feeder.Silver, 179.9, feeder.Even, feeder.OnScale},
		{feeder.Silver, 180, feeder.Ample, feeder.OnScale},
		{feeder.Bream, 550, feeder.Heavy, feeder.OnScale},
		{feeder.Bream, 950, feeder.Heavy, feeder.AboveScale},
		{feeder.Carp, 0, feeder.Trace, feeder.BelowScale},
	} {
		level, scale, ok := feeder.LevelOf(row.group, row.rateGH)
		if !ok || level != row.level || scale != row.scale {
			t.Errorf("%s %v g/h: got %s %s %v, want %s %s", row.group, row.rateGH, level, scale, ok, row.level, row.scale)
		}
	}
	if _, _, ok := feeder.LevelOf(feeder.Silver, math.NaN()); ok {
		t.Error("NaN has a level")
	}
}

// A cap binds from 0.95 of the step's upper edge and gives its own name; below
// it the rate keeps its own level.
func TestCapAt(t *testing.T) {
	for _, row := range []struct {
		rateGH float64
		limit  feeder.Level
		wantGH float64
		level  feeder.Level
	}{
		{290, feeder.Even, 209, feeder.Even},
		{215, feeder.Even, 209, feeder.Even},
		{60, feeder.Even, 60, feeder.Lean},
		{290, feeder.Lean, 95, feeder.Lean},
		{20, feeder.Lean, 20, feeder.Trace},
	} {
		got, level, ok := feeder.CapAt(feeder.Carp, row.rateGH, row.limit)
		near(t, "capped", got, row.wantGH, 1e-9)
		if !ok || level != row.level {
			t.Errorf("%v at %s: got %s %v, want %s", row.rateGH, row.limit, level, ok, row.level)
		}
	}
	if _, _, ok := feeder.CapAt(feeder.Carp, math.Inf(1), feeder.Even); ok {
		t.Error("an infinite rate was capped instead of refused")
	}
	if _, _, ok := feeder.CapAt(feeder.Carp, 50, "Feast"); ok {
		t.Error("an unknown level was taken as a cap")
	}
}

func TestSoakBands(t *testing.T) {
	for _, row := range []struct {
		group  feeder.Group
		waterC float64
		want   feeder.Soak
	}{
		{feeder.Silver, 5.9, feeder.Soak{StartMin: 7, LowMin: 4, HighMin: 12}},
		{feeder.Silver, 6, feeder.Soak{StartMin: 6, LowMin: 4, HighMin: 10}},
		{feeder.Bream, 10, feeder.Soak{StartMin: 7, LowMin: 4, HighMin: 15}},
		{feeder.Carp, 20, feeder.Soak{StartMin: 5, LowMin: 3, HighMin: 10}},
		{feeder.Carp, 20.1, feeder.Soak{StartMin: 5, LowMin: 3, HighMin: 8}},
	} {
		if got, ok := feeder.SoakFor(row.group, row.waterC); !ok || got != row.want {
			t.Errorf("%s at %v C: got %+v, want %+v", row.group, row.waterC, got, row.want)
		}
	}
}

func TestHandlingAndFish(t *testing.T) {
	near(t, "near", feeder.HandlingMin(50), 1.5, 0)
	near(t, "far", feeder.HandlingMin(50.1), 2, 0)
	// Six carp-type fish an hour at 3 min each leave 42 of 60 minutes: fills fall by 30 %.
	for group, want := range map[feeder.Group]float64{feeder.Silver: 0.7, feeder.Bream: 2.5, feeder.Carp: 4} {
		got, ok := feeder.MinutesPerFish(group)
		if !ok || got != want {
			t.Errorf("%s: got %v, want %v", group, got, want)
		}
	}
	if _, ok := feeder.FillsPerH(0, 0); ok {
		t.Error("a cycle of no length gave fills")
	}
}

// Masses of the size table: usual fill 9, 15, 26, 41 and 64 g.
func TestStepsHoldWhatTheTableSays(t *testing.T) {
	want := []float64{9, 15, 26, 41, 64}
	for i, s := range feeder.Steps() {
		near(t, s.Name, s.CapacityMl*feeder.DefaultDensityGMl, want[i], 0.5)
	}
	for ml, name := range map[float64]string{5: "XS", 15: "XS", 16: "S", 26: "S", 27: "M", 43: "M", 44: "L", 68: "L", 69: "XL", 300: "XL"} {
		if got, ok := feeder.NearestStep(ml); !ok || got.Name != name {
			t.Errorf("%v ml: got %s, want %s", ml, got.Name, name)
		}
	}
}

func TestDensityFromTenFills(t *testing.T) {
	got, err := feeder.DensityFromTenFills(262.5, 35)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "density", got, 0.75, 1e-12)
	for _, bad := range [][2]float64{{262.5, 0}, {2625, 35}, {10, 35}, {math.NaN(), 35}, {262.5, math.Inf(1)}} {
		if got, err := feeder.DensityFromTenFills(bad[0], bad[1]); err == nil {
			t.Errorf("%v gave %v", bad, got)
		}
	}
}

func TestRodsByDistance(t *testing.T) {
	for _, row := range []struct {
		distanceM float64
		name      string
		ratingG   float64
	}{
		{1, "up to 25 m", 40},
		{25, "up to 25 m", 40},
		{25.1, "25-40 m", 60},
		{40, "25-40 m", 60},
		{60, "40-60 m", 80},
		{61, "over 60 m", 120},
		{150, "over 60 m", 120},
	} {
		rods := feeder.RodsFor(row.distanceM)
		if len(rods) == 0 || rods[0].Name != row.name || rods[0].RatingHighG != row.ratingG {
			t.Errorf("%v m: got %+v, want %s", row.distanceM, rods, row.name)
		}
	}
	if got := feeder.RodsFor(0); got != nil {
		t.Errorf("no distance gave %+v", got)
	}
}

func TestFeederType(t *testing.T) {
	for _, row := range []struct {
		distanceM, depthM float64
		want              string
	}{
		{0, 0, feeder.Cage},
		{50, 4, feeder.Cage},
		{50, 4.5, feeder.PlasticOpenEnd},
		{55, 2, feeder.Window},
	} {
		if got := feeder.FeederType(row.distanceM, row.depthM); got != row.want {
			t.Errorf("%v m out, %v m deep: got %s, want %s", row.distanceM, row.depthM, got, row.want)
		}
	}
}

func TestHookLengths(t *testing.T) {
	for _, row := range []struct {
		group     feeder.Group
		waterC    float64
		low, high float64
		small     int
		large     int
	}{
		{feeder.Silver, 4, 60, 100, 18, 16},
		{feeder.Bream, 6, 60, 100, 18, 16},
		{feeder.Bream, 15, 50, 90, 16, 14},
		{feeder.Bream, 15.1, 40, 75, 16, 12},
		{feeder.Carp, 20, 20, 40, 16, 12},
	} {
		h, ok := feeder.HookFor(row.group, row.waterC)
		if !ok || h.LengthLowCm != row.low || h.LengthHighCm != row.high || h.SmallestSize != row.small || h.LargestSize != row.large {
			t.Errorf("%s at %v C: got %+v", row.group, row.waterC, h)
		}
		rods := feeder.Rods()
		if h.StrengthLowLb >= rods[0].LineHighLb {
			t.Errorf("%s: hook length of %v lb is not weaker than the main line", row.group, h.StrengthLowLb)
		}
	}
}

func TestSeasons(t *testing.T) {
	for _, row := range []struct {
		waterC                      float64
		band                        string
		particlesLow, particlesHigh float64
		patienceLow, patienceHigh   float64
		release                     string
	}{
		{7.9, feeder.Winter, 0, 0, 45, 60, feeder.ReleaseSurface},
		{8, feeder.Between, 0, 0.1, 30, 45, feeder.ReleaseBottom},
		{15, feeder.Between, 0, 0.1, 30, 45, feeder.ReleaseBottom},
		{15.1, feeder.Summer, 0.1, 0.3, 20, 30, feeder.ReleaseBottom},
	} {
		for _, group := range feeder.Groups() {
			s, ok := feeder.SeasonFor(group, row.waterC)
			if !ok || s.Band != row.band || s.ParticlesShareLow != row.particlesLow || s.ParticlesShareHigh != row.particlesHigh ||
				s.PatienceLowMin != row.patienceLow || s.PatienceHighMin != row.patienceHigh || s.OpeningRelease != row.release {
				t.Errorf("%s at %v C: got %+v", group, row.waterC, s)
			}
			if n := len(s.HookBaits); n < 2 || n > 3 {
				t.Errorf("%s in %s: %d hook baits, want two or three to compare", group, s.Band, n)
			}
		}
	}
}

// A caller that changes what it was given does not change the tables.
func TestSeasonBaitsAreACopy(t *testing.T) {
	first, _ := feeder.SeasonFor(feeder.Carp, 18)
	want := slices.Clone(first.HookBaits)
	first.HookBaits[0] = "spoilt"
	again, _ := feeder.SeasonFor(feeder.Carp, 18)
	if diff := cmp.Diff(want, again.HookBaits); diff != "" {
		t.Error(diff)
	}
}

// Checks printed with the formula: clip 15 m over 4 m loses 0.86 m, clip 30 m
// over 3 m loses 0.27 m, tip 1 m up.
func TestClipGeometry(t *testing.T) {
	for _, row := range [][3]float64{{15, 4, 0.86}, {30, 3, 0.27}} {
		got, err := feeder.HorizontalRangeM(row[0], row[1], feeder.UsualTipHeightM)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "loss", row[0]-got, row[2], 0.005)
	}
	for _, bad := range [][3]float64{{4, 4, 1}, {-1, 2, 1}, {20, math.NaN(), 1}, {20, 2, -1}} {
		if got, err := feeder.HorizontalRangeM(bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("%v gave %v", bad, got)
		}
	}
}

func TestNonLeadNote(t *testing.T) {
	for g, owed := range map[float64]bool{10: true, 20: true, 25: true, 30: false, 100: false, 0: false} {
		if _, ok := feeder.NonLeadNote(g); ok != owed {
			t.Errorf("%v g: owed %v, want %v", g, ok, owed)
		}
	}
}
