package feeder

import (
	"fmt"
	"slices"
)

// Greatest figures taken; beyond them a figure is a slip of the pen. Our choice.
const (
	mostHours     = 24.0
	mostDistanceM = 200.0
	mostDepthM    = 100.0
	mostWindMps   = 60.0
	mostRodG      = 500.0
	mostRateGH    = 5000.0
	leastWaterC   = -2.0
	mostWaterC    = 40.0
)

// Input is what a cold-start plan is made from.
type Input struct {
	Group Group

	WaterC     float64 // Estimated or measured water temperature.
	WaterLowC  float64 // 80 % interval; both ends equal WaterC for a thermometer.
	WaterHighC float64

	DistanceM float64 // Clip distance; 0 not named, and step 7 is left out.
	DepthM    float64 // 0 not known.

	Wind             Wind
	CastBearingDeg   float64 // Degrees true.
	CastBearingKnown bool
	Creeps           bool // The feeder has been seen to creep (tow).

	Hours      float64 // Planned hours, more than 0 and at most 24.
	KnownWater bool    // At least three sessions of this angler there.

	RodMaxG float64 // Greatest feeder and fill together; 0 not given.
	Kit     Kit

	LevelCap     Level   // Highest level a caution allows; empty for none.
	DryLimitG    float64 // The water's own limit of dry feed a day; 0 none.
	WishedRateGH float64 // Rate recommended instead of the starting rate; 0 none.
}

// rodMaxG is the rating that binds: the one named for this plan, else the kit's,
// else 0.
func (in Input) rodMaxG() float64 {
	if in.RodMaxG > 0 {
		return in.RodMaxG
	}
	return in.Kit.RodRatingG
}

// densityGMl is the measured density, else the trade's.
func (in Input) densityGMl() float64 {
	if in.Kit.DensityGMl > 0 {
		return in.Kit.DensityGMl
	}
	return DefaultDensityGMl
}

// wideInterval says whether the 80 % interval is wider than 2 C either way.
func (in Input) wideInterval() bool { return (in.WaterHighC-in.WaterLowC)/2 > 2 }

// feedTempC is the temperature that feed is read at: the estimate, or the lower
// end of an interval wider than 2 C either way, since feed cannot be taken back.
func (in Input) feedTempC() float64 {
	if in.wideInterval() {
		return in.WaterLowC
	}
	return in.WaterC
}

// Check refuses input that no plan can be made from. The error is a *FieldError.
func (in Input) Check() error {
	if !in.Group.Known() {
		return &FieldError{"group", fmt.Sprintf("is %q", in.Group), "give silver, bream or carp"}
	}
	checks := []error{
		within("water_c", in.WaterC, leastWaterC, mostWaterC, "give the water temperature, -2 to 40 C"),
		within("water_low_c", in.WaterLowC, leastWaterC-20, mostWaterC, "give the interval's lower end, -22 to 40 C"),
		within("water_high_c", in.WaterHighC, leastWaterC, mostWaterC+20, "give the interval's upper end, -2 to 60 C"),
		in.checkInterval(),
		in.checkHours(),
		within("distance_m", in.DistanceM, 0, mostDistanceM, "give metres from 0 (not named) to 200"),
		within("depth_m", in.DepthM, 0, mostDepthM, "give metres from 0 (not known) to 100"),
		in.checkWind(),
		zeroOrWithin("rod_max_g", in.RodMaxG, 1, mostRodG, "give the rod's rating in grams, 1 to 500, or leave it out"),
		in.Kit.check(),
		in.checkCap(),
		zeroOrWithin("dry_limit_g", in.DryLimitG, 1, 1e6, "give the water's limit in grams of dry feed, or leave it out"),
		zeroOrWithin("wished_rate_g_h", in.WishedRateGH, 1, mostRateGH, "give damp grams an hour, 1 to 5000, or leave it out"),
	}
	for _, err := range checks {
		if err != nil {
			return err
		}
	}
	return nil
}

func (in Input) checkInterval() error {
	if in.WaterLowC <= in.WaterC && in.WaterC <= in.WaterHighC {
		return nil
	}
	return &FieldError{
		"water_low_c, water_high_c",
		fmt.Sprintf("are %g and %g around %g", in.WaterLowC, in.WaterHighC, in.WaterC),
		"the interval must hold the estimate; for a thermometer give its reading three times",
	}
}

func (in Input) checkHours() error {
	const remedy = "plan for more than 0 and at most 24 hours"
	if in.Hours <= 0 {
		return &FieldError{"hours", fmt.Sprintf("is %g", in.Hours), remedy}
	}
	return within("hours", in.Hours, 0, mostHours, remedy)
}

func (in Input) checkWind() error {
	if in.Wind.SpeedKnown {
		if err := within("wind_mps", in.Wind.SpeedMps, 0, mostWindMps, "give metres a second, 0 to 60"); err != nil {
			return err
		}
	}
	if in.Wind.FromKnown {
		if err := within("wind_from_deg", in.Wind.FromDeg, 0, 360, "give degrees true, 0 to 360"); err != nil {
			return err
		}
	}
	if in.CastBearingKnown {
		return within("cast_bearing_deg", in.CastBearingDeg, 0, 360, "give degrees true, 0 to 360")
	}
	return nil
}

func (in Input) checkCap() error {
	if in.LevelCap == "" || slices.Contains(Levels(), in.LevelCap) {
		return nil
	}
	return &FieldError{"level_cap", fmt.Sprintf("is %q", in.LevelCap), "give Trace, Lean, Even, Ample or Heavy, or leave it out"}
}
