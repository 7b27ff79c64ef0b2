package activity_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/activity"
)

func mustForecast(t fataler, fit activity.Fit, c activity.Covariates, hours float64) activity.Forecast {
	t.Helper()
	f, err := fit.Forecast(c, hours)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestFitZeroForecastByHand(t *testing.T) {
	fit, err := activity.PriorFit("bream")
	if err != nil {
		t.Fatal(err)
	}
	c := usual()
	c.DayOfYear, c.MidHour = 300, 15
	f := mustForecast(t, fit, c, 5)
	// Everything at its centre but four season and four hour columns, whose
	// squares add up to 2 each; their prior sd is 0.2. Three groups of sd 0.4.
	variance := 0.64 + 4*0.04 + 3*0.16
	rate := 3 * math.Exp(variance/2)
	if !near(f.RatePerRodHour.Mean, rate, 1e-9) || !near(f.Bites.Mean, 5*rate, 1e-9) {
		t.Errorf("mean rate %v, mean bites %v; want %v and %v", f.RatePerRodHour.Mean, f.Bites.Mean, rate, 5*rate)
	}
	cdf, _ := activity.MixtureBites(math.Log(3), variance, 1.2, 5)
	want := activity.BitesForecast{
		Mean: f.Bites.Mean, Median: activity.CountQuantile(cdf, 0.5),
		Low50: activity.CountQuantile(cdf, 0.25), High50: activity.CountQuantile(cdf, 0.75),
		Low90: activity.CountQuantile(cdf, 0.05), High90: activity.CountQuantile(cdf, 0.95),
	}
	if diff := cmp.Diff(want, f.Bites); diff != "" {
		t.Errorf("bites (-want +got):\n%s", diff)
	}
	if !near(f.NoBiteProbability, cdf(0), 1e-9) {
		t.Errorf("P(no bite) is %v, want %v", f.NoBiteProbability, cdf(0))
	}
	if f.Step != "Regular" || len(f.Missing) != 0 {
		t.Errorf("step %q, missing %v; want Regular (median %v) and nothing", f.Step, f.Missing, f.RatePerRodHour.Median)
	}
}

func TestFitZeroRatesBySimulation(t *testing.T) {
	fit, _ := activity.PriorFit("carp")
	f := mustForecast(t, fit, usual(), 4)
	random := rand.New(rand.NewPCG(11, 12))
	const draws = 200_000
	below := map[string]int{}
	var noBite, noFish int
	sd := math.Sqrt(0.64 + 4*0.04 + 3*0.16)
	for range draws {
		rate := 2.5 * math.Exp(sd*random.NormFloat64()) * gamma(random, 1.2) / 1.2
		for name, limit := range map[string]float64{
			"0.05": f.RatePerRodHour.Low90, "0.25": f.RatePerRodHour.Low50, "0.5": f.RatePerRodHour.Median,
			"0.75": f.RatePerRodHour.High50, "0.95": f.RatePerRodHour.High90,
		} {
			if rate <= limit {
				below[name]++
			}
		}
		bites := poisson(random, 4*rate)
		if bites == 0 {
			noBite++
		}
		if math.Pow(1-activity.LandingShare(), float64(bites)) > random.Float64() {
			noFish++
		}
	}
	for name, want := range map[string]float64{"0.05": 0.05, "0.25": 0.25, "0.5": 0.5, "0.75": 0.75, "0.95": 0.95} {
		if got := float64(below[name]) / draws; math.Abs(got-want) > 0.005 {
			t.Errorf("a share of %v lies under the %s quantile of the rate", got, name)
		}
	}
	if got := float64(noBite) / draws; math.Abs(got-f.NoBiteProbability) > 0.005 {
		t.Errorf("P(no bite) is %v, simulated %v", f.NoBiteProbability, got)
	}
	if got := float64(noFish) / draws; math.Abs(got-f.BlankProbability) > 0.005 {
		t.Errorf("P(no fish) is %v, simulated %v", f.BlankProbability, got)
	}
}

func TestBlendedForecastByHand(t *testing.T) {
	fit := mustFit(t, anySessions(21, 240))
	f := mustForecast(t, fit, usual(), 4)
	row, _, _ := activity.BuildRow(usual())
	var mean, variance float64
	for i, c := range fit.Columns {
		mean += c.Estimate * row[i]
		for j := range row {
			variance += row[i] * row[j] * fit.Covariance[i][j]
		}
	}
	sd := math.Sqrt(variance + fit.LogRateSD*fit.LogRateSD)
	r := f.RatePerRodHour
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"median", r.Median, math.Exp(mean)},
		{"mean", r.Mean, math.Exp(mean + sd*sd/2)},
		{"low90", r.Low90, math.Exp(mean - 1.6448536269514722*sd)},
		{"high50", r.High50, math.Exp(mean + 0.6744897501960817*sd)},
		{"no bite", f.NoBiteProbability, 0.5 * math.Erfc(-(math.Log(0.25)-mean)/sd/math.Sqrt2)},
	} {
		if !near(c.got, c.want, 1e-9) {
			t.Errorf("%s is %v, want %v", c.name, c.got, c.want)
		}
	}
	for _, q := range []struct {
		name string
		got  int
		z    float64
	}{{"low90", f.Bites.Low90, -1.6448536269514722}, {"median", f.Bites.Median, 0}, {"high90", f.Bites.High90, 1.6448536269514722}} {
		// The smallest whole k with k + 1 at or above the quantile of h times the rate.
		if want := max(0, int(math.Ceil(4*math.Exp(mean+q.z*sd)))-1); q.got != want {
			t.Errorf("%s is %d, want %d", q.name, q.got, want)
		}
	}
}

