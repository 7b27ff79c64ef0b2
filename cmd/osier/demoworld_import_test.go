package main

import (
	"bytes"
	"fmt"
	"sync"
	"testing"
	"time"

	"osier/model"
	"osier/model/plan"
)

// demoNow is the date at which the demo's findings are looked at.
var demoNow = time.Date(2026, time.May, 20, 9, 30, 0, 0, time.UTC)

func inventWorld(t *testing.T, seed uint64, now time.Time) demoWorld {
	t.Helper()
	w, err := newDemoWorld(seed, now)
	if err != nil {
		t.Fatalf("invent the club for seed %d at %s: %v", seed, now, err)
	}
	return w
}

// asFound is the club at the date of the findings, taken in once for all tests.
var asFound = sync.OnceValues(func() (takenIn, error) {
	w, err := newDemoWorld(demoSeed, demoNow)
	if err != nil {
		return takenIn{}, err
	}
	return takeIn(w)
})

func foundClub(t *testing.T) takenIn {
	t.Helper()
	in, err := asFound()
	if err != nil {
		t.Fatal(err)
	}
	return in
}

// takenIn is what the product's own rules made of the invented records.
type takenIn struct {
	world     demoWorld
	histories map[string]*plan.History
	stored    map[string]model.Session // with their queries
	refused   map[string][]string      // problems, by the mark of the session
	twice     map[string]bool          // the marks of duplicates
}

// takeIn reads both files and checks each record as the recorder does: against
// its water, against those before it, and against the weather.
func takeIn(w demoWorld) (takenIn, error) {
	in := takenIn{world: w, histories: map[string]*plan.History{}, stored: map[string]model.Session{}, refused: map[string][]string{}, twice: map[string]bool{}}
	now, waters := w.Truth.Now, map[string]model.Water{}
	for _, water := range w.Waters {
		waters[water.ID] = water
		sources := model.Sources{
			Near:         model.Near(water, []model.Station{w.Station}),
			Observations: map[string][]model.Observation{model.StationKey(w.Station.Source, w.Station.ID): w.Observations},
			Forecasts:    []model.Forecast{w.Forecast},
		}
		history, err := plan.NewHistory(water, model.WeatherAt(sources, w.Observations[0].At, now, now), nil, now)
		if err != nil {
			return in, fmt.Errorf("weather at %s: %w", water.ID, err)
		}
		in.histories[water.ID] = history
	}
	defaults := model.Defaults{Now: now}
	fromCSV, rowsCSV, err := model.ReadSessionsCSV(bytes.NewReader(w.SessionsCSV), defaults)
	if err != nil {
		return in, fmt.Errorf("read the CSV: %w", err)
	}
	fromJSON, rowsJSON, err := model.ReadSessionsJSON(bytes.NewReader(w.SessionsJSON), defaults)
	if err != nil {
		return in, fmt.Errorf("read the JSON: %w", err)
	}
	for _, r := range append(rowsCSV, rowsJSON...) {
		if r.Status == model.RowRefused {
			in.refused[r.Session] = append(in.refused[r.Session], r.Problems...)
		}
	}
	var before []model.Session
	for _, p := range append(fromCSV, fromJSON...) {
		if err := in.keep(p.Session, waters[p.Session.Water], before); err != nil {
			return in, fmt.Errorf("session %s: %w", p.Session.ID, err)
		}
		before = append(before, p.Session)
	}
	return in, nil
}

func (in *takenIn) keep(s model.Session, w model.Water, before []model.Session) error {
	if err := s.ValidateAt(w, in.world.Truth.Now); err != nil {
		return err
	}
	var others []model.Session
	for _, b := range before {
		same, differs := model.Duplicate(b, s)
		if same {
			in.twice[s.ID] = true
			return nil
		}
		if len(differs) > 0 {
			return fmt.Errorf("it is not %s, and differs in %v", b.ID, differs)
		}
		if b.Angler == s.Angler {
			others = append(others, b)
		}
	}
	zone, err := w.Location()
	if err != nil {
		return err
	}
	around := model.Surroundings{Zone: zone, Others: others}
	if s.WaterTemp.Known {
		around.WaterC, around.AirC = in.histories[s.Water].Between(s.Start, s.End, s.WaterTemp.Value.DepthM)
	}
	s.Queries = model.Guards(s, w, around)
	in.stored[s.ID] = s
	return nil
}

// asks says whether a record was queried about a field.
func asks(s model.Session, field string) bool {
	for _, q := range s.Queries {
		if q.Field == field {
			return true
		}
	}
	return false
}
