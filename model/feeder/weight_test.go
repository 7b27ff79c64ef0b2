package feeder_test

import (
	"math"
	"testing"

	"osier/model/feeder"
)

func TestWeightNeeded(t *testing.T) {
	for _, row := range []struct {
		name                    string
		distance, depth, across float64
		creeps                  bool
		needG, stepG            float64
		step                    bool
	}{
		{"close in", 10, 2, 0, false, 15, 15, true},
		{"a gram a metre", 32, 2, 0, false, 32, 40, true},
		{"4 m is not over 4 m", 30, 4, 4.9, false, 30, 30, true},
		{"deep", 30, 4.1, 0, false, 40, 40, true},
		{"windy", 30, 2, 5, false, 40, 40, true},
		{"strong wind", 30, 2, 8, false, 50, 50, true},
		{"all of it", 60, 5, 9, true, 100, 100, true},
		{"no step", 71, 5, 9, false, 101, 0, false},
	} {
		need, ok := feeder.NeedWeight(row.distance, row.depth, row.across, row.creeps)
		near(t, row.name, need.TotalG(), row.needG, 1e-9)
		step, found := feeder.WeightStepUp(feeder.WeightSteps(), need.TotalG())
		if !ok || found != row.step || step != row.stepG {
			t.Errorf("%s: got step %v %v, want %v %v", row.name, step, found, row.stepG, row.step)
		}
	}
	if _, ok := feeder.NeedWeight(30, math.NaN(), 0, false); ok {
		t.Error("a depth that is no number gave a weight")
	}
	// Ounces as the table prints them.
	for g, oz := range map[float64]float64{10: 0.35, 25: 0.88, 60: 2.12, 100: 3.53} {
		near(t, "oz", feeder.OzFromG(g), oz, 0.005)
	}
}

func TestWindComponents(t *testing.T) {
	for _, row := range []struct {
		name                 string
		speed, from, bearing float64
		wantFacing, wantSide float64
	}{
		{"in the face", 6, 90, 90, 6, 0},
		{"from behind", 6, 270, 90, -6, 0},
		{"from the right", 6, 180, 90, 0, 6},
		{"from the left, through north", 6, 350, 80, 0, -6},
		{"askew", 10, 60, 0, 5, 8.660254},
	} {
		facing, side, ok := feeder.WindOnCast(row.speed, row.from, row.bearing)
		if !ok {
			t.Fatalf("%s refused", row.name)
		}
		near(t, row.name+" facing", facing, row.wantFacing, 1e-6)
		near(t, row.name+" side", side, row.wantSide, 1e-6)
	}
	if _, _, ok := feeder.WindOnCast(5, math.Inf(1), 0); ok {
		t.Error("an infinite direction gave components")
	}
}

// Wind from behind asks for no weight; without a bearing the whole wind counts.
func TestBackWindNeedsNoWeight(t *testing.T) {
	in := at(feeder.Silver, 12, 30, 2, 9, func(in *feeder.Input) {
		in.Wind.FromDeg, in.Wind.FromKnown = 270, true
		in.CastBearingDeg, in.CastBearingKnown = 90, true
	})
	near(t, "back wind", mustPlan(t, in).Cast.Need.WindG, 0, 0)
	in.CastBearingKnown = false
	near(t, "no bearing", mustPlan(t, in).Cast.Need.WindG, 20, 0)
}
