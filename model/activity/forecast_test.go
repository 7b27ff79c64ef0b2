package activity_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/activity"
)

func mustForecast(t fataler, fit activity.Fit, c activity.Covariates, at activity.Setting, hours float64) activity.Forecast {
	t.Helper()
	f, err := fit.Forecast(c, at, hours)
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
	f := mustForecast(t, fit, c, nowhere, 5)
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
	f := mustForecast(t, fit, usual(), nowhere, 4)
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
		landed := 1 / (1 + math.Exp(-(0.5 + math.Hypot(0.4, 0.3)*random.NormFloat64())))
		if bites == 0 {
			noBite++
		}
		if math.Pow(1-landed, float64(bites)) > random.Float64() {
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

func TestForecastOfASeenSettingByHand(t *testing.T) {
	// The mean of the log rate is the row times the coefficients plus the three
	// effects, by name.
	fit := mustFit(t, anySessions(21, 240))
	row, _, _ := activity.BuildRow(usual())
	var mean float64
	for j, v := range row {
		mean += v * fit.Count.Coefficients[j]
	}
	for _, factor := range fit.Count.Factors {
		name := map[string]string{"water": "pit", "angler": "a", "peg": "pit/1"}[factor.Name]
		level := slices.Index(factor.Levels, name)
		if level < 0 {
			t.Fatalf("%s %s was not seen", factor.Name, name)
		}
		mean += factor.Effects[level]
	}
	f := mustForecast(t, fit, usual(), pit, 4)
	if !near(f.Basis.LogRateMean, mean, 1e-12) {
		t.Errorf("log rate %v, want %v", f.Basis.LogRateMean, mean)
	}
	if want := 4 * math.Exp(mean+f.Basis.LogRateVariance/2); !near(f.Bites.Mean, want, 1e-12) {
		t.Errorf("mean bites %v, want %v", f.Bites.Mean, want)
	}
	m, v := fit.Landed.Logit("a")
	if want := f.Bites.Mean * activity.ExpectedShare(m, v); !near(f.Fish.Mean, want, 1e-6) {
		t.Errorf("mean fish %v, want %v", f.Fish.Mean, want)
	}
}

func TestForecastsAreOrderedAndFinite(t *testing.T) {
	prior, _ := activity.PriorFit("silver")
	fits := []activity.Fit{prior, mustFit(t, anySessions(31, 12)), mustFit(t, anySessions(32, 260))}
	rapid.Check(t, func(t *rapid.T) {
		fit, at := rapid.SampledFrom(fits).Draw(t, "fit"), rapid.SampledFrom([]activity.Setting{pit, nowhere}).Draw(t, "at")
		c := anyCovariates(rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1)))
		c.LogAppetite = rapid.Float64Range(-20, 0).Draw(t, "appetite")
		c.PlannedRateGH = rapid.Float64Range(1, 5000).Draw(t, "plan")
		hours := rapid.Float64Range(0.1, 100).Draw(t, "hours")
		f := mustForecast(t, fit, c, at, hours)
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
		longer := mustForecast(t, fit, c, at, 1.5*hours)
		if longer.Bites.Mean < b.Mean || longer.Bites.Median < b.Median || longer.Bites.Low90 < b.Low90 ||
			longer.Bites.High90 < b.High90 || longer.BlankProbability > f.BlankProbability+1e-12 {
			t.Fatalf("a longer session lowers the forecast:\n%+v\n%+v", f, longer)
		}
	})
}

func TestForecastSurvivesExtremeEstimates(t *testing.T) {
	for _, intercept := range []float64{-1e6, -40, 29.9, 1e6} {
		fit, _ := activity.PriorFit("carp")
		fit.Count.Coefficients[0] = intercept
		f := mustForecast(t, fit, usual(), nowhere, 200)
		if _, err := json.Marshal(f); err != nil {
			t.Errorf("intercept %g: %v", intercept, err)
		}
		if f.Bites.Low90 > f.Bites.High90 || f.Fish.High90 > f.Bites.High90 || f.RatePerRodHour.Median <= 0 {
			t.Errorf("intercept %g: %+v", intercept, f)
		}
	}
}

func TestForecastNamesWhatIsMissing(t *testing.T) {
	fit, _ := activity.PriorFit("bream")
	c := usual()
	c.Known.WindMps, c.Known.Feed = false, false
	f := mustForecast(t, fit, c, nowhere, 4)
	want := []string{"wind_mps", "feed_z", "feed_z_squared", "feed_z_x_temperature"}
	if diff := cmp.Diff(want, f.Missing); diff != "" {
		t.Errorf("missing (-want +got):\n%s", diff)
	}
}

func TestForecastRefuses(t *testing.T) {
	fit, _ := activity.PriorFit("bream")
	for _, hours := range []float64{0, -1, 201, math.NaN(), math.Inf(1)} {
		if _, err := fit.Forecast(usual(), nowhere, hours); err == nil || !strings.Contains(err.Error(), "rod-hours") {
			t.Errorf("%v rod-hours: error %v, want one about rod-hours", hours, err)
		}
	}
	for name, broken := range map[string]func(*activity.Fit){
		"no columns":      func(f *activity.Fit) { f.Count.Columns = nil },
		"other column":    func(f *activity.Fit) { f.Count.Columns[3] = "moon" },
		"short core":      func(f *activity.Fit) { f.Count.Core = f.Count.Core[:5] },
		"not a number":    func(f *activity.Fit) { f.Count.Coefficients[1] = math.NaN() },
		"negative alpha":  func(f *activity.Fit) { f.Count.Spread.Alpha = -1 },
		"infinite spread": func(f *activity.Fit) { f.Count.Spread.SDs[0] = math.Inf(1) },
		"no share landed": func(f *activity.Fit) { f.Landed.LogitVariance = 0 },
	} {
		damaged, _ := activity.PriorFit("bream")
		broken(&damaged)
		if _, err := damaged.Forecast(usual(), nowhere, 4); err == nil || !strings.Contains(err.Error(), "fit again") {
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
		mustForecast(b, fit, usual(), pit, 5)
	}
}

func BenchmarkForecastByRecords(b *testing.B) {
	fit := mustFit(b, anySessions(61, 300))
	for b.Loop() {
		mustForecast(b, fit, usual(), pit, 5)
	}
}
