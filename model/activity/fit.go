package activity

import (
	"fmt"
	"math"
)

// Fit is what is believed about one group: the prior, drawn towards the
// records as far as their number allows. It is a value; no function of this
// package changes one after it was returned, and callers should not either.
//
// Estimates are on the scale of the mean log rate per rod-hour, which is what
// least squares sees. The prior's intercept is the log of a mean rate; the two
// differ by MeanLogMultiplier, E[ln G] for the session multiplier G.
type Fit struct {
	Group string `json:"group"`
	// Rows is the number of sessions given; under 10 none of them counts.
	Rows int `json:"rows"`
	// Weight is how far the fitted columns moved from the prior to the
	// records: Rows / (Rows + 20), or 0 for the prior alone.
	Weight  float64        `json:"weight"`
	Columns []FittedColumn `json:"columns"`
	// Covariance of the estimates, in the order of Columns.
	Covariance [][]float64 `json:"covariance"`
	// LogRateSD is the sd of a single session's log rate about its estimate:
	// the prior's and the residual sd, blended by Weight.
	LogRateSD float64 `json:"log_rate_sd"`
	// ResidualSD, DegreesOfFreedom, Condition and Solver describe the least
	// squares; all are empty at weight 0.
	ResidualSD       float64 `json:"residual_sd"`
	DegreesOfFreedom int     `json:"degrees_of_freedom"`
	Condition        float64 `json:"condition"`
	Solver           string  `json:"solver"`
	// Theta and the sds are the prior's figures for the session multiplier and
	// for a water, angler and peg not seen before.
	Theta             float64 `json:"theta"`
	SDWater           float64 `json:"sd_water"`
	SDAngler          float64 `json:"sd_angler"`
	SDPeg             float64 `json:"sd_peg"`
	MeanLogMultiplier float64 `json:"mean_log_multiplier"`
}

// FittedColumn is what a fit holds about one column, per scaled unit.
type FittedColumn struct {
	Name      string  `json:"name"`
	PriorMean float64 `json:"prior_mean"`
	PriorSD   float64 `json:"prior_sd"`
	// Fitted says whether the records gave this column an estimate of its own;
	// if not, NotFitted says why and the prior stands.
	Fitted    bool   `json:"fitted"`
	NotFitted string `json:"not_fitted"`
	// RecordsEstimate and RecordsSE are the least squares alone; 0 if not fitted.
	RecordsEstimate float64 `json:"records_estimate"`
	RecordsSE       float64 `json:"records_se"`
	// Estimate and SD are what forecasts use.
	Estimate float64 `json:"estimate"`
	SD       float64 `json:"sd"`
	// TrainingLow and TrainingHigh are the range in the records, in scaled
	// units; both 0 if not fitted.
	TrainingLow  float64 `json:"training_low"`
	TrainingHigh float64 `json:"training_high"`
}

// check refuses a fit that was not made by this package's table, as one read
// back from an older or a damaged store may be.
func (f Fit) check() error {
	if len(f.Columns) != len(columnTable) || len(f.Covariance) != len(columnTable) {
		return fmt.Errorf("the fit has %d columns and %d covariance rows; this model has %d; fit again",
			len(f.Columns), len(f.Covariance), len(columnTable))
	}
	for j, c := range f.Columns {
		if c.Name != columnTable[j].Name {
			return fmt.Errorf("column %d of the fit is %q; this model has %q there; fit again", j+1, c.Name, columnTable[j].Name)
		}
		if !isFinite(c.Estimate) || !allFinite(f.Covariance[j]) || len(f.Covariance[j]) != len(columnTable) {
			return fmt.Errorf("column %s of the fit is damaged; fit again", c.Name)
		}
	}
	if !(f.Theta > 0) || !allFinite([]float64{f.Theta, f.LogRateSD, f.MeanLogMultiplier, f.SDWater, f.SDAngler, f.SDPeg}) {
		return fmt.Errorf("theta %g or a spread of the fit is not a finite number above 0; fit again", f.Theta)
	}
	return nil
}

// logRate is the estimate of the mean log rate of a design row and its
// variance from the uncertainty of the estimates.
func (f Fit) logRate(row []float64) (mean, variance float64) {
	for i, c := range f.Columns {
		mean += c.Estimate * row[i]
		for j := range row {
			variance += row[i] * row[j] * f.Covariance[i][j]
		}
	}
	// Rounding may leave a tiny negative number where the variance is 0.
	return mean, max(variance, 0)
}

func allFinite(values []float64) bool {
	for _, v := range values {
		if !isFinite(v) {
			return false
		}
	}
	return true
}

func isFinite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
