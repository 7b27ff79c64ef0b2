package activity_test

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"osier/model/activity"
)

// sharedRecords are the shared synthetic sessions with waters and anglers.
func sharedRecords(t *testing.T) activity.CountRecords {
	t.Helper()
	sessions := readSimulated(t)
	file, err := os.Open(filepath.Join(sharedStatistics, "sim-1k.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	table, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	groups := map[string][]string{}
	for _, row := range table[1:] {
		for j, name := range table[0] {
			groups[name] = append(groups[name], row[j])
		}
	}
	records := activity.CountRecords{Columns: append([]string{"(Intercept)"}, simulatedColumns...)}
	for _, s := range sessions {
		records.X = append(append(records.X, 1), s.row...)
		records.Counts = append(records.Counts, s.bites)
		records.Hours = append(records.Hours, s.hours)
	}
	for _, name := range []string{"water", "angler"} {
		records.Factors = append(records.Factors, activity.NewCountFactor(name, groups[name]))
	}
	return records
}

func TestCountFitReachesTheReferenceFit(t *testing.T) {
	records := sharedRecords(t)
	text, err := os.ReadFile(filepath.Join(sharedStatistics, "sim-1k.fit.json"))
	if err != nil {
		t.Fatal(err)
	}
	type column struct {
		LogLik float64
		Fixed  map[string]float64
		SE     map[string]float64
		Theta  float64
		SD     map[string]float64
		Blup   map[string]map[string]float64
	}
	var reference map[string]json.RawMessage
	if err := json.Unmarshal(text, &reference); err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		name   string
		method activity.CountMethod
	}{
		{"all_integrated_water_angler", activity.CountMethod{}},
		{"ml_water_angler", activity.CountMethod{MaximumLikelihood: true}},
	} {
		var want column
		if err := json.Unmarshal(reference[row.name], &want); err != nil {
			t.Fatal(err)
		}
		fit, err := activity.FitCounts(records, activity.CountPriors{}, row.method)
		if err != nil {
			t.Fatalf("%s: %v", row.name, err)
		}
		if math.Abs(fit.LogLikelihood-want.LogLik) > 1e-6 {
			t.Errorf("%s: log-likelihood %v, want %v", row.name, fit.LogLikelihood, want.LogLik)
		}
		for j, name := range fit.Columns {
			if math.Abs(fit.Coefficients[j]-want.Fixed[name]) > 1e-5 || math.Abs(fit.SEs[j]-want.SE[name]) > 1e-4 {
				t.Errorf("%s: %s is %v (%v), want %v (%v)", row.name, name, fit.Coefficients[j], fit.SEs[j], want.Fixed[name], want.SE[name])
			}
		}
		for k, f := range fit.Factors {
			if math.Abs(fit.Spread.SDs[k]-want.SD[f.Name]) > 1e-4 {
				t.Errorf("%s: sd of %s %v, want %v", row.name, f.Name, fit.Spread.SDs[k], want.SD[f.Name])
			}
			for l, level := range f.Levels {
				if math.Abs(f.Effects[l]-want.Blup[f.Name][level]) > 1e-4 {
					t.Errorf("%s: %s %s is %v, want %v", row.name, f.Name, level, f.Effects[l], want.Blup[f.Name][level])
				}
			}
		}
		if math.Abs(1/fit.Spread.Alpha-want.Theta) > 1e-4 {
			t.Errorf("%s: theta %v, want %v", row.name, 1/fit.Spread.Alpha, want.Theta)
		}
	}
}
