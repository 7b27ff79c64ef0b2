package storetest

import (
	"testing"
	"time"

	"osier/model"
)

// meterReading is an invented reading with everything set that may be.
func meterReading(id string, at time.Time) model.MeterReading {
	return model.MeterReading{
		ID: id, Water: "reedmere", At: at, WaterC: model.Known[model.Celsius](0), OxygenMgL: model.Known(9.5), OxygenPct: model.Known(80.0),
		DepthM: model.Known[model.Metres](0.3), Instrument: true, By: "VP", EnteredAt: noon,
		Queries: []model.Query{{Field: "water_temp_c", Text: "was it the air?", Excludes: "field"}},
	}
}

func meterReadings(t *testing.T, s Store) {
	ctx := t.Context()
	first, second, twin, third := meterReading("m-b", noon), meterReading("m-a", noon.Add(time.Hour)), meterReading("m-c", noon.Add(time.Hour)), meterReading("m-0", noon.Add(2*time.Hour))
	elsewhere := meterReading("m-z", noon)
	elsewhere.Water = "carr"
	for _, m := range []model.MeterReading{third, first, elsewhere, twin, second} {
		done(t, s.AddMeterReading(ctx, m))
	}
	changed := first
	changed.WaterC = model.Known[model.Celsius](9)
	done(t, s.AddMeterReading(ctx, changed)) // what is stored stays

	m, err := s.MeterReading(ctx, "m-b")
	wantSame(t, "the reading added twice", first, got(t, m, err))
	_, err = s.MeterReading(ctx, "m-none")
	wantError(t, err, model.NotFound, "there is no reading", "m-none")

	for _, c := range []struct {
		name     string
		from, to time.Time
		want     []model.MeterReading
	}{
		{"both ends included", noon, noon.Add(2 * time.Hour), []model.MeterReading{first, second, twin, third}},
		{"the middle", noon.Add(time.Second), noon.Add(119 * time.Minute), []model.MeterReading{second, twin}},
		{"none that day", noon.AddDate(0, 0, 1), noon.AddDate(0, 0, 2), nil},
	} {
		list, err := s.MeterReadings(ctx, "reedmere", c.from, c.to)
		wantSame(t, c.name, c.want, got(t, list, err))
	}
	for _, c := range []struct {
		name     string
		from, to time.Time
		before   string
		limit    int
		want     []model.MeterReading
	}{
		{"the first page", noon, farAhead, "", 2, []model.MeterReading{third, twin}},
		{"the page after it", noon, twin.At, twin.ID, 2, []model.MeterReading{second, first}},
		{"the end", noon, first.At, first.ID, 2, nil},
		{"from and until, both included", second.At, second.At, "", 9, []model.MeterReading{twin, second}},
	} {
		list, err := s.NewestMeterReadings(ctx, "reedmere", c.from, c.to, c.before, c.limit)
		wantSame(t, c.name, c.want, got(t, list, err))
	}
}
