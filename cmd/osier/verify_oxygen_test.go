package main

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"strings"
	"testing"
	"testing/fstest"
)

const sharedWater = "../../../shared/data/water"

func TestVerifyOxygen(t *testing.T) {
	for _, c := range []struct {
		folder string
		rows   int
	}{{"reference/oxygen", 26}, {sharedWater, 216}, {sharedWater + "/checks", 216}} {
		t.Run(c.folder, func(t *testing.T) {
			skipWithout(t, c.folder)
			checks, summary, err := verifyOxygen(os.DirFS(c.folder))
			if err != nil {
				t.Fatal(err)
			}
			allOK(t, checks)
			if got := summary.(oxygenSummary).Rows; got != c.rows || len(checks) != c.rows {
				t.Errorf("%d rows, %d checks, want %d of each", got, len(checks), c.rows)
			}
		})
	}
}

func skipWithout(t *testing.T, folder string) {
	t.Helper()
	if _, err := os.Stat(folder); errors.Is(err, fs.ErrNotExist) {
		t.Skip("the shared reference data is not here; the embedded set still guards the job")
	}
}

const oxygenHeader = "temp_c,pressure_mmhg,do_sat_mgl\n"

func TestVerifyOxygenFailsOnAWrongFigure(t *testing.T) {
	for name, row := range map[string]string{
		"last digit":                  "20,760,9.093",
		"sea level for the station":   "20,740,9.092",
		"a value where there is none": "41,760,6.4",
	} {
		checks, _, err := verifyOxygen(fstest.MapFS{oxygenFile: {Data: []byte(oxygenHeader + row + "\n")}})
		if err != nil || len(checks) != 1 || checks[0].OK {
			t.Errorf("%s: %+v, %v; want one failure", name, checks, err)
		}
	}
}

func TestVerifyOxygenNamesWhatItCannotRead(t *testing.T) {
	for _, c := range []struct{ file, content, want string }{
		{"other.csv", "x", "do_saturation.csv"},
		{oxygenFile, "", "the file is empty"},
		{oxygenFile, "temp_c,do_sat_mgl\n", `no column "pressure_mmhg"`},
		{oxygenFile, oxygenHeader + "20,high,9.1\n", `line 2: pressure_mmhg is "high"`},
	} {
		_, _, err := verifyOxygen(fstest.MapFS{c.file: {Data: []byte(c.content)}})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: error %v, want one that says %q", c.content, err, c.want)
		}
	}
}

func TestHalfLastDigit(t *testing.T) {
	for printed, want := range map[string]float64{"9.092": 5e-4, "9": 0.5, "0.0100": 5e-5} {
		if got := halfLastDigit(printed); math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %v, want %v", printed, got, want)
		}
	}
}
