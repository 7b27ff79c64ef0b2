package main

import (
	"errors"
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"
)

const sharedStatistics = "../../../shared/data/statistics"

func TestVerifyActivityPassesOnTheEmbeddedFigures(t *testing.T) {
	checks, summary, err := verifyActivity(os.DirFS("reference/activity"))
	if err != nil {
		t.Fatal(err)
	}
	if failed := failedChecks(checks); len(failed) > 0 {
		t.Errorf("failed: %v", failed)
	}
	// The figures of each kind: a section that finds nothing must be noticed.
	for _, part := range []string{"strd norris", "sim-300 truth", "sim-300 all_integrated", "sim-300 ml", "NB2 mean", "mixture", "log probability", "feed choice", "E-value"} {
		found := false
		for _, c := range checks {
			found = found || strings.HasPrefix(c.Name, part)
		}
		if !found {
			t.Errorf("no check of %s", part)
		}
	}
	fit := summary.(activitySummary).Fits["sim-300"]
	if fit.Rows != 300 || !(fit.LogLikelihood < 0) || fit.Theta == nil || len(fit.SDs) != 2 {
		t.Errorf("the summary of sim-300 is %+v", fit)
	}
}

func TestVerifyActivityPassesOnTheSharedFigures(t *testing.T) {
	shared := os.DirFS(sharedStatistics)
	if _, err := fs.Stat(shared, "scores.json"); errors.Is(err, fs.ErrNotExist) {
		t.Skip("the shared statistics are not here; the embedded figures are checked in their place")
	}
	checks, summary, err := verifyActivity(shared)
	if err != nil {
		t.Fatal(err)
	}
	if failed := failedChecks(checks); len(failed) > 0 || len(checks) < 1700 {
		t.Errorf("of %d checks failed: %v", len(checks), failed)
	}
	fits := summary.(activitySummary).Fits
	for _, name := range []string{"sim-1k", "mixed/owls", "mixed/salamanders"} {
		if fits[name].Rows == 0 || (fits[name].LogLikelihoodML != nil) != strings.HasPrefix(name, "mixed/") {
			t.Errorf("the summary of %s is %+v", name, fits[name])
		}
	}
}

// embeddedWith is an embedded folder with one text replaced in one file.
func embeddedWith(t *testing.T, folder, name, right, wrong string) fs.FS {
	t.Helper()
	out := fstest.MapFS{}
	root := os.DirFS(folder)
	err := fs.WalkDir(root, ".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := fs.ReadFile(root, path)
		if path == name {
			if !strings.Contains(string(text), right) {
				t.Fatalf("%q is not in %s", right, name)
			}
			text = []byte(strings.Replace(string(text), right, wrong, 1))
		}
		out[path] = &fstest.MapFile{Data: text}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestVerifyActivityFailsOnAWrongFigure(t *testing.T) {
	for _, row := range []struct{ name, right, wrong, fails string }{
		{"decisions.json", "285.4936", "285.4946", "feed choice 1: rate"},
		{"strd/certified.json", "1.00211681802045", "1.00211681902045", "strd norris: right digits, at least"},
		{"sim-300.truth.json", `"dtemp24": 0.06`, `"dtemp24": 0.9`, "sim-300 truth: dtemp24"},
	} {
		checks, _, err := verifyActivity(embeddedWith(t, "reference/activity", row.name, row.right, row.wrong))
		if err != nil {
			t.Fatal(err)
		}
		if failed := failedChecks(checks); len(failed) != 1 || failed[0] != row.fails {
			t.Errorf("%s: failed %v, want only %s", row.name, failed, row.fails)
		}
	}
}

func TestVerifyActivityNamesAMalformedFile(t *testing.T) {
	for _, row := range []struct{ name, right, wrong, want string }{
		{"sim-300.csv", "hours", "time", "no column hours"},
		{"strd/norris.csv", "0.1,0.2", "0.1,nought", `row 1: x is "nought"`},
		{"decisions.json", "{", "", "reading decisions.json"},
		{"sim-300.fit.json", `"theta"`, `"theta": "high", "other"`, "sim-300.fit.json"},
	} {
		_, _, err := verifyActivity(embeddedWith(t, "reference/activity", row.name, row.right, row.wrong))
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: got %v, want it to say %q", row.name, err, row.want)
		}
	}
	if _, _, err := verifyActivity(fstest.MapFS{}); err == nil {
		t.Error("an empty folder passed")
	}
}

// FuzzReadTable holds the reader to an error or whole columns, never a panic.
func FuzzReadTable(f *testing.F) {
	f.Add("y,x\n1,2\n", "x")
	f.Add("y,y\n1,2\n", "y")
	f.Add("\"", "")
	f.Fuzz(func(t *testing.T, text, column string) {
		table, err := readTable(fstest.MapFS{"t.csv": {Data: []byte(text)}}, "t.csv")
		if err != nil {
			return
		}
		if values, err := table.numbers(column); err == nil && len(values) != table.rows {
			t.Fatalf("column %q has %d values in %d rows", column, len(values), table.rows)
		}
	})
}
