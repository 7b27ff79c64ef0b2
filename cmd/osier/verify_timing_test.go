package main

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"osier/model/timing"
)

func TestVerifyTimingPassesOnTheEmbeddedFigures(t *testing.T) {
	checks, summary, err := verifyTiming(os.DirFS("reference/timing"))
	if err != nil {
		t.Fatal(err)
	}
	if failed := failedChecks(checks); len(failed) > 0 {
		t.Errorf("failed: %v", failed)
	}
	// A section that finds nothing must be noticed.
	sources := map[string]int{}
	for _, c := range checks {
		sources[c.Source]++
	}
	for source, fewest := range map[string]int{survivalFile: 18, recastFile: 35, "casts-12.fit.json": 20, updatingSource: 10} {
		if sources[source] < fewest {
			t.Errorf("%d checks from %s, want at least %d", sources[source], source, fewest)
		}
	}
	of := summary.(timingSummary).Casts["casts-12"]
	if of.Casts != 363 || of.PooledSoakMin != 17 || of.TypicalSoakMin != 30 || of.Found || of.Advice.Verdict != timing.SoakNone {
		t.Errorf("the summary of casts-12 is %+v", of)
	}
}

// Pooled casts ask for 23 min, a typical session for more than the 30 min tried;
// the law that the casts follow has 22 and 32.
func TestVerifyTimingTellsTheSoaksOfTheSharedCastsApart(t *testing.T) {
	shared := os.DirFS(sharedStatistics)
	if _, err := fs.Stat(shared, "casts-60.csv"); errors.Is(err, fs.ErrNotExist) {
		t.Skip("the shared statistics are not here; the embedded figures are checked in their place")
	}
	checks, summary, err := verifyTiming(shared)
	if err != nil {
		t.Fatal(err)
	}
	if failed := failedChecks(checks); len(failed) > 0 || len(checks) < 200 {
		t.Errorf("of %d checks failed: %v", len(checks), failed)
	}
	of := summary.(timingSummary).Casts["casts-60"]
	if of.PooledSoakMin != 23 || of.TypicalSoakMin != 30 || of.Found {
		t.Errorf("the soaks of casts-60 are %+v", of)
	}
	if of.Truth == nil || math.Round(of.Truth.TypicalSoakMin) != 32 || math.Round(of.Truth.PooledSoakMin) != 22 {
		t.Errorf("the truth of casts-60 is %+v, want 32 and 22 min", of.Truth)
	}
}

func TestVerifyTimingFailsOnAWrongFigure(t *testing.T) {
	for _, row := range []struct{ name, right, wrong, fails string }{
		{"survival/km.json", "0.80672268907563", "0.80672269907563", "survival leukaemia_6mp: survival, worst of 16, at 7"},
		{"survival/km.json", "null", "0.5", "survival leukaemia_placebo: Greenwood's error, worst of 12, at 23"},
		{"recast.json", "5.213813978990485", "5.215813978990485", "recast 1, Weibull: tau_star"},
		{"recast.json", `"tau_star": null`, `"tau_star": 12.5`, "recast 2, Weibull: tau_star"},
		{"casts-12.fit.json", "-3.083364775", "-3.084364775", "casts-12: typical session, log hazard, worst of 6, from 3 min"},
		{"casts-12.fit.json", "0.8760330579", "0.8760340579", "casts-12: survival, worst of 30, at 4 min"},
		{"casts-12.fit.json", `"shape": 3.990540523`, `"shape": 3.9925`, "casts-12: session of mean luck, shape"},
	} {
		checks, _, err := verifyTiming(embeddedWith(t, "reference/timing", row.name, row.right, row.wrong))
		if err != nil {
			t.Fatal(err)
		}
		if failed := failedChecks(checks); len(failed) != 1 || failed[0] != row.fails {
			t.Errorf("%s: failed %v, want only %s", row.name, failed, row.fails)
		}
	}
}

func TestVerifyTimingNamesAMalformedFile(t *testing.T) {
	for _, row := range []struct{ name, right, wrong, want string }{
		{"casts-12.csv", "minute", "time_min", "no column minute"},
		{"casts-12.csv", "session", "trip", "no column session"},
		{"casts-12.csv", "\n1,1,8,8.0", "\n1,1,8,-8.0", "casts-12.csv row 1"},
		{"casts-12.fit.json", "{", "", "casts-12.fit.json"},
		{"casts-12.fit.json", "-3.083364775, ", "", "the computation 6"},
		{"casts-12.fit.json", `"minute": [1,`, `"minute": [99,`, "99 min"},
		{"casts-12.truth.json", `"scale_min": 14.0`, `"scale_min": -1`, "casts-12.truth.json"},
		{"recast.json", `"law": "Weibull"`, `"law": "Gompertz"`, "Gompertz"},
		{"recast.json", `"shape": 0.7`, `"shape": "low"`, "shape is low"},
		{"recast.json", `"breaks_min": [`, `"breaks_min": [ true,`, "breaks_min"},
		{"survival/leukaemia.csv", "arm", "group", "no column arm"},
		{"survival/leukaemia.csv", "6MP,6", "6MP,six", "weeks is \"six\""},
	} {
		_, _, err := verifyTiming(embeddedWith(t, "reference/timing", row.name, row.right, row.wrong))
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: got %v, want it to say %q", row.name, err, row.want)
		}
	}
	if _, _, err := verifyTiming(fstest.MapFS{}); err == nil {
		t.Error("an empty folder passed")
	}
}
