package activity

import "fmt"

// maxRodHours is the longest exposure of one session; our choice.
const maxRodHours = 200

// Forecast is what one planned session may expect. Each low and high is the
// end of a central interval: 25 to 75 % and 5 to 95 %.
type Forecast struct {
	RodHours float64 `json:"rod_h"`
	// RatePerRodHour is the session's own true bite rate, its multiplier included.
	RatePerRodHour RateForecast `json:"rate_per_rod_h"`
	// Bites is the count of true bites over RodHours.
	Bites BitesForecast `json:"bites"`
	// Fish is the count landed.
	Fish FishForecast `json:"fish"`
	// NoBiteProbability is P(no true bite), BlankProbability P(no fish), which
	// is never the smaller.
	NoBiteProbability float64 `json:"no_bite_probability"`
	BlankProbability  float64 `json:"blank_probability"`
	// Step is ActivityStep of the median rate.
	Step string `json:"step"`
	// Missing are the columns whose value was not known.
	Missing []string      `json:"missing"`
	Basis   ForecastBasis `json:"basis"`
}

// RateForecast is in true bites per rod-hour.
type RateForecast struct {
	Mean   float64 `json:"mean"`
	Median float64 `json:"median"`
	Low50  float64 `json:"low50"`
	High50 float64 `json:"high50"`
	Low90  float64 `json:"low90"`
	High90 float64 `json:"high90"`
}

// BitesForecast is in true bites; Mean is the mean rate times the rod-hours.
type BitesForecast struct {
	Mean   float64 `json:"mean"`
	Median int     `json:"median"`
	Low50  int     `json:"low50"`
	High50 int     `json:"high50"`
	Low90  int     `json:"low90"`
	High90 int     `json:"high90"`
}

// FishForecast is in fish landed.
type FishForecast struct {
	Mean   float64 `json:"mean"`
	Low90  int     `json:"low90"`
	High90 int     `json:"high90"`
}

// Forecast predicts a session of rodHours (above 0, at most 200) under the
// given conditions: NB2 counts whose log mean rate is normal, with the doubt
// about the coefficients, and about the water, the peg and the angler, whether
// the fit has seen them or not; fish by the share this angler lands. A quantile
// is the smallest count k with P(Y <= k) >= p.
func (f Fit) Forecast(c Covariates, at Setting, rodHours float64) (Forecast, error) {
	if !(rodHours > 0 && rodHours <= maxRodHours) {
		return Forecast{}, fmt.Errorf("forecast: rod-hours is %g; it must be above 0 and at most %d", rodHours, maxRodHours)
	}
	basis, missing, err := f.basis(c, at)
	if err != nil {
		return Forecast{}, fmt.Errorf("forecast: %w", err)
	}
	out := Forecast{RodHours: rodHours, Missing: missing, Basis: basis}
	out.summarise(basis.mixture(rodHours))
	return out, nil
}

// Rate predicts the rate alone, which no length of the session bears on: it is
// that of Forecast.
func (f Fit) Rate(c Covariates, at Setting) (RateForecast, error) {
	basis, _, err := f.basis(c, at)
	if err != nil {
		return RateForecast{}, fmt.Errorf("forecast: %w", err)
	}
	return newRateMixture(basis.LogRateMean, basis.LogRateVariance, basis.Alpha).forecast(), nil
}

func (f Fit) basis(c Covariates, at Setting) (b ForecastBasis, missing []string, err error) {
	if err := f.Check(); err != nil {
		return b, nil, err
	}
	row, missing, err := BuildRow(c)
	if err != nil {
		return b, nil, err
	}
	b.Alpha = f.Count.Spread.Alpha
	if b.LogRateMean, b.LogRateVariance, err = f.Count.Predict(row, at.groups(f.Count.Factors)); err != nil {
		return b, nil, err
	}
	b.LandedLogitMean, b.LandedLogitVariance = f.Landed.Logit(at.Angler)
	return b, missing, nil
}

// ForecastBasis is what a forecast is computed from: enough to score it later,
// for whatever length the session had.
type ForecastBasis struct {
	LogRateMean         float64 `json:"log_rate_mean"`
	LogRateVariance     float64 `json:"log_rate_variance"`
	Alpha               float64 `json:"alpha"` // 1/theta
	LandedLogitMean     float64 `json:"landed_logit_mean"`
	LandedLogitVariance float64 `json:"landed_logit_variance"`
}

// Bites is the distribution of the true bites in rodHours (above 0).
func (b ForecastBasis) Bites(rodHours float64) (CountPrediction, error) {
	return NewCountPrediction(b.LogRateMean, b.LogRateVariance, rodHours, b.Alpha)
}

func (b ForecastBasis) mixture(rodHours float64) countMixture {
	return newCountMixture(b.LogRateMean, b.LogRateVariance, b.Alpha, rodHours, b.LandedLogitMean, b.LandedLogitVariance)
}

func (f *Forecast) summarise(p countMixture) {
	atMostBites := p.summed(p.bitten)
	banked := p.summed(p.banked)
	atMostFish := func(k int) float64 { return max(banked(k), atMostBites(k)) }
	bites := func(q float64) int { return countQuantile(atMostBites, q) }
	fish := func(q float64) int { return countQuantile(atMostFish, q) }
	f.RatePerRodHour = p.forecast()
	f.Bites = BitesForecast{
		Mean: f.RodHours * p.rateMean(), Median: bites(0.5),
		Low50: bites(0.25), High50: bites(0.75), Low90: bites(0.05), High90: bites(0.95),
	}
	f.Fish = FishForecast{Mean: p.fishMean(), Low90: fish(0.05), High90: fish(0.95)}
	f.NoBiteProbability, f.BlankProbability = atMostBites(0), atMostFish(0)
	f.Step = ActivityStep(f.RatePerRodHour.Median)
}

func (m rateMixture) forecast() RateForecast {
	return RateForecast{
		Mean: m.rateMean(), Median: m.rateQuantile(0.5),
		Low50: m.rateQuantile(0.25), High50: m.rateQuantile(0.75),
		Low90: m.rateQuantile(0.05), High90: m.rateQuantile(0.95),
	}
}

// ActivityStep names a rate of true bites per hour on one rod: Still under 0.5,
// Slow to under 2, Regular to under 5, Busy up to 12, Hectic above (our own
// scale). A number below 0 or no number has no name.
func ActivityStep(ratePerH float64) string {
	switch {
	case !(ratePerH >= 0):
		return ""
	case ratePerH < 0.5:
		return "Still"
	case ratePerH < 2:
		return "Slow"
	case ratePerH < 5:
		return "Regular"
	case ratePerH <= 12:
		return "Busy"
	}
	return "Hectic"
}
