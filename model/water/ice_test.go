package water_test

import (
	"math"
	"testing"

	"osier/model/water"
)

var (
	frost = water.Forcing{AirC: -8, RHPct: 80, Wind2mMps: 2, CloudFraction: 0.3}
	thaw  = water.Forcing{AirC: 9, RHPct: 80, Wind2mMps: 2, CloudFraction: 0.7, ShortwaveWm2: 60}
)

// Under ice: 0.5 C near the surface, up to 4 C at the bottom, and ice likely.
func TestIceIsReportedAsLikely(t *testing.T) {
	start := climateStart(t, site, april)
	start.WaterC = 1
	out, end := run(t, site, start, steady(april, 24*10, frost))
	last := out[len(out)-1]
	if !last.Ice || last.SurfaceC != 0.5 || last.BottomC != 0.5 || last.BottomHighC != 4 || last.LowC != 0 || last.HighC < 4 {
		t.Errorf("ten days of frost: %+v", last)
	}
	if end.IceM <= 0.01 || end.WaterC != 0 {
		t.Errorf("ten days of frost: %+v", end)
	}

	out, end = run(t, site, end, steady(end.At, 24*30, thaw))
	last = out[len(out)-1]
	if last.Ice || end.IceM != 0 || last.SurfaceC < 4 {
		t.Errorf("thirty days of thaw: %+v", last)
	}
}

// One hour of growth and one of melting, worked by hand from the recipe of the
// reference pack (section 2.1): 2.2 x 8 x 3600 / (917 x 3.34e5 x (0.05 + 0.1))
// is 1.3791 mm. Melting takes the balance of a surface at 0 C with 0.4 of the
// sun in place of 0.93.
func TestIceByHand(t *testing.T) {
	start := climateStart(t, site, april)
	start.WaterC, start.IceM = 0, 0.05
	_, end := run(t, site, start, steady(april, 1, frost))
	near(t, "growth in an hour", end.IceM-0.05, 0.0013791, 1e-7)

	b, err := water.Balance(0, thaw)
	if err != nil {
		t.Fatal(err)
	}
	flux := 0.4*thaw.ShortwaveWm2 + b.SkyWm2 - b.BackWm2 - b.EvaporationWm2 - b.ConductionWm2
	_, end = run(t, site, start, steady(april, 1, thaw))
	near(t, "melt in an hour", 0.05-end.IceM, flux*3600/(917*3.34e5), 1e-12)
	if flux < 20 {
		t.Errorf("a thaw of %v W/m2 tests nothing", flux)
	}
}

// The cold that makes ice is the heat that the water lacks below 0.
func TestFirstIceTakesTheDeficit(t *testing.T) {
	start := climateStart(t, site, april)
	start.WaterC = 0
	b, err := water.Balance(0, frost)
	if err != nil {
		t.Fatal(err)
	}
	_, end := run(t, site, start, steady(april, 1, frost))
	near(t, "first ice", end.IceM, -b.NetWm2*3600/(917*3.34e5), 1e-4*end.IceM+1e-5)
}

// Between 0 and 4 C without ice the bottom may be warmer than the surface.
func TestColdWaterIsARange(t *testing.T) {
	start := climateStart(t, site, april)
	start.WaterC, start.LagSunC, start.MemorySdC = 2, 2, 0
	out, _ := run(t, site, start, steady(april, 1, water.Forcing{AirC: 2, RHPct: 90, Wind2mMps: 1, CloudFraction: 1}))
	e := out[0]
	if e.Ice || e.BottomHighC != 4 || e.HighC < 4 || math.Abs(e.SurfaceC-2) > 0.2 {
		t.Errorf("water near 2 C: %+v", e)
	}
}

// Ice that was there when the weather was lost stays until the climate is too
// warm for it: missing weather clears no caution.
func TestMissingWeatherClearsNoIce(t *testing.T) {
	start := climateStart(t, site, april.AddDate(0, -3, 0))
	start.WaterC, start.IceM = 0, 0.08
	hours := steady(start.At, 24*150, frost)
	for i := range hours {
		hours[i].AirC = water.Reading{}
	}
	out, _ := run(t, site, start, hours)
	if !out[24*30].Ice {
		t.Error("ice is gone in February though nothing was known")
	}
	if out[len(out)-1].Ice {
		t.Error("ice is still claimed in June")
	}
}
