package activity_test

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"

	"osier/model/activity"
)

// anyCovariates draws believable conditions.
func anyCovariates(random *rand.Rand) activity.Covariates {
	c := usual()
	c.LogAppetite = -2 * random.Float64()
	c.Warming48hC = 1.5 * random.NormFloat64()
	c.WindMps = 10 * random.Float64()
	c.CloudFraction = float64(random.IntN(9)) / 8
	c.RainMm = max(0, 4*random.NormFloat64())
	c.PressureChange3hHPa = 1.2 * random.NormFloat64()
	c.PressureChange24hHPa = 6 * random.NormFloat64()
	c.DayOfYear = 1 + random.IntN(365)
	c.MidHour = 6 + 14*random.Float64()
	c.LowLightShare = random.Float64()
	c.PegEffort7dRodHours = 10 * random.Float64()
	c.WaterC = 4 + 18*random.Float64()
	c.StartingRateGH = 60 + 10*c.WaterC
	c.PlannedRateGH = c.StartingRateGH * math.Exp(0.5*random.NormFloat64())
	c.LogCapacityRatio = 0.3 * random.NormFloat64()
	c.Known.Feed = random.IntN(5) > 0
	return c
}

// The truth of the planted sessions: ln 3 bites per rod-hour, and effects per
// scaled unit. Pressure has none.
var plantedEffects = map[string]float64{
	"intercept": math.Log(3), "log_appetite": 0.8, "wind_mps": 0.15, "peg_effort_7d_rod_h": -0.3, "feed_z_squared": -0.4,
}

const plantedShape = 1.2

// The planted waters and anglers on the log scale.
var (
	plantedWaters  = map[string]float64{"pit": 0.4, "mere": -0.4, "pool": 0, "lake": 0.1}
	plantedAnglers = map[string]float64{"a": 0.3, "b": -0.3, "c": 0, "d": 0.2, "e": -0.2, "f": 0}
)

// plantedLanded is the share of bites that are landed.
const plantedLanded = 0.6

// anySessions draws sessions whose bites are NB2 about the planted rate.
func anySessions(seed uint64, n int) []activity.SessionRecord {
	random := rand.New(rand.NewPCG(seed, 7))
	columns, _ := activity.Columns("bream")
	waters, anglers := slices.Sorted(maps.Keys(plantedWaters)), slices.Sorted(maps.Keys(plantedAnglers))
	records := make([]activity.SessionRecord, n)
	for i := range records {
		r := activity.SessionRecord{ID: fmt.Sprintf("s-%04d", i), Weight: 1}
		r.Water, r.Angler, r.Peg = waters[random.IntN(len(waters))], anglers[random.IntN(len(anglers))], fmt.Sprint(1+random.IntN(6))
		c := anyCovariates(random)
		design, _, err := activity.BuildRow(c)
		if err != nil {
			panic(err)
		}
		eta := plantedWaters[r.Water] + plantedAnglers[r.Angler]
		for j, column := range columns {
			eta += plantedEffects[column.Name] * design[j]
		}
		interval := activity.IntervalRecord{Covariates: c, RodHours: 2 + math.Round(12*random.Float64())/2, BitesKnown: true, FishKnown: true}
		interval.Bites = poisson(random, interval.RodHours*math.Exp(eta)*gamma(random, plantedShape)/plantedShape)
		for range interval.Bites {
			if random.Float64() < plantedLanded {
				interval.Fish++
			}
		}
		r.Intervals = []activity.IntervalRecord{interval}
		records[i] = r
	}
	return records
}

// gamma draws from Gamma(shape, 1) (Marsaglia & Tsang 2000), shape at least 1.
func gamma(random *rand.Rand, shape float64) float64 {
	d := shape - 1.0/3
	for {
		x := random.NormFloat64()
		v := math.Pow(1+x/math.Sqrt(9*d), 3)
		if v > 0 && math.Log(random.Float64()) < x*x/2+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}

// poisson draws by counting exponential waits.
func poisson(random *rand.Rand, mean float64) int {
	var k int
	for t := random.ExpFloat64(); t < mean; t += random.ExpFloat64() {
		k++
	}
	return k
}

// fataler is what testing.T, testing.B and rapid.T share.
type fataler interface {
	Helper()
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

func mustFit(t fataler, records []activity.SessionRecord) activity.Fit {
	t.Helper()
	fit, err := activity.FitRecords("bream", records)
	if err != nil {
		t.Fatal(err)
	}
	return fit
}

// column is the place of a column in a fit.
func column(t fataler, name string) int {
	t.Helper()
	columns, _ := activity.Columns("bream")
	for j, c := range columns {
		if c.Name == name {
			return j
		}
	}
	t.Fatalf("there is no column %s", name)
	return -1
}

// pit is where most tests fish.
var pit = activity.Setting{Water: "pit", Angler: "a", Peg: "1"}

// nowhere is a setting that no record has.
var nowhere = activity.Setting{Water: "new water", Angler: "new angler", Peg: "9"}
