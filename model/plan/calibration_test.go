package plan_test

import (
	"testing"
	"time"

	"osier/model"
	"osier/model/plan"
)

func thermometer(at time.Time, c float64) model.MeterReading {
	return model.MeterReading{ID: at.String(), Water: reedmere.ID, At: at, WaterC: model.Known(model.Celsius(c)), Instrument: true}
}

func withReadings(t *testing.T, readings ...model.MeterReading) *plan.History {
	t.Helper()
	h, err := plan.NewHistory(reedmere, series(ordinary), readings, now)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func waterIn(t *testing.T, h *plan.History, at time.Time) model.WaterEstimate {
	t.Helper()
	c, err := h.Conditions(at, at.Add(time.Hour), plan.Surroundings{})
	if err != nil {
		t.Fatal(err)
	}
	return c.Hours[0].WaterC
}

// A reading of today moves the estimate half of the way (reference pack,
// water-and-fish 2.2, with equal variances), narrows it, and is named; hours
// before it are as they were.
func TestAReadingCorrectsTheWaterFromThenOn(t *testing.T) {
	read := now.Add(-2 * time.Hour).Truncate(time.Hour)
	plain := withReadings(t)
	before, at := waterIn(t, plain, read.Add(-3*time.Hour)), waterIn(t, plain, read)
	corrected := withReadings(t, thermometer(read, at.Value+2))

	got := waterIn(t, corrected, read)
	if got.Value < at.Value+0.97 || got.Value > at.Value+1.03 {
		t.Errorf("2 C above the model moves it from %v to %v, want by 1 C", at.Value, got.Value)
	}
	if got.High-got.Low >= at.High-at.Low {
		t.Errorf("a reading does not narrow %v to %v: %v to %v", at.Low, at.High, got.Low, got.High)
	}
	if !got.CalibratedBy.Known || got.CalibratedBy.Value.Readings != 1 {
		t.Errorf("corrected by %+v", got.CalibratedBy)
	}
	if again := waterIn(t, corrected, read.Add(-3*time.Hour)); again != before {
		t.Errorf("an hour before the reading changed from %+v to %+v", before, again)
	}
}

// What no instrument read, and what a query keeps out, corrects nothing.
func TestDoubtfulReadingsCorrectNothing(t *testing.T) {
	read := now.Add(-2 * time.Hour).Truncate(time.Hour)
	want := waterIn(t, withReadings(t), read)
	guess, queried, old := thermometer(read, 25), thermometer(read, 25), thermometer(now.AddDate(-1, 0, 0), 25)
	guess.Instrument = false
	queried.Queries = []model.Query{{Field: "water_temp_c", Excludes: "field"}}
	if got := waterIn(t, withReadings(t, guess, queried, old), read); got != want {
		t.Errorf("water %+v, want %+v", got, want)
	}
}

// A session's own reading, taken during it, changes no driver of that session
// (statistics pack 2.2: known before the first cast), but does of the next.
func TestASessionsOwnReadingIsNoDriverOfIt(t *testing.T) {
	start := now.Add(-6 * time.Hour).Truncate(time.Hour)
	outing := plan.Outing{Start: start, End: start.Add(3 * time.Hour), Group: model.Bream}
	later := plan.Outing{Start: start.Add(4 * time.Hour), End: start.Add(5 * time.Hour), Group: model.Bream}
	plain := withReadings(t)
	read := withReadings(t, thermometer(start.Add(time.Hour), 1))
	if got, want := read.Drivers(outing), plain.Drivers(outing); got != want {
		t.Errorf("drivers %+v, want %+v", got, want)
	}
	if got, want := read.Drivers(later).WaterC, plain.Drivers(later).WaterC; got.Value >= want.Value {
		t.Errorf("the next outing's water is %v, want it under %v", got.Value, want.Value)
	}
}
