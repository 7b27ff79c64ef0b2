package activity_test

import (
	"math"
	"math/rand/v2"

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

const plantedTheta = 1.2

// anySessions draws sessions whose bites are NB2 about the planted rate, by a
// Gamma(1.2) multiplier made of exponentials and a power (Ahrens & Dieter 1974
// for the part below 1; from memory).
func anySessions(seed uint64, n int) []activity.SessionRow {
	random := rand.New(rand.NewPCG(seed, 7))
	columns, _ := activity.Columns("bream")
	rows := make([]activity.SessionRow, n)
	for i := range rows {
		c := anyCovariates(random)
		design, _, err := activity.BuildRow(c)
		if err != nil {
			panic(err)
		}
		var eta float64
		for j, column := range columns {
			eta += plantedEffects[column.Name] * design[j]
		}
		hours := 2 + math.Round(12*random.Float64())/2
		mean := hours * math.Exp(eta) * gamma(random, plantedTheta) / plantedTheta
		rows[i] = activity.SessionRow{Covariates: c, Bites: poisson(random, mean), RodHours: hours}
	}
	return rows
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

func mustFit(t fataler, rows []activity.SessionRow) activity.Fit {
	t.Helper()
	fit, err := activity.FitBaseline("bream", rows)
	if err != nil {
		t.Fatal(err)
	}
	return fit
}

func column(t fataler, fit activity.Fit, name string) activity.FittedColumn {
	t.Helper()
	for _, c := range fit.Columns {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("the fit has no column %s", name)
	return activity.FittedColumn{}
}
