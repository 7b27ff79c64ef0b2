package feeder_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"osier/model/feeder"
)

func TestInputOutOfRangeIsRefused(t *testing.T) {
	for _, row := range []struct {
		field  string
		change func(*feeder.Input)
	}{
		{"group", func(in *feeder.Input) { in.Group = "pike" }},
		{"water_c", func(in *feeder.Input) { in.WaterC = math.NaN() }},
		{"water_c", func(in *feeder.Input) { in.WaterC = 55 }},
		{"water_low_c", func(in *feeder.Input) { in.WaterLowC = math.Inf(-1) }},
		{"water_low_c, water_high_c", func(in *feeder.Input) { in.WaterHighC = 3 }},
		{"hours", func(in *feeder.Input) { in.Hours = 0 }},
		{"hours", func(in *feeder.Input) { in.Hours = 40 }},
		{"hours", func(in *feeder.Input) { in.Hours = math.NaN() }},
		{"distance_m", func(in *feeder.Input) { in.DistanceM = -5 }},
		{"depth_m", func(in *feeder.Input) { in.DepthM = -2 }},
		{"wind_mps", func(in *feeder.Input) { in.Wind = feeder.Wind{SpeedMps: -1, SpeedKnown: true} }},
		{"wind_from_deg", func(in *feeder.Input) { in.Wind = feeder.Wind{FromDeg: 400, FromKnown: true} }},
		{"cast_bearing_deg", func(in *feeder.Input) { in.CastBearingDeg, in.CastBearingKnown = math.NaN(), true }},
		{"rod_max_g", func(in *feeder.Input) { in.RodMaxG = -40 }},
		{"kit feeder 1 capacity_ml", func(in *feeder.Input) { in.Kit.Feeders = []feeder.KitFeeder{{WeightG: 20}} }},
		{"kit feeder 1 weight_g", func(in *feeder.Input) { in.Kit.Feeders = []feeder.KitFeeder{{CapacityMl: 20, WeightG: -1}} }},
		{"kit rod_rating_g", func(in *feeder.Input) { in.Kit.RodRatingG = math.Inf(1) }},
		{"kit density_g_ml", func(in *feeder.Input) { in.Kit.DensityGMl = 7.5 }},
		{"level_cap", func(in *feeder.Input) { in.LevelCap = "Feast" }},
		{"dry_limit_g", func(in *feeder.Input) { in.DryLimitG = -1 }},
		{"wished_rate_g_h", func(in *feeder.Input) { in.WishedRateGH = math.NaN() }},
	} {
		in := thermometer(feeder.Silver, 8)
		row.change(&in)
		p, err := feeder.ColdStart(in)
		var field *feeder.FieldError
		if !errors.As(err, &field) || field.Field != row.field {
			t.Errorf("%s: got plan %+v, error %v", row.field, p, err)
			continue
		}
		if field.Problem == "" || field.Remedy == "" {
			t.Errorf("%s: %q does not say what was wrong and what would be right", row.field, err)
		}
	}
}

func said(p feeder.Plan, part string) bool {
	return strings.Contains(strings.Join(p.Notes, "\n"), part)
}

func TestNotesSayWhatWasReduced(t *testing.T) {
	for _, row := range []struct {
		name string
		in   feeder.Input
		want string
	}{
		{"wide interval", at(feeder.Bream, 18, 0, 0, 0, func(in *feeder.Input) { in.WaterLowC, in.WaterHighC = 14, 22 }), "between 14.0 and 22.0 C"},
		{"heat by the upper end", at(feeder.Bream, 22, 0, 0, 0, func(in *feeder.Input) { in.WaterHighC = 24 }), "at Even or below"},
		{"cold by the lower end", at(feeder.Bream, 4, 0, 0, 0, func(in *feeder.Input) { in.WaterLowC = 2.5 }), "at Lean or below"},
		{"caution", at(feeder.Carp, 20, 0, 0, 0, func(in *feeder.Input) { in.LevelCap = feeder.Lean }), "cut from 290 to 95 g/h"},
		{"unknown cold", at(feeder.Carp, 8, 0, 0, 0, func(in *feeder.Input) { in.KnownWater = false }), "No opening feed"},
		{"unknown warm", at(feeder.Carp, 18, 0, 0, 0, func(in *feeder.Input) { in.KnownWater = false }), "halved"},
		{"creep", at(feeder.Silver, 12.5, 45, 5, 9, func(in *feeder.Input) { in.RodMaxG = 60 }), "may creep"},
		{"no safe cast", at(feeder.Carp, 17.5, 45, 2, 0, func(in *feeder.Input) { in.RodMaxG = 50 }), "the longest that works is 40 m"},
		{"no distance works", at(feeder.Carp, 17.5, 45, 2, 0, func(in *feeder.Input) { in.RodMaxG = 12 }), "at any distance"},
		{"no step", at(feeder.Bream, 12.5, 75, 5, 9, nil), "No step"},
		{"heavier rod", at(feeder.Bream, 17.5, 30, 3, 6, nil), "take the rod for over 60 m, rated up to 120 g"},
		{"non-lead", at(feeder.Silver, 8, 20, 2, 0, nil), "ballast other than lead"},
		{"soft splash", at(feeder.Silver, 8, 15, 1.2, 0, nil), "softer splash"},
		{"limit", at(feeder.Bream, 17.5, 0, 0, 0, func(in *feeder.Input) { in.DryLimitG = 500 }), "500 g to mix at most"},
		{"always", thermometer(feeder.Silver, 8), "Do not aim to use it all up"},
		{"wind unchecked", at(feeder.Silver, 8, 20, 2, 0, func(in *feeder.Input) { in.Wind = feeder.Wind{} }), "wind was not checked"},
		{"below scale", at(feeder.Bream, 8, 0, 0, 0, func(in *feeder.Input) {
			in.WishedRateGH = 12
			in.Kit.Feeders = []feeder.KitFeeder{{CapacityMl: 5, WeightG: 15}}
		}), "below the scale"},
	} {
		if p := mustPlan(t, row.in); !said(p, row.want) {
			t.Errorf("%s: %q is missing from %q", row.name, row.want, p.Notes)
		}
	}
}

