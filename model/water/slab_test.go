package water_test

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"osier/model/water"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var (
	site  = water.NewSite(52, -1, 2)
	april = time.Date(2021, 4, 10, 0, 0, 0, 0, time.UTC)
)

// steady is hourly weather that never changes.
func steady(from time.Time, hours int, f water.Forcing) []water.Hour {
	out := make([]water.Hour, hours)
	for i := range out {
		out[i] = water.Hour{
			At: from.Add(time.Duration(i+1) * time.Hour), AirC: water.Known(f.AirC), RHPct: water.Known(f.RHPct),
			WindMps: water.Known(f.Wind2mMps), CloudFraction: water.Known(f.CloudFraction),
			ShortwaveWm2: water.Known(f.ShortwaveWm2), WindAtWater: true,
		}
	}
	return out
}

// season is hourly air that swings over the day and the year, without anything
// else being known.
func season(from time.Time, hours int, meanC, yearC, dayC float64) []water.Hour {
	out := make([]water.Hour, hours)
	for i := range out {
		at := from.Add(time.Duration(i+1) * time.Hour)
		year := 2 * math.Pi * float64(at.YearDay()-115) / 365.25
		day := 2 * math.Pi * float64(at.Hour()-9) / 24
		out[i] = water.Hour{At: at, AirC: water.Known(meanC + yearC*math.Sin(year) + dayC*math.Sin(day))}
	}
	return out
}

type tb interface {
	Helper()
	Fatal(args ...any)
}

func run(t tb, at water.Site, start water.State, hours []water.Hour) ([]water.Estimate, water.State) {
	t.Helper()
	out, end, err := water.Run(at, start, hours, nil)
	if err != nil {
		t.Fatal(err)
	}
	return out, end
}

func climateStart(t tb, at water.Site, from time.Time) water.State {
	t.Helper()
	s, err := water.StartFromClimate(at, from)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Steady weather brings any pond to the temperature at which nothing flows, and
// to ice where that lies below 0.
func TestSteadyWeatherEndsAtEquilibrium(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawForcing(t)
		pond := water.NewSite(52, -1, rapid.Float64Range(0.5, 3).Draw(t, "depth"))
		te, err := water.EquilibriumC(f)
		if err != nil {
			t.Fatal(err)
		}
		// Under still, warm, dry air only radiation draws the water on: K is then
		// some 4.6 W/m2/K, and a deep pond needs 37 days an e-fold.
		out, end := run(t, pond, climateStart(t, pond, april), steady(april, 24*450, f))
		last := out[len(out)-1]
		switch {
		case te > 0.01 && (math.Abs(end.WaterC-te) > 0.01 || last.Ice):
			t.Fatalf("water ends at %v C (ice %v), equilibrium is %v C", end.WaterC, last.Ice, te)
		case te < -0.01 && f.AirC < 0 && (!last.Ice || end.WaterC != 0):
			t.Fatalf("no ice though the equilibrium is %v C: %+v", te, last)
		}
	})
}

// Whatever the weather: never below 0, the interval holds the figure, nothing
// is infinite, and the state can be taken up again.
func TestEstimatesAreBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hours := drawHours(t, 200)
		out, end := run(t, site, climateStart(t, site, april), hours)
		for _, e := range out {
			if !(0 <= e.LowC && e.LowC <= e.SurfaceC && e.SurfaceC <= e.HighC && e.HighC < 100) {
				t.Fatalf("surface outside its interval: %+v", e)
			}
			if !(e.SurfaceC <= e.BottomHighC && e.BottomC <= e.BottomHighC && e.BottomHighC <= e.HighC) {
				t.Fatalf("bottom out of order: %+v", e)
			}
			if e.SurfaceC < 4 && e.BottomHighC != 4 {
				t.Fatalf("water under 4 C with a bottom of at most %v C", e.BottomHighC)
			}
			if e.HighC-e.LowC < 1.8 {
				t.Fatalf("narrower than the model's own error: %+v", e)
			}
		}
		if _, _, err := water.Run(site, end, nil, nil); err != nil {
			t.Fatalf("the end state is refused: %v", err)
		}
	})
}

// drawHours is rough weather with gaps in every column and uneven spacing.
func drawHours(t *rapid.T, most int) []water.Hour {
	reading := func(name string, low, high float64) water.Reading {
		if rapid.IntRange(0, 3).Draw(t, name+" known") == 0 {
			return water.Reading{}
		}
		return water.Known(rapid.Float64Range(low, high).Draw(t, name))
	}
	n := rapid.IntRange(1, most).Draw(t, "n")
	at, out := april, make([]water.Hour, n)
	for i := range out {
		at = at.Add(time.Duration(rapid.SampledFrom([]int{20, 60, 60, 60, 150, 1440}).Draw(t, "minutes")) * time.Minute)
		out[i] = water.Hour{
			At: at, AirC: reading("air", -25, 38), RHPct: reading("humidity", 5, 105), WindMps: reading("wind", 0, 30),
			CloudFraction: reading("cloud", 0, 1), ShortwaveWm2: reading("sun", -5, 1000), WindAtWater: rapid.Bool().Draw(t, "at water"),
		}
	}
	return out
}

