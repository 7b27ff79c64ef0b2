package storetest

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"osier/model"
)

// keepState keeps a state that was made from what the store holds now.
func keepState(t *testing.T, s Store, water string, at time.Time, body string) {
	t.Helper()
	_, err := s.PutWaterState(t.Context(), water, at, json.RawMessage(body), revision(t, s))
	done(t, err)
	wantSame(t, "the state put", []string{body}, states(t, s, water, at, at))
}

// states lists what is kept of a water, as text.
func states(t *testing.T, s Store, water string, from, to time.Time) []string {
	t.Helper()
	found, err := s.WaterStates(t.Context(), water, from, to)
	var out []string
	for _, f := range got(t, found, err) {
		out = append(out, string(f))
	}
	return out
}

func waterStates(t *testing.T, s Store) {
	ctx := t.Context()
	week := func(n int) time.Time { return noon.AddDate(0, 0, 7*n) }
	keepState(t, s, "reedmere", week(1), `{"n":1}`)
	keepState(t, s, "reedmere", week(0), `{"n":0}`)
	keepState(t, s, "carr", week(0), `{"n":9}`)
	keepState(t, s, "reedmere", week(2), `{"n":2}`)
	keepState(t, s, "reedmere", week(2), `{"n":3}`) // replaces
	for _, c := range []struct {
		name     string
		from, to time.Time
		want     []string
	}{
		{"both ends included", week(0), week(2), []string{`{"n":0}`, `{"n":1}`, `{"n":3}`}},
		{"one", week(1), week(1), []string{`{"n":1}`}},
		{"between two", week(1).Add(time.Second), week(2).Add(-time.Second), nil},
	} {
		wantSame(t, c.name, c.want, states(t, s, "reedmere", c.from, c.to))
	}

	before := revision(t, s)
	done(t, s.PutReport(ctx, report("r-1", noon)))
	kept, err := s.PutWaterState(ctx, "carr", week(1), json.RawMessage(`{}`), before)
	if done(t, err); kept {
		t.Error("a state was kept that was made before something changed")
	}
	if n := len(states(t, s, "carr", week(1), week(1))); n != 0 {
		t.Errorf("%d states kept that were made before something changed", n)
	}
	keepState(t, s, "carr", week(1), `{}`)
	before = revision(t, s)
	kept, err = s.PutWaterState(ctx, "carr", week(1), json.RawMessage(`{}`), before)
	if done(t, err); kept || revision(t, s) != before {
		t.Errorf("the same state again was kept: %v, at revision %d after %d", kept, revision(t, s), before)
	}
}

func waterStatesForgotten(t *testing.T, s Store) {
	ctx := t.Context()
	corrected, unlike := observation(noon), observation(noon.Add(24*time.Hour))
	corrected.Corrected, corrected.AirC = true, model.Known[model.Celsius](3)
	unlike.Raw = "AAAA another text"
	deeper := water("reedmere")
	deeper.MeanDepthM = 3
	moved := station("AAAA", 52.6, -0.75)
	put := func(o ...model.Observation) func() error {
		return func() error { _, err := s.PutObservations(ctx, o); return err }
	}
	const all = "early reedmere carr"
	for _, c := range []struct {
		name   string
		change func() error
		left   string
	}{
		{"a water as it is", func() error { return s.PutWater(ctx, water("reedmere")) }, all},
		{"a report of before that is there already", put(observation(noon)), all},
		{"a report of more than a day after", put(observation(noon.Add(25 * time.Hour))), all},
		{"a report of the day after, changed", put(unlike), "early"},
		{"a report of before, corrected", put(observation(noon.Add(25*time.Hour)), corrected), "early"},
		{"an older report filled in", put(observation(noon.AddDate(0, 0, -60))), ""},
		{"a station as it is", func() error { return s.PutStations(ctx, []model.Station{station("AAAA", 52.5, -0.75)}) }, all},
		{"a station moved", func() error { return s.PutStations(ctx, []model.Station{moved}) }, ""},
		{"a water changed", func() error { return s.PutWater(ctx, deeper) }, "early carr"},
		{"a session", func() error { return s.AddSession(ctx, session(1)) }, all},
		{"a forecast", func() error { return s.PutForecast(ctx, forecast(noon, noon)) }, all},
	} {
		done(t, s.PutWater(ctx, water("reedmere")))
		done(t, s.PutStations(ctx, []model.Station{station("AAAA", 52.5, -0.75)}))
		_, err := s.PutObservations(ctx, []model.Observation{observation(noon), observation(noon.Add(24 * time.Hour))})
		done(t, err)
		keepState(t, s, "early", noon.AddDate(0, 0, -40), `"early"`)
		keepState(t, s, "reedmere", noon, `"reedmere"`)
		keepState(t, s, "carr", noon, `"carr"`)
		done(t, c.change())
		var left []string
		for _, w := range []string{"early", "reedmere", "carr"} {
			if len(states(t, s, w, time.Unix(0, 0), farAhead)) > 0 {
				left = append(left, w)
			}
		}
		wantSame(t, "left after "+c.name, strings.Fields(c.left), append([]string{}, left...))
	}
}

func sessionsWithReading(t *testing.T, s Store) {
	ctx := t.Context()
	read, guessed, none, elsewhere := session(1), session(2), session(3), session(4)
	for _, one := range []*model.Session{&read, &guessed, &elsewhere} {
		one.WaterTemp = model.Known(model.WaterReading{C: 11, Instrument: true})
	}
	guessed.WaterTemp.Value.Instrument = false
	none.Notes = `he said "instrument":true`
	elsewhere.Water = "carr"
	for _, one := range []model.Session{read, guessed, none, elsewhere} {
		done(t, s.AddSession(ctx, one))
	}
	for _, c := range []struct {
		name     string
		from, to time.Time
		want     []model.Session
	}{
		{"both ends included", read.Start, read.Start, []model.Session{read}},
		{"all of the water", noon, farAhead, []model.Session{read}},
		{"after it", read.Start.Add(time.Second), farAhead, nil},
	} {
		list, err := s.SessionsWithReading(ctx, "reedmere", c.from, c.to)
		wantSame(t, c.name, c.want, got(t, list, err))
	}
}