// Caps are read at the interval's ends even where it is narrow: the safer
// caution.
func TestCapsReadTheEndsOfTheInterval(t *testing.T) {
	warm := thermometer(feeder.Silver, 23.5)
	warm.WaterLowC, warm.WaterHighC = 22.5, 24.5
	if p := mustPlan(t, warm); p.Feed.CappedAt != feeder.Even || p.Feed.RateGH != 171 {
		t.Errorf("23.5 C, up to 24.5: got %s, %v g/h", p.Feed.CappedAt, p.Feed.RateGH)
	}
	warm.LevelCap = feeder.Lean
	if p := mustPlan(t, warm); p.Feed.CappedAt != feeder.Lean || p.Feed.RateGH != 85.5 {
		t.Errorf("with a caution at Lean: got %s, %v g/h", p.Feed.CappedAt, p.Feed.RateGH)
	}
}

// The cold cap reads the lower end: 4 C, down to 2.5, holds 300 g/h at 95.
func TestColdCapReadsTheLowerEnd(t *testing.T) {
	in := thermometer(feeder.Carp, 4)
	in.WaterLowC, in.WishedRateGH = 2.5, 300
	near(t, "rate", mustPlan(t, in).Feed.RateGH, 95, 1e-9)
}

// An interval of just 2 C either way leaves the rate on the estimate; a wider
// one takes its lower end.
func TestOnlyAWideIntervalMovesTheRate(t *testing.T) {
	in := thermometer(feeder.Silver, 12.5)
	in.WaterLowC, in.WaterHighC = 10.5, 14.5
	near(t, "2 C either way", mustPlan(t, in).FeedTempC, 12.5, 0)
	in.WaterHighC = 14.6
	near(t, "wider", mustPlan(t, in).FeedTempC, 10.5, 0)
}

// A tenth of an hour holds four casts of 1.5 minutes, so the opening of six
// stops at four and nothing is left for after it.
func TestOpeningFitsTheHours(t *testing.T) {
	in := thermometer(feeder.Silver, 17.5)
	in.Hours = 0.1
	p := mustPlan(t, in)
	if p.Feed.OpeningFills != 4 {
		t.Errorf("got %d fills, want 4", p.Feed.OpeningFills)
	}
	near(t, "total", p.Feed.TotalDampG, 60, 1e-9)
}

// A soak held at its range reports what results, here from a rate above what the
// largest feeder can give: 60 x 63.75/(3 + 1.5) = 850.
func TestClampReportsTheResultingRate(t *testing.T) {
	in := thermometer(feeder.Bream, 18)
	in.WishedRateGH = 1000
	p := mustPlan(t, in)
	near(t, "rate", p.Feed.RateGH, 850, 1e-9)
	near(t, "wished", p.Feed.WishedRateGH, 1000, 0)
	if !p.Feed.Clamped || p.Feed.ClampReason == "" || p.Feed.Level != feeder.Heavy {
		t.Errorf("got %+v", p.Feed)
	}
}

