package water_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"osier/model/water"
)

// The start is the mean of the first 24 h of known air, floored at 0.
func TestStartFromAir(t *testing.T) {
	hours := season(april, 48, 9, 0, 5)
	got, err := water.StartFromAir(site, april, hours)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "start", got.WaterC, hourMean(hours[:24]), 1e-9)

	hours[3].AirC, hours[7].AirC = water.Reading{}, water.Reading{}
	gappy, err := water.StartFromAir(site, april, hours)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "start around gaps", gappy.WaterC, hourMean(hours[:26]), 1e-9)

	frost, err := water.StartFromAir(site, april, season(april, 24, -6, 0, 2))
	if err != nil {
		t.Fatal(err)
	}
	if frost.WaterC != 0 || frost.AirMeanC > -4 {
		t.Errorf("start in frost: %+v", frost)
	}
}

func hourMean(hours []water.Hour) float64 {
	sum, n := 0.0, 0
	for _, h := range hours {
		if h.AirC.Known {
			sum, n = sum+h.AirC.Value, n+1
		}
	}
	return sum / float64(n)
}

// Twenty days of run-in remove the guess: two starts 10 C apart meet, and the
// interval has come down to the model's own error, 1.28 sqrt(1 + 1) C.
func TestRunInRemovesTheGuess(t *testing.T) {
	hours := season(april, 24*water.RunInDays, 12, 0, 5)
	cold, err := water.StartFromAir(site, april, hours)
	if err != nil {
		t.Fatal(err)
	}
	warm := cold
	warm.WaterC += 10
	a, end := run(t, site, cold, hours)
	b, _ := run(t, site, warm, hours)
	near(t, "difference after the run-in", b[len(b)-1].SurfaceC, a[len(a)-1].SurfaceC, 0.25)
	if end.MemorySdC > 0.15 {
		t.Errorf("%v C of the start's error are left", end.MemorySdC)
	}
	last := a[len(a)-1]
	near(t, "half width at the end", (last.HighC-last.LowC)/2, 1.2816*math.Sqrt2, 0.02)
	for i := 1; i < len(a); i++ {
		if a[i].HighC-a[i].LowC > a[i-1].HighC-a[i-1].LowC+1e-9 {
			t.Fatalf("the interval widens at hour %d of a run-in", i)
		}
	}
}

// The first day after a start from the climate is still about 4 C wide; weather
// then narrows it.
func TestWeatherNarrowsTheClimate(t *testing.T) {
	start := climateStart(t, site, april)
	out, _ := run(t, site, start, season(april, 24*20, 12, 0, 5))
	near(t, "half width after an hour", (out[0].HighC-out[0].LowC)/2, 4, 0.05)
	if out[0].Basis != water.Modelled {
		t.Errorf("basis %q", out[0].Basis)
	}
	if last := out[len(out)-1]; (last.HighC-last.LowC)/2 > 1.9 {
		t.Errorf("half width after 20 days: %v", (last.HighC-last.LowC)/2)
	}
}

// Missing air is bridged by the last day's mean for three days; then the water
// goes back to its climate and the climate's width, and comes out again.
func TestMissingAir(t *testing.T) {
	hours := season(april, 24*100, 12, 0, 5)
	for i := 24 * 30; i < 24*70; i++ {
		hours[i].AirC = water.Reading{}
	}
	start, err := water.StartFromAir(site, april, hours)
	if err != nil {
		t.Fatal(err)
	}
	out, _ := run(t, site, start, hours)
	for i, e := range out {
		want := water.Modelled
		switch {
		case i >= 24*33 && i < 24*70:
			want = water.FromClimate
		case i >= 24*30 && i < 24*33:
			want = water.Carried
		}
		if e.Basis != want {
			t.Fatalf("hour %d rests on %q, want %q", i, e.Basis, want)
		}
	}
	half := func(i int) float64 { return (out[i].HighC - out[i].LowC) / 2 }
	before, carried, lost, back := half(24*30-1), half(24*33-1), half(24*70-1), half(24*100-1)
	if !(before < carried && carried < lost && back < carried) {
		t.Errorf("half widths: before %v, carried %v, lost %v, back %v", before, carried, lost, back)
	}
	near(t, "half width of the climate", lost, 4, 0.02)
	want, err := water.ClimateC(10.5, 7, 52, out[24*70-1].At.YearDay())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "water by the climate", out[24*70-1].SurfaceC, want, 0.5)
}

