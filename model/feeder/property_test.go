package feeder_test

import (
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"osier/model/feeder"
)

var groups = rapid.SampledFrom(feeder.Groups())

// anyInput draws valid input over the whole range that is taken.
func anyInput(t *rapid.T) feeder.Input {
	in := feeder.Input{
		Group:            groups.Draw(t, "group"),
		WaterC:           rapid.Float64Range(-1, 32).Draw(t, "water"),
		DepthM:           rapid.Float64Range(0, 12).Draw(t, "depth"),
		CastBearingDeg:   rapid.Float64Range(0, 360).Draw(t, "bearing"),
		CastBearingKnown: rapid.Bool().Draw(t, "bearing known"),
		Creeps:           rapid.Bool().Draw(t, "creeps"),
		Hours:            rapid.Float64Range(0.05, 24).Draw(t, "hours"),
		KnownWater:       rapid.Bool().Draw(t, "known water"),
		LevelCap:         rapid.SampledFrom(append(feeder.Levels(), "")).Draw(t, "cap"),
		Wind: feeder.Wind{
			SpeedMps: rapid.Float64Range(0, 25).Draw(t, "wind"), SpeedKnown: rapid.Bool().Draw(t, "wind known"),
			FromDeg: rapid.Float64Range(0, 360).Draw(t, "from"), FromKnown: rapid.Bool().Draw(t, "from known"),
		},
	}
	half := rapid.Float64Range(0, 6).Draw(t, "half interval")
	in.WaterLowC, in.WaterHighC = in.WaterC-half, in.WaterC+half
	if rapid.Bool().Draw(t, "distance named") {
		in.DistanceM = rapid.Float64Range(1, 120).Draw(t, "distance")
	}
	if rapid.Bool().Draw(t, "rod named") {
		in.RodMaxG = rapid.Float64Range(5, 200).Draw(t, "rod")
	}
	if rapid.Bool().Draw(t, "rate named") {
		in.WishedRateGH = rapid.Float64Range(1, 1500).Draw(t, "rate")
	}
	if rapid.Bool().Draw(t, "limit named") {
		in.DryLimitG = rapid.Float64Range(50, 3000).Draw(t, "limit")
	}
	if rapid.Bool().Draw(t, "kit named") {
		in.Kit = anyKit(t)
	}
	return in
}

func anyKit(t *rapid.T) feeder.Kit {
	return feeder.Kit{
		Feeders: rapid.SliceOfN(rapid.Custom(func(t *rapid.T) feeder.KitFeeder {
			return feeder.KitFeeder{
				CapacityMl: rapid.Float64Range(5, 200).Draw(t, "ml"),
				WeightG:    rapid.Float64Range(5, 120).Draw(t, "g"),
			}
		}), 0, 5).Draw(t, "feeders"),
		RodRatingG: rapid.SampledFrom([]float64{0, 40, 90}).Draw(t, "kit rod"),
		DensityGMl: rapid.SampledFrom([]float64{0, 0.6, 0.95}).Draw(t, "density"),
	}
}

func plan(t *rapid.T, in feeder.Input) feeder.Plan {
	p, err := feeder.ColdStart(in)
	if err != nil {
		t.Fatalf("ColdStart(%+v): %v", in, err)
	}
	return p
}

func TestStartingRateNeverFallsAsWaterWarms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		group := groups.Draw(t, "group")
		a := rapid.Float64Range(-2, 22).Draw(t, "a")
		b := rapid.Float64Range(a, 22).Draw(t, "b")
		low, _ := feeder.StartingRateGH(group, a)
		high, _ := feeder.StartingRateGH(group, b)
		if low > high*(1+1e-12) {
			t.Fatalf("%v g/h at %v C but %v g/h at %v C", low, a, high, b)
		}
	})
}

func TestResultingRateNeverPassesACap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyInput(t)
		p := plan(t, in)
		check := func(applies bool, level feeder.Level) {
			if !applies {
				return
			}
			_, upper, _ := feeder.LevelRangeGH(in.Group, level)
			if p.Feed.RateGH > 0.95*upper*(1+1e-12) {
				t.Fatalf("%v g/h passes the cap at %s", p.Feed.RateGH, level)
			}
		}
		check(in.WaterHighC >= 24, feeder.Even)
		check(in.WaterLowC < 3, feeder.Lean)
		check(in.LevelCap != "", in.LevelCap)
	})
}