func TestMixIsThreeTenthsMoreUpToTheLimit(t *testing.T) {
	p := mustPlan(t, thermometer(feeder.Silver, 17.5))
	near(t, "mix", p.Feed.MixDryG, 1.3*p.Feed.TotalDryG, 1e-9)
	near(t, "mix at 1.5 kg", mustPlan(t, thermometer(feeder.Bream, 17.5)).Feed.MixDryG, 1500, 0)
	in := thermometer(feeder.Silver, 17.5)
	in.DryLimitG = 400
	near(t, "mix at the water's limit", mustPlan(t, in).Feed.MixDryG, 400, 0)
}

// Winter feed is emptied at the surface only on water known to be still.
func TestOpeningRelease(t *testing.T) {
	for _, row := range []struct {
		name   string
		in     feeder.Input
		expect string
	}{
		{"still winter", at(feeder.Silver, 5, 20, 2, 1, nil), feeder.ReleaseSurface},
		{"windy winter", at(feeder.Silver, 5, 20, 2, 5, nil), feeder.ReleaseBottom},
		{"wind not known", thermometer(feeder.Silver, 5), feeder.ReleaseBottom},
		{"summer", at(feeder.Silver, 18, 20, 2, 1, nil), feeder.ReleaseBottom},
		{"no opening", at(feeder.Silver, 5, 20, 2, 1, func(in *feeder.Input) { in.KnownWater = false }), ""},
	} {
		if got := mustPlan(t, row.in).Feed.OpeningRelease; got != row.expect {
			t.Errorf("%s: got %q, want %q", row.name, got, row.expect)
		}
	}
}

func TestKitIsUsedWhenPresent(t *testing.T) {
	in := at(feeder.Bream, 12.5, 30, 2, 0, nil)
	in.Kit = feeder.Kit{
		Feeders: []feeder.KitFeeder{
			{Type: feeder.Cage, CapacityMl: 30, WeightG: 20},
			{Type: feeder.Window, CapacityMl: 30, WeightG: 35},
			{Type: feeder.Cage, CapacityMl: 60, WeightG: 45},
			{Type: "maggot", CapacityMl: 33.6, WeightG: 30}, // Nearest, but another method.
		},
		DensityGMl: 0.8, RodRatingG: 70,
	}
	p := mustPlan(t, in)
	// m = 190 x 8.5/60 = 26.92 g = 33.6 ml: the 30 ml feeder, 24 g; 20 g does not reach 30 m, 35 g does.
	// Soak 60 x 24/190 - 1.5 = 6.0789.
	near(t, "capacity", p.Feeder.CapacityMl, 30, 0)
	near(t, "fill", p.Feeder.FillG, 24, 1e-9)
	near(t, "soak", p.Rhythm.SoakMin, 6.0789, 1e-4)
	near(t, "weight", p.Cast.WeightG, 35, 0)
	near(t, "rod", p.Cast.RodMaxG, 70, 0)
	if p.Feeder.Type != feeder.Window || p.Feeder.Step != "M" {
		t.Errorf("got a %s of step %s", p.Feeder.Type, p.Feeder.Step)
	}
	in.RodMaxG = 50
	p = mustPlan(t, in)
	near(t, "a rating named for the plan outranks the kit's", p.Cast.RodMaxG, 50, 0)
	// Room 15 of 24 g: factor 0.625.
	near(t, "fill factor", p.Feeder.FillFactor, 0.625, 1e-9)
}

// One large feeder and a winter rate: the soak is stretched to 12 and the fill
// cut to half, which still gives 60 x 31.875/13.5 = 141.7 g/h; a cap then cuts
// the fill further, to 85.5 x 13.5/60 = 19.24 g.
func TestALargeFeederIsHeldDown(t *testing.T) {
	in := thermometer(feeder.Silver, 4)
	in.Kit.Feeders = []feeder.KitFeeder{{CapacityMl: 85, WeightG: 30}}
	p := mustPlan(t, in)
	near(t, "rate", p.Feed.RateGH, 141.667, 1e-3)
	near(t, "fill factor", p.Feeder.FillFactor, 0.5, 0)
	near(t, "soak", p.Rhythm.SoakMin, 12, 0)
	in.LevelCap = feeder.Lean
	p = mustPlan(t, in)
	near(t, "capped rate", p.Feed.RateGH, 85.5, 1e-9)
	near(t, "capped fill", p.Feeder.FillG, 19.2375, 1e-6)
}

func TestTakeHasAFeederEitherSide(t *testing.T) {
	p := mustPlan(t, at(feeder.Bream, 12.5, 30, 2, 0, nil))
	list := strings.Join(p.Take, "\n")
	for _, part := range []string{"M feeder of 35 ml, 30 g", "S of 20 ml and L of 55 ml", "50 and 90 cm", "worm", "dry groundbait"} {
		if !strings.Contains(list, part) {
			t.Errorf("%q is missing from %q", part, list)
		}
	}
}
