package plan_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"osier/model"
	"osier/model/plan"
)

// mild has 12 days of weather behind it, longMild 40: nothing is left there of
// the guess at the start.
var (
	mild     = series(ordinary)
	longMild = seriesSince(40*24, ordinary)
)

func thermometer(at time.Time, c float64) model.MeterReading {
	return model.MeterReading{ID: at.String(), Water: reedmere.ID, At: at, WaterC: model.Known(model.Celsius(c)), Instrument: true}
}

func withReadings(t *testing.T, readings ...model.MeterReading) *plan.History {
	t.Helper()
	h, err := plan.NewHistory(reedmere, longMild, readings, now)
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

// A history with more readings is what one made with all of them is, and the one
// it came from stays as it was.
func TestAHistoryWithMoreReadings(t *testing.T) {
	first, second := now.Add(-50*time.Hour).Truncate(time.Hour), now.Add(-2*time.Hour).Truncate(time.Hour)
	h := withReadings(t, thermometer(second, 12))
	was := waterIn(t, h, second)
	more, err := h.With([]model.MeterReading{thermometer(first, 11)})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := waterIn(t, more, second), waterIn(t, withReadings(t, thermometer(first, 11), thermometer(second, 12)), second); got != want || got == was {
		t.Errorf("with one more reading %+v, want %+v and not %+v", got, want, was)
	}
	if got := waterIn(t, h, second); got != was || len(h.Readings()) != 1 {
		t.Errorf("the history it came from changed from %+v to %+v", was, got)
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

// A thermometer at the bottom of water modelled as one layer must not cool the
// figure near the surface, by which the fish's cautions go.
func TestABottomReadingInOneLayerCorrectsNothing(t *testing.T) {
	read := now.Add(-2 * time.Hour).Truncate(time.Hour)
	deep := thermometer(read, 1)
	deep.DepthM = model.Known(reedmere.MeanDepthM)
	h := withReadings(t, deep)
	if got, want := waterIn(t, h, read), waterIn(t, withReadings(t), read); got != want {
		t.Errorf("water %+v, want %+v", got, want)
	}
	if shallow := thermometer(read, 1); !h.BelowItsLayer(deep) || h.BelowItsLayer(shallow) {
		t.Error("the deep reading is not told from the shallow one")
	}
}

// The figure under ice is a convention: no reading is learnt from it, and none
// moves it.
func TestReadingsUnderIceCorrectNothing(t *testing.T) {
	frost := series(func(at time.Time) values {
		v := ordinary(at)
		v.air, v.dew = -9, -11
		return v
	})
	read := now.Add(-2 * time.Hour).Truncate(time.Hour)
	plain, err := plan.NewHistory(reedmere, frost, nil, now)
	if err != nil {
		t.Fatal(err)
	}
	h, err := plan.NewHistory(reedmere, frost, []model.MeterReading{thermometer(read, 4)}, now)
	if err != nil {
		t.Fatal(err)
	}
	got, want := waterIn(t, h, read.Add(time.Hour)), waterIn(t, plain, read.Add(time.Hour))
	if !want.Ice || got != want {
		t.Errorf("water %+v, want %+v with ice", got, want)
	}
}

// A reading held against the guess at a run's start moves today's water far
// less than one of the same age with twenty days of weather before it would.
func TestAReadingNearTheStartCountsLittle(t *testing.T) {
	read := now.Add(-pastHours*time.Hour + 24*time.Hour)
	moves := func(hours []model.WeatherHour) float64 {
		plain, err := plan.NewHistory(reedmere, hours, nil, now)
		if err != nil {
			t.Fatal(err)
		}
		h, err := plan.NewHistory(reedmere, hours, []model.MeterReading{thermometer(read, waterIn(t, plain, read).Value+3)}, now)
		if err != nil {
			t.Fatal(err)
		}
		return waterIn(t, h, now).Value - waterIn(t, plain, now).Value
	}
	late, settled := moves(mild), moves(longMild)
	if late <= 0 || late > settled/2 {
		t.Errorf("3 C off moves today's water by %v C on the second day of a run, and by %v C in a settled one", late, settled)
	}
}

// Taking readings away never narrows an interval.
func TestFewerReadingsAreNeverSurer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var readings []model.MeterReading
		for range rapid.IntRange(1, 6).Draw(t, "readings") {
			at := now.Add(-time.Duration(rapid.IntRange(1, pastHours-2).Draw(t, "hours ago")) * time.Hour)
			readings = append(readings, thermometer(at, rapid.Float64Range(5, 12).Draw(t, "reading")))
		}
		width := func(readings []model.MeterReading) float64 {
			h, err := plan.NewHistory(reedmere, mild, readings, now)
			if err != nil {
				t.Fatal(err)
			}
			c, err := h.Conditions(now, now.Add(time.Hour), plan.Surroundings{})
			if err != nil {
				t.Fatal(err)
			}
			w := c.Hours[0].WaterC
			if w.Low == 0 {
				t.Skip("the interval is cut at 0")
			}
			return w.High - w.Low
		}
		if all, fewer := width(readings), width(readings[1:]); all > fewer+0.02 { // printed to the hundredth at both ends
			t.Fatalf("%v C wide with %d readings, %v C with one less", all, len(readings), fewer)
		}
	})
}