func TestAtTenSessionsTheForecastIsAboutAsWideAsThePrior(t *testing.T) {
	prior, _ := activity.PriorFit("bream")
	before := mustForecast(t, prior, usual(), 5)
	after := mustForecast(t, mustFit(t, anySessions(22, 10)), usual(), 5)
	width := func(f activity.Forecast) float64 {
		return math.Log(f.RatePerRodHour.High90 / f.RatePerRodHour.Low90)
	}
	if ratio := width(after) / width(before); ratio < 0.6 || ratio > 1.1 {
		t.Errorf("the 90 %% interval of the log rate is %.2f times the prior's", ratio)
	}
}

func TestThinningIsBinomial(t *testing.T) {
	// Exactly six bites: fish are Binomial(6, 0.6).
	six := func(k int) float64 {
		if k < 6 {
			return 0
		}
		return 1
	}
	want := []float64{0.004096, 0.04096, 0.1792, 0.45568, 0.76672, 0.953344, 1} // by hand
	for k, w := range want {
		if got := activity.ThinnedCDF(six, 0.6, k); math.Abs(got-w) > 1e-12 {
			t.Errorf("P(fish <= %d) is %v, want %v", k, got, w)
		}
	}
	// A thinned mixture of NB2 is a mixture of NB2 with thinned means.
	bites, _ := activity.MixtureBites(0.7, 0.8, 1.2, 5)
	fish := activity.MixtureFish(0.7, 0.8, 1.2, 5)
	for _, k := range []int{0, 1, 5, 20, 100} {
		if got, w := activity.ThinnedCDF(bites, activity.LandingShare(), k), fish(k); math.Abs(got-w) > 1e-10 {
			t.Errorf("P(fish <= %d) is %v one way and %v the other", k, got, w)
		}
	}
}

func TestLandingShareIsTheMeanOfItsPrior(t *testing.T) {
	// Mean of 1/(1+exp(-x)), x ~ N(0.5, 0.4), by the trapezium rule.
	var want float64
	const step = 1e-3
	for z := -9.0; z <= 9; z += step {
		want += step * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) / (1 + math.Exp(-(0.5 + 0.4*z)))
	}
	if got := activity.LandingShare(); math.Abs(got-want) > 1e-9 {
		t.Errorf("landing share is %v, want %v", got, want)
	}
}

func TestForecastsAreOrderedAndFinite(t *testing.T) {
	prior, _ := activity.PriorFit("silver")
	fits := []activity.Fit{prior, mustFit(t, anySessions(31, 12)), mustFit(t, anySessions(32, 260))}
	rapid.Check(t, func(t *rapid.T) {
		fit := rapid.SampledFrom(fits).Draw(t, "fit")
		c := anyCovariates(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1)))
		c.LogAppetite = rapid.Float64Range(-20, 0).Draw(t, "appetite")
		c.PlannedRateGH = rapid.Float64Range(1, 5000).Draw(t, "plan")
		hours := rapid.Float64Range(0.1, 100).Draw(t, "hours")
		f := mustForecast(t, fit, c, hours)
		r, b := f.RatePerRodHour, f.Bites
		ordered := []bool{
			0 < r.Low90, r.Low90 <= r.Low50, r.Low50 <= r.Median, r.Median <= r.High50, r.High50 <= r.High90,
			0 <= b.Low90, b.Low90 <= b.Low50, b.Low50 <= b.Median, b.Median <= b.High50, b.High50 <= b.High90,
			0 <= f.Fish.Low90, f.Fish.Low90 <= f.Fish.High90, f.Fish.High90 <= b.High90, f.Fish.Mean <= b.Mean,
			0 <= f.NoBiteProbability, f.NoBiteProbability <= f.BlankProbability, f.BlankProbability <= 1, f.Step != "",
		}
		for i, ok := range ordered {
			if !ok {
				t.Fatalf("relation %d fails in %+v", i, f)
			}
		}
		if _, err := json.Marshal(f); err != nil {
			t.Fatalf("not every figure is finite: %v in %+v", err, f)
		}
		longer := mustForecast(t, fit, c, 1.5*hours)
		if longer.Bites.Mean < b.Mean || longer.Bites.Median < b.Median || longer.Bites.Low90 < b.Low90 ||
			longer.Bites.High90 < b.High90 || longer.BlankProbability > f.BlankProbability+1e-12 {
			t.Fatalf("a longer session lowers the forecast:\n%+v\n%+v", f, longer)
		}
	})
}