// A run broken off and taken up from the stored state is the same run, to the
// last bit, wherever it is broken.
func TestRunContinuesFromAStoredState(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hours := drawHours(t, 100)
		start := climateStart(t, site, april)
		whole, end := run(t, site, start, hours)

		cut := rapid.IntRange(0, len(hours)).Draw(t, "cut")
		first, middle := run(t, site, start, hours[:cut])
		stored, err := json.Marshal(middle)
		if err != nil {
			t.Fatal(err)
		}
		var again water.State
		if err := json.Unmarshal(stored, &again); err != nil {
			t.Fatal(err)
		}
		both, endAgain, err := water.Run(site, again, hours[cut:], first)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(whole, both); diff != "" {
			t.Fatal("estimates differ:\n" + diff)
		}
		if diff := cmp.Diff(end, endAgain); diff != "" {
			t.Fatal("states differ:\n" + diff)
		}
	})
}

// What flows in is what warms the water: the net flux summed over three weeks
// is the change of heat content (2.5 m of water, bed included). Five-minute
// steps keep the sum close to the integral.
func TestEnergyCloses(t *testing.T) {
	const heatStoreJM2K = 1000 * 4186 * 2.5
	var hours []water.Hour
	for i := range 21 * 288 {
		at := april.Add(time.Duration(i+1) * 5 * time.Minute)
		phase := 2 * math.Pi * float64(i) / 288
		hours = append(hours, water.Hour{
			At: at, AirC: water.Known(15 + 6*math.Sin(phase)), RHPct: water.Known(70), WindMps: water.Known(2 + math.Sin(phase/3)),
			CloudFraction: water.Known(0.4), ShortwaveWm2: water.Known(math.Max(0, 600*math.Sin(phase))), WindAtWater: true,
		})
	}
	start := climateStart(t, site, april)
	inJ, end := 0.0, start
	for i, h := range hours {
		b, err := water.Balance(end.WaterC, water.Forcing{
			AirC: h.AirC.Value, RHPct: h.RHPct.Value, Wind2mMps: h.WindMps.Value,
			CloudFraction: h.CloudFraction.Value, ShortwaveWm2: h.ShortwaveWm2.Value,
		})
		if err != nil {
			t.Fatal(err)
		}
		inJ += b.NetWm2 * 300
		_, end = run(t, site, end, hours[i:i+1])
	}
	gainedJ := (end.WaterC - start.WaterC) * heatStoreJM2K
	if math.Abs(gainedJ) < 20e6 {
		t.Fatalf("the water gained only %v J/m2: the run tests nothing", gainedJ)
	}
	near(t, "heat gained, J/m2", gainedJ, inJ, 0.005*math.Abs(inJ))
}

// The deeper the water, the less it follows the day.
func TestDeeperWaterSwingsLess(t *testing.T) {
	before := math.Inf(1)
	for _, depthM := range []float64{0.3, 0.5, 1, 1.5, 2, 3, 5, 10} {
		pond := water.NewSite(52, -1, depthM)
		out, _ := run(t, pond, climateStart(t, pond, april), season(april, 24*40, 12, 0, 6))
		low, high := math.Inf(1), math.Inf(-1)
		for _, e := range out[len(out)-24:] {
			low, high = math.Min(low, e.SurfaceC), math.Max(high, e.SurfaceC)
		}
		if swing := high - low; swing >= before || swing <= 0 {
			t.Errorf("%v m swings by %v C, shallower water by %v C", depthM, swing, before)
		} else {
			before = swing
		}
	}
}

// Daily means held and stepped by the hour give the same water as hourly weather
// that does not change within the day.
func TestDailyMeansAreSteppedByTheHour(t *testing.T) {
	var daily, hourly []water.Hour
	for day := range 30 {
		weather := water.Hour{AirC: water.Known(8 + float64(day%7)), WindMps: water.Known(float64(day % 5)), CloudFraction: water.Known(0.3)}
		for hour := range 24 {
			weather.At = april.Add(time.Duration(24*day+hour+1) * time.Hour)
			hourly = append(hourly, weather)
		}
		daily = append(daily, weather)
	}
	start := climateStart(t, site, april)
	_, byDay := run(t, site, start, daily)
	_, byHour := run(t, site, start, hourly)
	near(t, "water", byDay.WaterC, byHour.WaterC, 1e-9)
	near(t, "memory", byDay.MemorySdC, byHour.MemorySdC, 1e-9)
}

// Missing humidity, wind and cloud are read as 80 %, 4 m/s at the station and
// 0.6 (reference pack, section 2.1).
func TestStandInsForMissingWeather(t *testing.T) {
	missing := season(april, 24*5, 12, 0, 5)
	given := season(april, 24*5, 12, 0, 5)
	for i := range given {
		given[i].RHPct, given[i].WindMps, given[i].CloudFraction = water.Known(80), water.Known(4), water.Known(0.6)
		missing[i].WindAtWater = true // where there is no wind there is no place of measuring
	}
	start := climateStart(t, site, april)
	want, _ := run(t, site, start, given)
	got, _ := run(t, site, start, missing)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	for i := range given {
		given[i].WindMps, given[i].WindAtWater = water.Known(0.65*4), true
	}
	atWater, _ := run(t, site, start, given)
	near(t, "wind at the water", atWater[119].SurfaceC, want[119].SurfaceC, 1e-9)
}
