package plan_test

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
	"osier/model/plan"
	"osier/model/water"
)

func spunUp(t *testing.T, w model.Water, hours []model.WeatherHour) plan.SpunUp {
	t.Helper()
	up, ok, err := plan.SpinUp(w, hours, now)
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	return up
}

// changeable is weather that warms and clouds over with the days.
func changeable(at time.Time) values {
	v, days := ordinary(at), at.Sub(now).Hours()/24
	v.air, v.cloud = v.air+4*math.Sin(days/3), 0.5+0.5*math.Sin(days)
	return v
}

var deepmere = func() model.Water { w := reedmere; w.MeanDepthM = 9; return w }()

// Stopped at any hour, stored and taken up again, a run gives what it gives
// unbroken, in water of one layer and of two.
func TestARunGoesOnFromItsStoredState(t *testing.T) {
	hours := seriesSince(40*24, changeable)
	for _, w := range []model.Water{reedmere, deepmere} {
		whole, err := plan.NewHistory(w, hours, nil, now)
		if err != nil {
			t.Fatal(err)
		}
		for _, stop := range []int{20 * 24, 30*24 + 7} {
			stored, err := json.Marshal(spunUp(t, w, hours[:stop]))
			if err != nil {
				t.Fatal(err)
			}
			var up plan.SpunUp
			if err := json.Unmarshal(stored, &up); err != nil {
				t.Fatal(err)
			}
			on, err := plan.ContinueHistory(w, plan.Before{State: model.Known(up.State)}, hours[stop:], nil, now)
			if err != nil {
				t.Fatal(err)
			}
			for _, h := range hours[stop : len(hours)-1] {
				outing := plan.Outing{Start: h.At, End: h.At.Add(time.Hour), Group: model.Bream}
				if got, want := on.Drivers(outing).WaterC, whole.Drivers(outing).WaterC; math.Abs(float64(got.Value-want.Value)) > 1e-9 || !got.Known {
					t.Fatalf("%v m deep, %s: %v C, unbroken %v C", w.MeanDepthM, h.At, got, want)
				}
			}
		}
	}
}

func TestSpinUpNeedsTwentyDays(t *testing.T) {
	past := func(days int) []model.WeatherHour { return seriesSince(days*24, ordinary)[:days*24] }
	late := past(28)
	for i := range late[:9*24] {
		late[i].AirC = gone
	}
	for _, c := range []struct {
		name  string
		hours []model.WeatherHour
		want  bool
	}{{"28 days", past(28), true}, {"20 days", past(20), true}, {"19 days", past(19), false}, {"28 of which 9 lack the air", late, false}, {"none", nil, false}} {
		up, ok, err := plan.SpinUp(reedmere, c.hours, now)
		if err != nil || ok != c.want {
			t.Errorf("%s: %v, %v", c.name, ok, err)
		}
		if ok && (!up.State.At.Equal(c.hours[len(c.hours)-1].At) || len(up.SurfaceC) != 7*24 || len(up.BottomC) != 0) {
			t.Errorf("%s: a state of %s with %d hours", c.name, up.State.At, len(up.SurfaceC))
		}
	}
}

// A reading is laid beside the hour nearest to it and its own depth.
func TestPairs(t *testing.T) {
	hours := seriesSince(40*24, changeable)[:30*24]
	shallow, deep := spunUp(t, reedmere, hours), spunUp(t, deepmere, hours)
	deep.BottomC[167] = model.Known(4.25) // layers mixed in winter are alike
	ends := shallow.State.At
	guess, queried, bottom := thermometer(ends, 9), thermometer(ends, 9), thermometer(ends, 9)
	guess.Instrument = false
	queried.Queries = []model.Query{{Field: "water_temp_c", Excludes: "field"}}
	bottom.DepthM = model.Known[model.Metres](8)
	for _, c := range []struct {
		name    string
		of      plan.SpunUp
		water   model.Water
		reading model.MeterReading
		want    model.Maybe[float64]
	}{
		{"at the end", shallow, reedmere, thermometer(ends, 9), shallow.SurfaceC[167]},
		{"29 minutes after it", shallow, reedmere, thermometer(ends.Add(29*time.Minute), 9), shallow.SurfaceC[167]},
		{"three hours before", shallow, reedmere, thermometer(ends.Add(-3*time.Hour), 9), shallow.SurfaceC[164]},
		{"the first hour", shallow, reedmere, thermometer(ends.Add(-167*time.Hour), 9), shallow.SurfaceC[0]},
		{"the week before", shallow, reedmere, thermometer(ends.Add(-168*time.Hour), 9), model.Maybe[float64]{}},
		{"the week after", shallow, reedmere, thermometer(ends.Add(31*time.Minute), 9), model.Maybe[float64]{}},
		{"a guess", shallow, reedmere, guess, model.Maybe[float64]{}},
		{"a reading in doubt", shallow, reedmere, queried, model.Maybe[float64]{}},
		{"the bottom of one layer", shallow, reedmere, bottom, model.Maybe[float64]{}},
		{"the bottom of two", deep, deepmere, bottom, deep.BottomC[167]},
	} {
		p, ok := c.of.Pair(c.water, c.reading)
		if ok != c.want.Known || ok && (p.ModelC != c.want.Value || p.ReadingC != 9 || !p.At.Equal(c.reading.At)) {
			t.Errorf("%s: %+v, %v, want the model at %+v", c.name, p, ok, c.want)
		}
	}
}

// The line moves the water before the offset: a reading that the line foretells
// moves it no further.
func TestALineComesBeforeTheOffset(t *testing.T) {
	read := now.Add(-2 * time.Hour).Truncate(time.Hour)
	lined := func(readings ...model.MeterReading) model.WaterEstimate {
		h, err := plan.ContinueHistory(reedmere, plan.Before{Line: water.Line{ShiftC: 1.5, Readings: 30}}, longMild, readings, now)
		if err != nil {
			t.Fatal(err)
		}
		return waterIn(t, h, read)
	}
	plain, moved := waterIn(t, withReadings(t), read), lined()
	if math.Abs(moved.Value-plain.Value-1.5) > 0.011 {
		t.Errorf("a line of 1.5 C moves %v to %v C", plain.Value, moved.Value)
	}
	if want := plain.Depth + "; moved by what 30 earlier thermometer readings say of this water"; moved.Depth != want {
		t.Error(cmp.Diff(want, moved.Depth))
	}
	if got := lined(thermometer(read, moved.Value)); math.Abs(got.Value-moved.Value) > 0.011 || got.High-got.Low >= moved.High-moved.Low {
		t.Errorf("a reading of %v C moves the water from %v to %v C", moved.Value, moved.Value, got.Value)
	}
}