func TestRunRefusesBadInput(t *testing.T) {
	good := func() []water.Hour { return season(april, 48, 12, 0, 5) }
	for _, c := range []struct {
		name  string
		spoil func(*water.Site, *water.State, []water.Hour)
		says  string
	}{
		{"air of NaN", func(_ *water.Site, _ *water.State, h []water.Hour) { h[30].AirC = water.Known(math.NaN()) }, "hour 30 (2021-04-11T07:00:00Z): air temperature is NaN"},
		{"infinite wind", func(_ *water.Site, _ *water.State, h []water.Hour) { h[2].WindMps = water.Known(math.Inf(1)) }, "hour 2 (2021-04-10T03:00:00Z): wind is +Inf"},
		{"cloud in oktas", func(_ *water.Site, _ *water.State, h []water.Hour) { h[0].CloudFraction = water.Known(5) }, "give a number from 0 to 1"},
		{"humidity as minus", func(_ *water.Site, _ *water.State, h []water.Hour) { h[0].RHPct = water.Known(-1) }, "relative humidity"},
		{"sun of NaN", func(_ *water.Site, _ *water.State, h []water.Hour) { h[0].ShortwaveWm2 = water.Known(math.NaN()) }, "sunlight is NaN"},
		{"hours out of order", func(_ *water.Site, _ *water.State, h []water.Hour) { h[5].At = h[3].At }, "give hours in order of time"},
		{"an hour twice", func(_ *water.Site, _ *water.State, h []water.Hour) { h[5].At = h[4].At }, "hour 5"},
		{"a gap of days", func(_ *water.Site, _ *water.State, h []water.Hour) { h[47].At = h[46].At.Add(25 * time.Hour) }, "give at least one hour a day"},
		{"latitude of 91", func(s *water.Site, _ *water.State, _ []water.Hour) { s.LatDeg = 91 }, "latitude is 91"},
		{"no shelter given", func(s *water.Site, _ *water.State, _ []water.Hour) { s.Shelter = 0 }, "shelter"},
		{"depth of NaN", func(s *water.Site, _ *water.State, _ []water.Hour) { s.MeanDepthM = math.NaN() }, "mean depth"},
		{"empty state", func(_ *water.Site, s *water.State, _ []water.Hour) { *s = water.State{} }, "StartFromAir or StartFromClimate"},
		{"state of NaN", func(_ *water.Site, s *water.State, _ []water.Hour) { s.WaterC = math.NaN() }, "state: water temperature"},
		{"ice below nothing", func(_ *water.Site, s *water.State, _ []water.Hour) { s.IceM = -1 }, "state: ice"},
	} {
		pond, state, hours := site, climateStart(t, site, april), good()
		c.spoil(&pond, &state, hours)
		kept := []water.Estimate{{SurfaceC: 7}}
		out, end, err := water.Run(pond, state, hours, kept)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want one that says %q", c.name, err, c.says)
		}
		if len(out) != 1 || (end != state && !math.IsNaN(state.WaterC)) {
			t.Errorf("%s: something happened all the same: %d estimates, state %+v", c.name, len(out), end)
		}
	}
	if _, err := water.StartFromAir(site, april, good()[:23]); err == nil || !strings.Contains(err.Error(), "start from the climate") {
		t.Errorf("23 h of air: error %v", err)
	}
	if _, err := water.StartFromAir(site, time.Time{}, good()); err == nil {
		t.Error("no beginning: no error")
	}
	bad := good()
	bad[1].AirC = water.Known(math.Inf(-1))
	if _, err := water.StartFromAir(site, april, bad); err == nil {
		t.Error("infinite air: no error")
	}
}
