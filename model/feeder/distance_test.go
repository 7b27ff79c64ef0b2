package feeder_test

import (
	"strings"
	"testing"

	"osier/model/feeder"
)

// handRow is one row of the second golden set: steps 1 to 7 at 15, 30, 45 and
// 70 m. Each row's arithmetic stands in its comment. It was worked line by line
// with a calculator outside this tree, never by running this package.
type handRow struct {
	name     string
	in       feeder.Input
	wishedGH float64
	rateGH   float64
	level    feeder.Level
	step     string
	factor   float64
	soakMin  float64
	fills    int
	dampG    float64
	weightG  float64
	loadedG  float64
	rod      string
	rodMaxG  float64
	flags    string // Of: heavier, less fill, creep, no step, no cast.
	longestM float64
}

func at(group feeder.Group, waterC, distanceM, depthM, windMps float64, change func(*feeder.Input)) feeder.Input {
	in := thermometer(group, waterC)
	in.DistanceM, in.DepthM = distanceM, depthM
	in.Wind = feeder.Wind{SpeedMps: windMps, SpeedKnown: true}
	if change != nil {
		change(&in)
	}
	return in
}

var handRows = []handRow{
	// G = 45 (70/45)^(1/3) = 52.140; m = G x 8.5/60 = 7.387 < 9: XS x 0.8207, soak 7.
	// Opening 0.4 G/m = 2.82: 3 = 22.16 g; total 22.16 + G (5 - 0.075) = 278.95.
	// w = max(15, 15) = 15; 15 + 7.387 = 22.387 <= 40.
	{
		"15 m silver in winter", at(feeder.Silver, 4, 15, 2, 0, nil),
		52.1404, 52.1404, feeder.Lean, "XS", 0.8207, 7, 3, 278.951, 15, 22.3866, "up to 25 m", 40, "", 0,
	},
	// (b) by --rod-max 20. G 70, m = 8.75: XS; 15 + 8.75 > 20. Room 5 >= 4.5 (half of XS):
	// factor 5/9. Soak 60 x 5/70 - 1.5 = 2.79, held at 4: rate 300/5.5 = 54.545.
	// Opening 0.4 x 54.545/5 = 4.36: 4 = 20 g; total 20 + 54.545 (5 - 0.1) = 287.27.
	{
		"15 m silver on a light rod", at(feeder.Silver, 8, 15, 2, 0, func(in *feeder.Input) { in.RodMaxG = 20 }),
		70, 54.5455, feeder.Lean, "XS", 0.55556, 4, 4, 287.273, 15, 20, "up to 25 m", 20, "less fill", 0,
	},
	// Unknown water under 10 C: k = 0, no opening. G = 20 (65/20)^(1/3) = 29.625;
	// m = G x 11.5/60 = 5.678: XS x 0.6309, soak 10. Total 5 G = 148.12. 15 + 5.678 = 20.678.
	{
		"15 m carp on an unknown cold water", at(feeder.Carp, 4, 15, 2, 0, func(in *feeder.Input) { in.KnownWater = false }),
		29.625, 29.625, feeder.Trace, "XS", 0.6309, 10, 0, 148.125, 15, 20.678, "up to 25 m", 40, "", 0,
	},
	// (a). m = 380 x 6.5/60 = 41.17 (54.9 ml): L 41.25; soak 60 x 41.25/380 - 1.5 = 5.013.
	// w = 30 + 10 (side wind 6) = 40; 81.25 > 60 and > 80, <= 120: the rod for over 60 m.
	// Opening 0.75 x 380/41.25 = 6.9: 7 = 288.75; total 288.75 + 380 (5 - 0.175) = 2122.25.
	{
		"30 m bream in a side wind", at(feeder.Bream, 17.5, 30, 3, 6, nil),
		380, 380, feeder.Ample, "L", 1, 5.01316, 7, 2122.25, 40, 81.25, "over 60 m", 120, "heavier", 0,
	},
	// m = 150 x 7.5/60 = 18.75 (25 ml: nearer 20 than 35 in log terms): S 15; soak 900/150 - 1.5 = 4.5.
	// Wind from 90, cast to 90: facing 5, so 30 + 10 = 40; 55 <= 60.
	// Opening 0.5 x 150/15 = 5 = 75; total 75 + 150 (5 - 0.125) = 806.25.
	{
		"30 m carp into the wind", at(feeder.Carp, 12.5, 30, 3, 5, func(in *feeder.Input) {
			in.Wind.FromDeg, in.Wind.FromKnown = 90, true
			in.CastBearingDeg, in.CastBearingKnown = 90, true
		}),
		150, 150, feeder.Even, "S", 1, 4.5, 5, 806.25, 40, 55, "25-40 m", 60, "", 0,
	},
	// Lean by a caution: 0.95 x 100 = 95 (from over 290 less). m = 95 x 6.5/60 = 10.29
	// (13.7 ml): XS 9; soak 540/95 - 1.5 = 4.184. w = 30; 39 <= 60.
	// Opening 0.5 x 95/9 = 5.28: 5 = 45; total 45 + 95 (5 - 0.125) = 508.125.
	{
		"30 m carp held at Lean", at(feeder.Carp, 20, 30, 2, 0, func(in *feeder.Input) { in.LevelCap = feeder.Lean }),
		95, 95, feeder.Lean, "XS", 1, 4.18421, 5, 508.125, 30, 39, "25-40 m", 60, "", 0,
	},
	// Heat: 24.5 C caps at Even, 0.95 x 280 = 266. m = 266 x 6.5/60 = 28.82 (38.4 ml): M 26.25;
	// soak 1575/266 - 1.5 = 4.421. w = 45, next step 50; 76.25 <= 80.
	// Opening 0.75 x 266/26.25 = 7.6: 8 = 210; total 210 + 266 (5 - 0.2) = 1486.8.
	{
		"45 m bream in heat", at(feeder.Bream, 24.5, 45, 3.5, 0, nil),
		266, 266, feeder.Even, "M", 1, 4.42105, 8, 1486.8, 50, 76.25, "40-60 m", 80, "", 0,
	},
	// (b) with a smaller fill of the same step. L 41.25; w = 45, next step 50; 91.25 > 80. Room 30:
	// L half = 20.6 fits, factor 30/41.25 = 0.72727. Soak 1800/380 - 1.5 = 3.2368 (3-10): rate stays.
	// Opening 0.75 x 380/30 = 9.5, halves down: 9 = 270; total 270 + 380 (5 - 0.225) = 2084.5.
	{
		"45 m bream within 80 g", at(feeder.Bream, 17.5, 45, 3, 0, func(in *feeder.Input) { in.RodMaxG = 80 }),
		380, 380, feeder.Ample, "L", 0.72727, 3.23684, 9, 2084.5, 50, 80, "40-60 m", 80, "less fill", 0,
	},
	// (c). m = 130 x 5.5/60 = 11.92 (15.9 ml): S 15. w = 45 + 10 (5 m deep) + 20 (wind 9) = 75, next 80 > 60.
	// Without: 45, next 50. Room 10: S half 7.5 fits, factor 0.66667; soak 600/130 - 1.5 = 3.1154 (3-8).
	// Opening 0.4 x 130/10 = 5.2: 5 = 50; total 50 + 130 (5 - 0.125) = 683.75.
	{
		"45 m silver in a gale on a light rod", at(feeder.Silver, 12.5, 45, 5, 9, func(in *feeder.Input) { in.RodMaxG = 60 }),
		130, 130, feeder.Even, "S", 0.66667, 3.11538, 5, 683.75, 50, 60, "40-60 m", 60, "less fill, creep", 0,
	},
	// (d). w = 45, next 50; even half of XS makes 54.5 > 50. 40 + 4.5 = 44.5 <= 50: 40 m is the longest.
	// Feed as steps 1 to 6: m = 290 x 6.5/60 = 31.42 (41.9 ml): M 26.25; soak 1575/290 - 1.5 = 3.931.
	// Opening 0.5 x 290/26.25 = 5.52: 6 = 157.5; total 157.5 + 290 (5 - 0.15) = 1564.
	{
		"45 m carp beyond the rod", at(feeder.Carp, 17.5, 45, 2, 0, func(in *feeder.Input) { in.RodMaxG = 50 }),
		290, 290, feeder.Ample, "M", 1, 3.93103, 6, 1564, 0, 0, "40-60 m", 50, "no cast", 40,
	},
	// Interval 14-22 C, wider than 2 C either way: G at 14 = 190 x 2^(1.5/5) = 233.917; soak from 18 C.
	// m = G x 6.5/60 = 25.34 (33.8 ml): M 26.25; soak 1575/G - 1.5 = 5.2331. Unknown, over 10 C: k = 0.5:
	// 0.375 G/26.25 = 3.34: 3 = 78.75; total 78.75 + G (5 - 0.075) = 1230.79. w 45, next 50; 76.25 <= 80.
	{
		"45 m bream in water poorly known", at(feeder.Bream, 18, 45, 3, 3, func(in *feeder.Input) {
			in.WaterLowC, in.WaterHighC, in.KnownWater = 14, 22, false
		}),
		233.917, 233.917, feeder.Even, "M", 1, 5.23312, 3, 1230.793, 50, 76.25, "40-60 m", 80, "", 0,
	},
	// (b) on the table's strongest rod. Handling 2 beyond 50 m: m = 380 x 7/60 = 44.3 (59 ml): L 41.25.
	// w = 70 + 20 (wind 8) = 90, next 100; 141.25 > 120. Room 20: L half 20.6 does not fit, M half 13.1 does:
	// factor 20/26.25 = 0.7619. Soak 1200/380 - 2 = 1.16, held at 3: rate 1200/5 = 240, so Even.
	// Opening 0.75 x 240/20 = 9 = 180; total 180 + 240 (5 - 0.3) = 1308.
	{
		"70 m bream in a strong wind", at(feeder.Bream, 17.5, 70, 4, 8, nil),
		380, 240, feeder.Even, "M", 0.7619, 3, 9, 1308, 100, 120, "over 60 m", 120, "less fill", 0,
	},
	// Cold cap under 3 C on a recommended 120: 0.95 x 90 = 85.5. m = 85.5 x 9/60 = 12.83 (17.1 ml): S 15;
	// soak 900/85.5 - 2 = 8.526. w = 70, next 80; 95 <= 120.
	// Opening 0.4 x 85.5/15 = 2.28: 2 = 30; total 30 + 85.5 (5 - 4/60) = 451.8.
	{
		"70 m silver in very cold water", at(feeder.Silver, 2, 70, 3, 0, func(in *feeder.Input) { in.WishedRateGH = 120 }),
		85.5, 85.5, feeder.Lean, "S", 1, 8.52632, 2, 451.8, 80, 95, "over 60 m", 120, "", 0,
	},
	// Half a fill is the least: m = 20 x 12/60 = 4 < 4.5: XS x 0.5, soak kept at 10: rate 270/12 = 22.5.
	// Opening 0.5 x 22.5/4.5 = 2.5, halves down: 2 = 9; total 9 + 22.5 (5 - 4/60) = 120. 80 + 4.5 = 84.5.
	{
		"70 m carp in very cold water", at(feeder.Carp, 2, 70, 3, 0, nil),
		20, 22.5, feeder.Trace, "XS", 0.5, 10, 2, 120, 80, 84.5, "over 60 m", 120, "", 0,
	},
	// No step: 70 + 10 (5 m deep) + 20 (wind 8) + 10 (creep seen) = 110 > 100. (c): 70 + 10 = 80.
	// m = 190 x 9/60 = 28.5 (38 ml): M 26.25; soak 1575/190 - 2 = 6.289; 106.25 <= 120.
	// Opening 0.75 x 190/26.25 = 5.43: 5 = 131.25; total 131.25 + 190 (5 - 10/60) = 1049.583.
	{
		"70 m bream past the heaviest step", at(feeder.Bream, 12.5, 70, 5, 8, func(in *feeder.Input) { in.Creeps = true }),
		190, 190, feeder.Even, "M", 1, 6.28947, 5, 1049.583, 80, 106.25, "over 60 m", 120, "creep, no step", 0,
	},
}

