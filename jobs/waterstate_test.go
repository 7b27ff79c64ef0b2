package jobs_test

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
)

// putDays stores hourly reports for some days up to now, of weather that
// changes with the days.
func (b *bench) putDays(t testing.TB, days int) {
	t.Helper()
	var reports []model.Observation
	last := b.now.Truncate(time.Hour)
	for at := last.AddDate(0, 0, -days); !at.After(last); at = at.Add(time.Hour) {
		r := report(at)
		r.AirC.Value += model.Celsius(6*math.Sin(float64(at.Unix())/86400/40) + 2*math.Sin(float64(at.Unix())/86400/3))
		reports = append(reports, r)
	}
	station := model.Station{ID: "AAAA", Source: "awc", LatDeg: 52.3, LonDeg: -0.9, ElevationM: model.Known[model.Metres](80)}
	if err := b.db.PutStations(t.Context(), []model.Station{station}); err != nil {
		t.Fatal(err)
	}
	if _, err := b.db.PutObservations(t.Context(), reports); err != nil {
		t.Fatal(err)
	}
}

// pull runs the pull job with no feed in reach; what is stored is all there is.
func (b *bench) pull(t *testing.T) {
	t.Helper()
	p, _, _ := puller(t, b, nil)
	counts, _ := p.Run(t.Context(), []model.Water{reedmere}) // that no feed was reached is an error
	if counts["observations"] != 0 {
		t.Fatal("a feed was reached")
	}
}

func (b *bench) states(t *testing.T) (out []string) {
	t.Helper()
	states, err := b.db.WaterStates(t.Context(), "reedmere", time.Unix(0, 0), b.now)
	done(t, err)
	for _, s := range states {
		out = append(out, string(s))
	}
	return out
}

// conditionsNow are those of the next four hours, as a document.
func (b *bench) conditionsNow(t *testing.T) string {
	t.Helper()
	p := jobs.Planner{Store: b.db, Now: b.clock}
	c, err := p.Conditions(t.Context(), "reedmere", b.now, b.now.Add(4*time.Hour))
	done(t, err)
	out, err := json.Marshal(c)
	done(t, err)
	return string(out)
}

// An answer is the same to the last digit whether the state it goes on from was
// stored or is made anew; a state that was stored is what it goes on from.
func TestAnAnswerGoesOnFromTheStoredState(t *testing.T) {
	b := newBench(t)
	b.putDays(t, 80)
	anew := b.conditionsNow(t)
	b.pull(t)
	states := b.states(t)
	if len(states) != 7 {
		t.Fatalf("%d states stored, want one for the end of each of the last seven weeks", len(states))
	}
	if diff := cmp.Diff(anew, b.conditionsNow(t)); diff != "" {
		t.Error("an answer from the stored state differs:\n" + diff)
	}
	for _, text := range states {
		var state map[string]any
		done(t, json.Unmarshal([]byte(text), &state))
		of := state["state"].(map[string]any)
		at, err := time.Parse(time.RFC3339, of["at"].(string))
		done(t, err)
		if at.Weekday() != time.Monday || !at.Equal(at.Truncate(24*time.Hour)) || b.now.Sub(at) < 3*24*time.Hour {
			t.Errorf("a state of %s, want a Monday's first instant three days back", at)
		}
		of["water_c"], of["lag_sun_c"] = 25, 25
		warmer, err := json.Marshal(state)
		done(t, err)
		_, err = b.db.PutWaterState(t.Context(), "reedmere", at, warmer, b.revision(t))
		done(t, err)
	}
	if b.conditionsNow(t) == anew {
		t.Error("an answer does not go on from the stored state")
	}
}

// The same weather stores the same bytes, whenever and however often.
func TestStatesAreTheSameAgain(t *testing.T) {
	b := newBench(t)
	b.putDays(t, 80)
	b.pull(t)
	first := b.states(t)
	b.pull(t)
	if diff := cmp.Diff(first, b.states(t)); diff != "" {
		t.Error("a second run changed what is stored:\n" + diff)
	}
	deeper := reedmere
	deeper.MeanDepthM = 5
	done(t, b.db.PutWater(t.Context(), deeper))
	if n := len(b.states(t)); n != 0 {
		t.Errorf("%d states outlive a change of the water", n)
	}
	done(t, b.db.PutWater(t.Context(), reedmere))
	b.now = b.now.Add(3 * time.Hour)
	b.pull(t)
	if diff := cmp.Diff(first, b.states(t)); diff != "" {
		t.Error("made again they differ:\n" + diff)
	}
}

