package activity_test

import (
	"math"
	"strconv"
	"testing"

	"osier/model/activity"
)

// readPark are the visits to a park, by bait, persons and children.
func readPark(t *testing.T) activity.CountRecords {
	t.Helper()
	of := readCatches(t, "park-visits.csv")
	out := activity.CountRecords{Columns: []string{"(Intercept)", "livebait", "persons", "child"}, Hours: numbers(t, of["hours"])}
	bait, persons, children := numbers(t, of["livebait"]), numbers(t, of["persons"]), numbers(t, of["child"])
	for i, text := range of["fish_caught"] {
		caught, err := strconv.Atoi(text)
		if err != nil {
			t.Fatal(err)
		}
		out.Counts = append(out.Counts, caught)
		out.X = append(out.X, 1, bait[i], persons[i], children[i])
	}
	return out
}

// blanks are, under a fit, the expected share of blanks and the slope of the
// log-likelihood in a share of visits that could catch nothing, at a share of
// 0: above 0, such a share would be fitted; at 0 or below, it would not.
func blanks(t *testing.T, records activity.CountRecords, fit activity.CountFit) (expected, slope float64) {
	t.Helper()
	n, p := float64(len(records.Counts)), len(records.Columns)
	for i, y := range records.Counts {
		mean, _, err := fit.Predict(records.X[i*p:(i+1)*p], nil)
		if err != nil {
			t.Fatal(err)
		}
		forecast, err := activity.NewCountPrediction(mean, 0, records.Hours[i], fit.Spread.Alpha)
		if err != nil {
			t.Fatal(err)
		}
		blank := forecast.Probability(0)
		expected += blank / n
		// The derivative of log(share + (1-share) P(0)), or of log(1-share).
		slope--
		if y == 0 {
			slope += 1 / blank
		}
	}
	return expected, slope
}

func TestCatchesManyBlanksNeedNoZeroInflation(t *testing.T) {
	records := readPark(t)
	var observed float64
	for _, y := range records.Counts {
		if y == 0 {
			observed += 1 / float64(len(records.Counts))
		}
	}
	poissonExpected, poissonSlope := blanks(t, records, regression(t, records, true))
	nb2 := regression(t, records, false)
	expected, slope := blanks(t, records, nb2)
	t.Logf("blanks observed %.3f; Poisson expects %.3f, NB2 with theta %.3f expects %.3f", observed, poissonExpected, 1/nb2.Spread.Alpha, expected)
	t.Logf("slope of the log-likelihood in zero inflation: Poisson %+.1f, NB2 %+.2f", poissonSlope, slope)
	if poissonSlope <= 0 || observed-poissonExpected < 0.05 {
		t.Errorf("Poisson expects %.3f blanks, slope %.1f; it should lack blanks", poissonExpected, poissonSlope)
	}
	if slope > 0 || math.Abs(expected-observed) > 0.05 {
		t.Errorf("NB2 expects %.3f blanks of %.3f, slope %.2f; a small theta should leave nothing to zero inflation", expected, observed, slope)
	}
}

func TestCatchesSmallThetaBeatsZeroInflation(t *testing.T) {
	// The same columns by an established fitter, our run of it: log-likelihoods
	// -1044.1194 (Poisson), -1017.9484 (Poisson with zero inflation), -389.1387
	// (NB2), -389.1387 (NB2 with zero inflation, fitted as 0).
	records := readPark(t)
	for _, c := range []struct {
		name   string
		method activity.CountMethod
		want   float64
	}{
		{"Poisson", activity.CountMethod{MaximumLikelihood: true, Poisson: true}, -1044.1194},
		{"NB2", activity.CountMethod{MaximumLikelihood: true}, -389.1387},
	} {
		fit := trainOrFail(t, records, activity.CountPriors{}, c.method)
		t.Logf("%s: log-likelihood %.4f", c.name, fit.LogLikelihood)
		if math.Abs(fit.LogLikelihood-c.want) > 1e-4 {
			t.Errorf("%s: log-likelihood %.5f, want %.4f", c.name, fit.LogLikelihood, c.want)
		}
	}
}