func flagsOf(c feeder.Cast) string {
	var flags []string
	for _, f := range []struct {
		on   bool
		name string
	}{
		{c.HeavierRod, "heavier"},
		{c.LessFill, "less fill"},
		{c.MayCreep, "creep"},
		{c.NoStep, "no step"},
		{c.NoSafeCast, "no cast"},
	} {
		if f.on {
			flags = append(flags, f.name)
		}
	}
	return strings.Join(flags, ", ")
}

func TestHandWorkedRowsAtDistance(t *testing.T) {
	for _, row := range handRows {
		t.Run(row.name, func(t *testing.T) {
			p := mustPlan(t, row.in)
			near(t, "wished", p.Feed.WishedRateGH, row.wishedGH, 1e-3)
			near(t, "rate", p.Feed.RateGH, row.rateGH, 1e-3)
			near(t, "fill factor", p.Feeder.FillFactor, row.factor, 1e-4)
			near(t, "soak", p.Rhythm.SoakMin, row.soakMin, 1e-4)
			near(t, "damp", p.Feed.TotalDampG, row.dampG, 1e-2)
			near(t, "dry", p.Feed.TotalDryG, row.dampG*0.6, 1e-2)
			near(t, "weight", p.Cast.WeightG, row.weightG, 1e-9)
			near(t, "loaded", p.Cast.LoadedMassG, row.loadedG, 1e-3)
			near(t, "rating", p.Cast.RodMaxG, row.rodMaxG, 0)
			near(t, "longest", p.Cast.LongestM, row.longestM, 1e-9)
			if p.Feed.Level != row.level || p.Feeder.Step != row.step || p.Feed.OpeningFills != row.fills {
				t.Errorf("got %s, %s, %d fills; want %s, %s, %d fills",
					p.Feed.Level, p.Feeder.Step, p.Feed.OpeningFills, row.level, row.step, row.fills)
			}
			if p.Cast.Rod.Name != row.rod || flagsOf(p.Cast) != row.flags {
				t.Errorf("got rod %q with %q, want %q with %q", p.Cast.Rod.Name, flagsOf(p.Cast), row.rod, row.flags)
			}
		})
	}
}
