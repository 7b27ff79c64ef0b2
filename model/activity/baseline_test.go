package activity_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/activity"
)

func TestUnderTenSessionsThePriorStands(t *testing.T) {
	prior, err := activity.PriorFit("bream")
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range []int{0, 1, 9} {
		prior.Rows = n
		if diff := cmp.Diff(prior, mustFit(t, anySessions(1, n))); diff != "" {
			t.Errorf("%d sessions (-prior +got):\n%s", n, diff)
		}
	}
}

func TestPriorFitIsTheTable(t *testing.T) {
	fit, err := activity.PriorFit("bream")
	if err != nil {
		t.Fatal(err)
	}
	// digamma(1.2) = -0.2890398966 and trigamma(1.2) = 1.2673772056 (Abramowitz &
	// Stegun 1964, table 6.1).
	shift := -0.2890398966 - math.Log(1.2)
	if !near(fit.MeanLogMultiplier, shift, 1e-9) {
		t.Errorf("E[ln G] is %v, want %v", fit.MeanLogMultiplier, shift)
	}
	if want := math.Sqrt(3*0.16 + 1.2673772056); !near(fit.LogRateSD, want, 1e-9) {
		t.Errorf("the log-scale sd of a session is %v, want %v", fit.LogRateSD, want)
	}
	if fit.Weight != 0 || fit.Theta != 1.2 {
		t.Errorf("weight %v, theta %v; want 0 and 1.2", fit.Weight, fit.Theta)
	}
	for j, c := range fit.Columns {
		want := c.PriorMean
		if j == 0 {
			want += fit.MeanLogMultiplier
		}
		if c.Estimate != want || c.SD != c.PriorSD || c.Fitted {
			t.Errorf("%s: estimate %v, sd %v, fitted %v; want the prior %v, %v", c.Name, c.Estimate, c.SD, c.Fitted, want, c.PriorSD)
		}
	}
	if _, err := activity.PriorFit("tench"); err == nil {
		t.Error("a prior fit for an unknown group was made")
	}
}

func TestColumnsArePaidForWithTenSessionsEach(t *testing.T) {
	for _, c := range []struct{ sessions, fitted int }{{10, 1}, {19, 1}, {20, 2}, {57, 5}, {229, 22}, {230, 23}, {400, 23}} {
		fit := mustFit(t, anySessions(2, c.sessions))
		var got int
		for j, column := range fit.Columns {
			if column.Fitted {
				got++
			}
			if column.Fitted != (j < c.fitted) {
				t.Errorf("%d sessions: %s fitted is %v (%s)", c.sessions, column.Name, column.Fitted, column.NotFitted)
			}
		}
		if got != c.fitted {
			t.Errorf("%d sessions fit %d columns, want %d", c.sessions, got, c.fitted)
		}
		if want := float64(c.sessions) / float64(c.sessions+20); fit.Weight != want {
			t.Errorf("%d sessions: weight %v, want %v", c.sessions, fit.Weight, want)
		}
		if want := c.sessions - c.fitted; fit.DegreesOfFreedom != want {
			t.Errorf("%d sessions: %d degrees of freedom, want %d", c.sessions, fit.DegreesOfFreedom, want)
		}
	}
}

func TestTwelveSessionsByHand(t *testing.T) {
	// All at the centre but for an appetite of -1, whose prior effect of 0.6 is
	// an offset; two bites in an hour each time, so the log rate is ln 2.5.
	rows := make([]activity.SessionRow, 12)
	for i := range rows {
		rows[i] = activity.SessionRow{Covariates: usual(), Bites: 2, RodHours: 1}
		rows[i].Covariates.LogAppetite = -1
	}
	fit := mustFit(t, rows)
	intercept := column(t, fit, "intercept")
	records := math.Log(2.5) + 0.6
	prior := math.Log(3) + fit.MeanLogMultiplier
	w := 12.0 / 32
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"records", intercept.RecordsEstimate, records},
		{"records se", intercept.RecordsSE, 0},
		{"estimate", intercept.Estimate, prior + w*(records-prior)},
		{"sd", intercept.SD, (1 - w) * 0.8},
		{"session sd", fit.LogRateSD, (1 - w) * math.Sqrt(0.48+1.2673772056)},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s is %v, want %v", c.name, c.got, c.want)
		}
	}
}

