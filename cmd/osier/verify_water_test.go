package main

import (
	"io/fs"
	"os"
	"testing"
	"testing/fstest"
)

func passesWater(t *testing.T, files fs.FS) waterSummary {
	t.Helper()
	checks, summary, err := verifyWater(files)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range checks {
		if !c.OK {
			t.Errorf("%s: got %v, reference %v", c.Name, c.Got, c.Want)
		}
	}
	return summary.(waterSummary)
}

func TestVerifyWaterEmbedded(t *testing.T) {
	files, err := fs.Sub(reference, "reference/water")
	if err != nil {
		t.Fatal(err)
	}
	if got := passesWater(t, files).Checks; got != 20 {
		t.Errorf("%d figures were checked, want 20", got)
	}
}

// The lakes of the shared folder: none worse than the figures to beat, and an
// interval that holds a sane share of the days.
func TestVerifyWaterShared(t *testing.T) {
	const folder = "../../../shared/data/water"
	if _, err := os.Stat(folder); err != nil {
		t.Skip("the shared lakes are not here; the embedded formula checks still run")
	}
	found := passesWater(t, os.DirFS(folder))
	if len(found.Lakes) != 5 || found.Checks < 300 {
		t.Errorf("%d lakes and %d formula checks", len(found.Lakes), found.Checks)
	}
	cover := 0.0
	for _, s := range found.Lakes {
		cover += s.Cover80 / float64(len(found.Lakes))
	}
	if cover < 0.75 {
		t.Errorf("the 80 %% interval holds %.2f of the days", cover)
	}
}

const tinyRecord = "time,air_c,water_c\n2020-05-01,10,\n2020-05-02,11,9\n2020-05-04,12,10\n2020-05-05,12,10.5\n2020-05-06,12,11\n"

// Any folder laid out so is read; a lake without a figure to beat has one check.
func TestVerifyWaterReadsAnyLake(t *testing.T) {
	list := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }
	good := `{"lakes": [{"file": "a.csv", "lat": 52, "lon": -1, "mean_depth_m": 1.5, "clock": "UTC+1", "wind": "none"}]}`
	found := passesWater(t, fstest.MapFS{"lakes.json": list(good), "a.csv": list(tinyRecord)})
	if s := found.Lakes["a"]; s.N != 2 || s.RMSEZeroC <= 0 || s.PackZeroC != nil {
		t.Errorf("score %+v", s)
	}
	for name, files := range map[string]fstest.MapFS{
		"nothing":       {},
		"no list":       {"lakes.json": list("{}")},
		"no depth":      {"lakes.json": list(`{"lakes": [{"file": "a.csv", "lat": 52, "lon": -1}]}`), "a.csv": list(tinyRecord)},
		"no record":     {"lakes.json": list(good)},
		"no water":      {"lakes.json": list(good), "a.csv": list("time,air_c\n2020-05-01,10\n")},
		"no number":     {"lakes.json": list(good), "a.csv": list("time,air_c,water_c\n2020-05-01,warm,9\n")},
		"no time":       {"lakes.json": list(good), "a.csv": list("time,air_c,water_c\nMay,10,9\n")},
		"out of order":  {"lakes.json": list(good), "a.csv": list(tinyRecord + "2020-05-01,10,9\n")},
		"too few days":  {"lakes.json": list(good), "a.csv": list("time,air_c,water_c\n2020-05-01,10,9\n")},
		"nothing there": {"lakes.json": list(good), "a.csv": list("")},
	} {
		if _, _, err := verifyWater(files); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
