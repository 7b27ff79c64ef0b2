package main

import (
	"math"
	"os"
	"testing"

	"osier/model/water"
)

// The line of a water's readings must not harm where it is applied. On each lake
// that is here a weekly reading of the first half makes the line, or shows that
// there should be none; the second half is scored with the fading offset of its
// weekly readings, with and without that line.
func TestTheLineDoesNoHarm(t *testing.T) {
	const folder = "../../../shared/data/water"
	if _, err := os.Stat(folder); err != nil {
		t.Skip("the lakes are not here: " + folder)
	}
	files := os.DirFS(folder)
	lakes, err := waterLakes(files)
	if err != nil {
		t.Fatal(err)
	}
	for _, lake := range lakes {
		days, err := lake.days(files)
		if err != nil {
			t.Fatal(err)
		}
		half, applied := len(days)/2, 0
		var without, with errorSum
		for phase := range daysAWeek {
			line, ok := lineOfDays(t, days[:half], phase)
			if ok {
				applied++
			}
			if err := without.addWeekly(days, half, phase); err != nil {
				t.Fatal(err)
			}
			lined := make([]lakeDay, len(days))
			for i, d := range days {
				if lined[i] = d; !d.estimate.Ice {
					lined[i].estimate = line.Apply(d.estimate)
				}
			}
			if err := with.addWeekly(lined, half, phase); err != nil {
				t.Fatal(err)
			}
		}
		t.Logf("%s: a line in %d of %d; RMSE %.3f C with it, %.3f C without", lake.File, applied, daysAWeek, with.rmse(), without.rmse())
		if with.rmse() > without.rmse()+0.005 {
			t.Errorf("%s: the line worsens %.3f C to %.3f C", lake.File, without.rmse(), with.rmse())
		}
	}
}

func lineOfDays(t *testing.T, days []lakeDay, phase int) (water.Line, bool) {
	t.Helper()
	var pairs []water.Pair
	for i := phase; i < len(days); i += daysAWeek {
		if !days[i].estimate.Ice {
			pairs = append(pairs, water.Pair{At: days[i].estimate.At, ModelC: days[i].estimate.SurfaceC, ReadingC: math.Max(0, days[i].waterC)})
		}
	}
	line, ok, err := water.FitLine(pairs)
	if err != nil {
		t.Fatal(err)
	}
	return line, ok
}