// When the weather of some time is corrected, the states after it go, and
// answers are those of a store that never knew anything else.
func TestCorrectedWeatherTakesItsStatesAlong(t *testing.T) {
	corrected := report(noon.Truncate(time.Hour).AddDate(0, 0, -25))
	corrected.Corrected, corrected.AirC = true, model.Known[model.Celsius](35)

	b := newBench(t)
	b.putDays(t, 80)
	b.pull(t)
	all, wrong := b.states(t), b.conditionsNow(t)
	_, err := b.db.PutObservations(t.Context(), []model.Observation{corrected})
	done(t, err)
	left := b.states(t)
	if len(left) == 0 || len(left) >= len(all) {
		t.Fatalf("%d of %d states left, want those before the correction", len(left), len(all))
	}
	if diff := cmp.Diff(all[:len(left)], left); diff != "" {
		t.Error("a state before the correction changed:\n" + diff)
	}

	never := newBench(t)
	never.putDays(t, 80)
	_, err = never.db.PutObservations(t.Context(), []model.Observation{corrected})
	done(t, err)
	want := never.conditionsNow(t)
	if want == wrong {
		t.Fatal("the correction changes nothing, which shows nothing")
	}
	for _, when := range []string{"at once", "after the next pull"} {
		if diff := cmp.Diff(want, b.conditionsNow(t)); diff != "" {
			t.Errorf("%s the answer differs from that of a store that knew no other weather:\n%s", when, diff)
		}
		b.pull(t)
	}
	if n := len(b.states(t)); n != len(all) {
		t.Errorf("%d states after the next pull, want %d", n, len(all))
	}
}

// What rests on a forecast is not stored, and an answer for before a state was
// settled does not read it.
func TestStatesRestOnWhatWasObserved(t *testing.T) {
	b := newBench(t)
	b.putDays(t, 80)
	gap := noon.Truncate(time.Hour).AddDate(0, 0, -15)
	f := model.Forecast{Source: "locationforecast", LatDeg: 52.2, LonDeg: -0.9, IssuedAt: gap, FetchedAt: gap, ConfirmedAt: gap}
	for h := range 9 {
		f.Hours = append(f.Hours, model.ForecastHour{At: gap.Add(time.Duration(h) * time.Hour), StepH: 1, CloudFraction: model.Known(0.2)})
	}
	var silent []model.Observation
	for h := range 9 {
		o := report(gap.Add(time.Duration(h) * time.Hour))
		o.Corrected, o.CloudOktas = true, model.Maybe[int]{}
		silent = append(silent, o)
	}
	_, err := b.db.PutObservations(t.Context(), silent)
	done(t, err)
	done(t, b.db.PutForecast(t.Context(), f))
	anew := b.conditionsNow(t)
	b.pull(t)
	if n := len(b.states(t)); n != 5 {
		t.Errorf("%d states stored, want the five before the hours of the forecast", n)
	}
	if diff := cmp.Diff(anew, b.conditionsNow(t)); diff != "" {
		t.Error("the answer changed:\n" + diff)
	}
}

// Weekly readings that always stand 2 C above the model make a line once there
// are thirty, in more than one season; the line holds where no reading is near.
func TestReadingsOfYearsMakeALine(t *testing.T) {
	const weeks, quietDays = 31, 60
	b := newBench(t)
	b.putDays(t, quietDays+weeks*7+40)
	asked := b.now
	var readings []model.MeterReading
	for i := range weeks {
		b.now = asked.AddDate(0, 0, -quietDays-7*i).Truncate(time.Hour)
		r := model.MeterReading{ID: b.now.String(), Water: "reedmere", At: b.now, Instrument: true}
		r.WaterC = model.Known(model.Celsius(b.waterNow(t).Value + 2))
		readings = append(readings, r)
	}
	b.now = asked
	plain := b.waterNow(t)
	for i, r := range readings {
		done(t, b.db.AddMeterReading(t.Context(), r))
		if i != 28 && i != 29 {
			continue
		}
		b.pull(t)
		got := b.waterNow(t)
		if i == 28 && got != plain {
			t.Errorf("29 readings move the water from %+v to %+v", plain, got)
		}
		if moved := got.Value - plain.Value; i == 29 && (moved < 1.6 || moved > 2) {
			t.Errorf("30 readings 2 C above the model move the water by %v C", moved)
		}
	}
}

func (b *bench) waterNow(t *testing.T) model.WaterEstimate {
	t.Helper()
	p := jobs.Planner{Store: b.db, Now: b.clock}
	c, err := p.Conditions(t.Context(), "reedmere", b.now, b.now.Add(time.Hour))
	done(t, err)
	return c.Hours[0].WaterC
}