func TestWeightAndFillStayWithinTheRod(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyInput(t)
		p := plan(t, in)
		c := p.Cast
		switch {
		case !c.Named:
		case c.NoSafeCast:
			if c.WeightG != 0 || c.LongestM >= in.DistanceM {
				t.Fatalf("no safe cast at %v m, yet %+v", in.DistanceM, c)
			}
		default:
			limit := c.Rod.RatingHighG
			if in.RodMaxG > 0 {
				limit = in.RodMaxG
			} else if in.Kit.RodRatingG > 0 {
				limit = in.Kit.RodRatingG
			}
			if c.WeightG+p.Feeder.FillG > limit+1e-9 || c.LoadedMassG != c.WeightG+p.Feeder.FillG {
				t.Fatalf("%v g and a fill of %v g on a rod for %v g", c.WeightG, p.Feeder.FillG, limit)
			}
			if c.WeightG < in.DistanceM || c.WeightG < 15 {
				t.Fatalf("%v g does not reach %v m", c.WeightG, in.DistanceM)
			}
		}
	})
}

func TestTheLongestDistanceDoesWork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyInput(t)
		in.DistanceM = rapid.Float64Range(10, 120).Draw(t, "named distance")
		p := plan(t, in)
		if !p.Cast.NoSafeCast || p.Cast.LongestM == 0 {
			return
		}
		in.DistanceM = p.Cast.LongestM
		if again := plan(t, in); again.Cast.NoSafeCast {
			t.Fatalf("%v m was named as the longest that works, and does not", in.DistanceM)
		}
	})
}

func TestOpeningIsBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyInput(t)
		in.KnownWater = true
		known := plan(t, in)
		in.KnownWater = false
		unknown := plan(t, in)
		if unknown.Feed.OpeningFills > known.Feed.OpeningFills {
			t.Fatalf("%d fills on an unknown water, %d on a known one", unknown.Feed.OpeningFills, known.Feed.OpeningFills)
		}
		if n := known.Feed.OpeningFills; n < 0 || n > 12 || (in.WaterC < 6 && n > 3) {
			t.Fatalf("%d opening fills at %v C", n, in.WaterC)
		}
		if in.WaterC < 10 && unknown.Feed.OpeningFills != 0 {
			t.Fatalf("%d opening fills on an unknown water at %v C", unknown.Feed.OpeningFills, in.WaterC)
		}
	})
}

func TestRateIsCapacityTimesFillTimesDensityTimesFills(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plan(t, anyInput(t))
		made := feeder.RateGH(p.Feeder.CapacityMl, p.Feeder.FillFactor, p.Feeder.DensityGMl, p.Rhythm.FillsPerH)
		if math.Abs(made-p.Feed.RateGH) > 1e-9*math.Max(1, made) {
			t.Fatalf("feeder and rhythm make %v g/h, the plan says %v", made, p.Feed.RateGH)
		}
		if p.Rhythm.SoakMin < p.Rhythm.SoakLowMin-1e-9 || p.Rhythm.SoakMin > p.Rhythm.SoakHighMin+1e-9 {
			t.Fatalf("soak %v outside %v-%v", p.Rhythm.SoakMin, p.Rhythm.SoakLowMin, p.Rhythm.SoakHighMin)
		}
		if p.Feeder.FillFactor <= 0 || p.Feeder.FillFactor > 1 {
			t.Fatalf("fill factor %v", p.Feeder.FillFactor)
		}
		if p.Feed.Clamped != (p.Feed.RateGH != p.Feed.WishedRateGH) {
			t.Fatalf("clamped is %v with %v g/h of %v wished", p.Feed.Clamped, p.Feed.RateGH, p.Feed.WishedRateGH)
		}
	})
}

func TestMixNeverPassesTheLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyInput(t)
		p := plan(t, in)
		if p.Feed.MixDryG > 1500 || (in.DryLimitG > 0 && p.Feed.MixDryG > in.DryLimitG) {
			t.Fatalf("%v g to mix, limit %v", p.Feed.MixDryG, in.DryLimitG)
		}
	})
}

func TestEveryNumberIsFinite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anyInput(t)
		walk(t, reflect.ValueOf(plan(t, in)), "plan")
	})
}

// walk fails on any NaN or infinity in a value, however deep.
func walk(t *rapid.T, v reflect.Value, path string) {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			t.Fatalf("%s is %v", path, f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			walk(t, v.Field(i), path+"."+v.Type().Field(i).Name)
		}
	}
}

// A kit of the five steps in every weight is the trade's own box.
func TestAKitOfTheFiveStepsChangesNothing(t *testing.T) {
	var whole feeder.Kit
	for _, s := range feeder.Steps() {
		for _, w := range feeder.WeightSteps() {
			whole.Feeders = append(whole.Feeders, feeder.KitFeeder{CapacityMl: s.CapacityMl, WeightG: w})
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		in := anyInput(t)
		in.Kit, in.WishedRateGH = feeder.Kit{}, 0
		steps := plan(t, in)
		in.Kit = whole
		own := plan(t, in)
		if steps.Feed != own.Feed || steps.Feeder != own.Feeder || steps.Rhythm != own.Rhythm || steps.Cast != own.Cast {
			t.Fatalf("steps %+v %+v, kit %+v %+v", steps.Feed, steps.Cast, own.Feed, own.Cast)
		}
	})
}
