package activity_test

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"osier/model/activity"
)

// simulated is one synthetic session in the project's shared file, with the
// file's own columns, which are not this package's.
type simulated struct {
	row   []float64
	hours float64
	bites int
}

var simulatedColumns = []string{
	"log_appetite", "dtemp24", "dpres3", "dpres24_per10", "wind_per5", "cloudc", "log1p_rain",
	"season_sin", "season_cos", "hour_cos", "feed", "feed_x_temp", "feed_sq",
}

func readSimulated(t *testing.T) []simulated {
	t.Helper()
	file, err := os.Open(filepath.Join(sharedStatistics, "sim-1k.csv"))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("the shared synthetic sessions are not here; the planted sessions of this package are used elsewhere")
	}
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []simulated
	for _, record := range records[1:] {
		v := map[string]float64{}
		for i, name := range records[0] {
			if v[name], err = strconv.ParseFloat(record[i], 64); err != nil {
				t.Fatal(err)
			}
		}
		width := 7.0
		if v["water_temp"] > 18 {
			width = 5
		}
		z, year := math.Log(v["plan_feed_gph"]/350), 2*math.Pi*v["doy"]/365.25
		out = append(out, simulated{
			row: []float64{
				max(-3, -math.Pow((v["water_temp"]-18)/width, 2)/2), v["dtemp24"], v["dpres3"], v["dpres24"] / 10,
				(v["wind"] - 5) / 5, v["cloud"] - 0.5, math.Log1p(v["rain"]), math.Sin(year), math.Cos(year),
				math.Cos(2 * math.Pi * (v["start"] + v["hours"]/2 - 6) / 24), z, z * (v["water_temp"] - 12) / 5, z * z,
			},
			hours: v["hours"], bites: int(v["bites"]),
		})
	}
	return out
}

func fitSimulated(t *testing.T, sessions []simulated) activity.Solution {
	t.Helper()
	x, y := make([][]float64, len(sessions)), make([]float64, len(sessions))
	for i, s := range sessions {
		x[i], y[i] = s.row, math.Log((float64(s.bites)+0.5)/s.hours)
	}
	solution, err := activity.LeastSquares(x, y, simulatedColumns)
	if err != nil {
		t.Fatal(err)
	}
	return solution
}

func TestLeastSquaresOnTheSharedSessions(t *testing.T) {
	sessions := readSimulated(t)
	text, err := os.ReadFile(filepath.Join(sharedStatistics, "sim-1k.fit.json"))
	if err != nil {
		t.Fatal(err)
	}
	var reference struct {
		OLS struct {
			Coef  map[string]float64 `json:"coef"`
			SE    map[string]float64 `json:"se"`
			Sigma float64            `json:"sigma"`
		} `json:"ols_log_rate"`
	}
	if err := json.Unmarshal(text, &reference); err != nil {
		t.Fatal(err)
	}
	s := fitSimulated(t, sessions)
	for j, name := range append([]string{"(Intercept)"}, simulatedColumns...) {
		coefficient, okCoef := reference.OLS.Coef[name]
		se, okSE := reference.OLS.SE[name]
		if !okCoef || !okSE {
			t.Fatalf("the reference has no column %s", name)
		}
		if !near(s.Coefficients[j], coefficient, 1e-8) || !near(math.Sqrt(s.Covariance[j][j]), se, 1e-8) {
			t.Errorf("%s is %v (se %v), reference %v (%v)", name, s.Coefficients[j], math.Sqrt(s.Covariance[j][j]), coefficient, se)
		}
	}
	if !near(s.ResidualSD, reference.OLS.Sigma, 1e-8) {
		t.Errorf("residual sd is %v, reference %v", s.ResidualSD, reference.OLS.Sigma)
	}
}

func TestDiscretisedForecastScoresAsTheReference(t *testing.T) {
	// The project's statistics notes, section 5: OLS log rate, discretised; 700
	// sessions train, the last 300 test; mean log score 2.290, mean CRPS 2.382.
	sessions := readSimulated(t)
	records := activity.CountRecords{Columns: append([]string{"intercept"}, simulatedColumns...)}
	for _, session := range sessions[:700] {
		records.X = append(append(records.X, 1), session.row...)
		records.Counts, records.Hours = append(records.Counts, session.bites), append(records.Hours, session.hours)
	}
	baseline, err := activity.FitBaseline(records)
	if err != nil {
		t.Fatal(err)
	}
	var logScore, crps float64
	for _, session := range sessions[700:] {
		p := baseline.Predict(append([]float64{1}, session.row...), session.hours)
		logScore -= math.Log(p.Probability(session.bites)) / 300
		for k := 0; ; k++ {
			f := p.AtMost(k)
			if 1-f < 1e-12 || k > 100_000 {
				break
			}
			if k >= session.bites {
				f--
			}
			crps += f * f / 300
		}
	}
	t.Logf("mean log score %.4f, mean CRPS %.4f", logScore, crps)
	if math.Abs(logScore-2.290) > 0.002 || math.Abs(crps-2.382) > 0.002 {
		t.Errorf("mean log score %.4f, mean CRPS %.4f; reference 2.290 and 2.382", logScore, crps)
	}
}