func TestUnusableColumnsKeepTheirPriorWithTheReason(t *testing.T) {
	rows := anySessions(3, 300)
	for i := range rows {
		rows[i].Covariates.WindMps = 4
		// Rain follows cloud exactly, on the scale of its column.
		rows[i].Covariates.RainMm = math.Expm1(rows[i].Covariates.CloudFraction)
	}
	fit := mustFit(t, rows)
	for name, reason := range map[string]string{
		"wind_mps":      "constant in these records",
		"log1p_rain_mm": "determined by the columns before it in these records",
	} {
		c := column(t, fit, name)
		if c.Fitted || c.NotFitted != reason || c.Estimate != c.PriorMean || c.SD != c.PriorSD {
			t.Errorf("%s: %+v; want the prior with the reason %q", name, c, reason)
		}
	}
	if c := column(t, fit, "cloud_fraction"); !c.Fitted {
		t.Errorf("cloud was not fitted: %s", c.NotFitted)
	}
}

func TestOrderOfSessionsChangesNothing(t *testing.T) {
	rows := anySessions(4, 120)
	want, err := json.Marshal(mustFit(t, rows))
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		got, err := activity.FitBaseline("bream", rapid.Permutation(rows).Draw(t, "rows"))
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(got)
		if err != nil {
			t.Fatal(err)
		}
		if string(text) != string(want) {
			t.Fatalf("order changed the fit (-want +got):\n%s", cmp.Diff(string(want), string(text)))
		}
	})
}

func TestFitSurvivesJSON(t *testing.T) {
	want := mustFit(t, anySessions(5, 90))
	text, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var got activity.Fit
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("fit after JSON (-want +got):\n%s", diff)
	}
}

func TestFitBaselineNamesTheWrongRow(t *testing.T) {
	for _, c := range []struct {
		want   string
		change func(*activity.SessionRow)
	}{
		{"row 4: bites is -1", func(r *activity.SessionRow) { r.Bites = -1 }},
		{"row 4: rod-hours is 0", func(r *activity.SessionRow) { r.RodHours = 0 }},
		{"row 4: rod-hours is NaN", func(r *activity.SessionRow) { r.RodHours = math.NaN() }},
		{"row 4: covariates: wind_mps is 99", func(r *activity.SessionRow) { r.Covariates.WindMps = 99 }},
	} {
		rows := anySessions(6, 12)
		c.change(&rows[3])
		if _, err := activity.FitBaseline("bream", rows); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v, want one that says %q", err, c.want)
		}
	}
	if _, err := activity.FitBaseline("eel", nil); err == nil {
		t.Error("an unknown group was fitted")
	}
}

func TestBlanksAloneAreNoError(t *testing.T) {
	rows := anySessions(7, 40)
	for i := range rows {
		rows[i].Bites = 0
	}
	fit := mustFit(t, rows)
	f, err := fit.Forecast(usual(), 5)
	if err != nil {
		t.Fatal(err)
	}
	prior, _ := activity.PriorFit("bream")
	before, _ := prior.Forecast(usual(), 5)
	if !(f.NoBiteProbability > before.NoBiteProbability && f.NoBiteProbability < 1) {
		t.Errorf("after 40 blanks P(no bite) is %v, before them %v", f.NoBiteProbability, before.NoBiteProbability)
	}
}

func TestLeastSquaresRecoversPlantedEffects(t *testing.T) {
	// Mean log rates lie below the log of the mean by ln G's mean; the 0.5 that is
	// added to each count and the counts' own noise leave a little more, so the
	// slopes may be off by a tenth of their size beside sampling error.
	const sessions, seeds = 1500, 4
	sums := map[string]float64{}
	for seed := range uint64(seeds) {
		fit := mustFit(t, anySessions(100+seed, sessions))
		for _, c := range fit.Columns {
			sums[c.Name] += c.RecordsEstimate / seeds
		}
	}
	columns, _ := activity.Columns("bream")
	for _, c := range columns[1:] {
		want := plantedEffects[c.Name]
		if got := sums[c.Name]; math.Abs(got-want) > 0.1+0.15*math.Abs(want) {
			t.Errorf("%s: mean estimate over %d seeds is %.3f, planted %.3f", c.Name, seeds, got, want)
		}
	}
}