func TestForecastSurvivesExtremeEstimates(t *testing.T) {
	for _, weight := range []float64{0, 0.9} {
		for _, intercept := range []float64{-1e6, -40, 29.9, 1e6} {
			fit, _ := activity.PriorFit("carp")
			fit.Weight = weight
			fit.Columns[0].Estimate = intercept
			f := mustForecast(t, fit, usual(), 200)
			if _, err := json.Marshal(f); err != nil {
				t.Errorf("intercept %g, weight %g: %v", intercept, weight, err)
			}
			if f.Bites.Low90 > f.Bites.High90 || f.Fish.High90 > f.Bites.High90 || f.RatePerRodHour.Median <= 0 {
				t.Errorf("intercept %g, weight %g: %+v", intercept, weight, f)
			}
		}
	}
}

func TestForecastNamesWhatIsMissing(t *testing.T) {
	fit, _ := activity.PriorFit("bream")
	c := usual()
	c.Known.WindMps, c.Known.Feed = false, false
	f := mustForecast(t, fit, c, 4)
	want := []string{"wind_mps", "feed_z", "feed_z_squared", "feed_z_x_temperature"}
	if diff := cmp.Diff(want, f.Missing); diff != "" {
		t.Errorf("missing (-want +got):\n%s", diff)
	}
}

func TestForecastRefuses(t *testing.T) {
	fit, _ := activity.PriorFit("bream")
	for _, hours := range []float64{0, -1, 201, math.NaN(), math.Inf(1)} {
		if _, err := fit.Forecast(usual(), hours); err == nil || !strings.Contains(err.Error(), "rod-hours") {
			t.Errorf("%v rod-hours: error %v, want one about rod-hours", hours, err)
		}
	}
	for name, broken := range map[string]func(*activity.Fit){
		"no columns":      func(f *activity.Fit) { f.Columns = nil },
		"other column":    func(f *activity.Fit) { f.Columns[3].Name = "moon" },
		"short row":       func(f *activity.Fit) { f.Covariance[2] = f.Covariance[2][:5] },
		"not a number":    func(f *activity.Fit) { f.Columns[1].Estimate = math.NaN() },
		"theta of 0":      func(f *activity.Fit) { f.Theta = 0 },
		"infinite spread": func(f *activity.Fit) { f.LogRateSD = math.Inf(1) },
	} {
		damaged, _ := activity.PriorFit("bream")
		broken(&damaged)
		if _, err := damaged.Forecast(usual(), 4); err == nil || !strings.Contains(err.Error(), "fit again") {
			t.Errorf("%s: error %v, want one that says to fit again", name, err)
		}
	}
}

func TestActivityStep(t *testing.T) {
	for _, c := range []struct {
		rate float64
		want string
	}{
		{0, "Still"},
		{0.499, "Still"},
		{0.5, "Slow"},
		{1.99, "Slow"},
		{2, "Regular"},
		{4.99, "Regular"},
		{5, "Busy"},
		{12, "Busy"},
		{12.01, "Hectic"},
		{-1, ""},
		{math.NaN(), ""},
	} {
		if got := activity.ActivityStep(c.rate); got != c.want {
			t.Errorf("ActivityStep(%v) is %q, want %q", c.rate, got, c.want)
		}
	}
}

func BenchmarkForecastByThePrior(b *testing.B) {
	fit, _ := activity.PriorFit("bream")
	for b.Loop() {
		mustForecast(b, fit, usual(), 5)
	}
}

func BenchmarkForecastByRecords(b *testing.B) {
	fit := mustFit(b, anySessions(61, 300))
	for b.Loop() {
		mustForecast(b, fit, usual(), 5)
	}
}
