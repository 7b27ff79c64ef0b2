package main

import (
	"context"
	"slices"
	"time"

	"osier/model"
	"osier/model/store"
)

// pastStore is the store with what many plans of the past read held in memory.
type pastStore struct {
	*store.DB
	world    demoWorld
	sessions []model.Session
	joined   []model.JoinedSession
}

func readPast(ctx context.Context, db *store.DB, world demoWorld, now time.Time) (*pastStore, error) {
	sessions, err := db.Sessions(ctx, "", "", time.Unix(0, 0), now)
	if err != nil {
		return nil, err
	}
	joined, err := db.Joined(ctx)
	return &pastStore{DB: db, world: world, sessions: sessions, joined: joined}, err
}

func (s *pastStore) Joined(context.Context) ([]model.JoinedSession, error) {
	return slices.Clone(s.joined), nil
}

func (s *pastStore) Sessions(_ context.Context, water, angler string, from, to time.Time) ([]model.Session, error) {
	return s.those(water, angler, from, to, func(model.Session) bool { return true }), nil
}

func (s *pastStore) SessionsWithReading(_ context.Context, water string, from, to time.Time) ([]model.Session, error) {
	return s.those(water, "", from, to, func(one model.Session) bool { return one.WaterTemp.Known && one.WaterTemp.Value.Instrument }), nil
}

func (s *pastStore) those(water, angler string, from, to time.Time, fit func(model.Session) bool) []model.Session {
	var out []model.Session
	for _, one := range s.sessions {
		if (water == "" || one.Water == water) && (angler == "" || one.Angler == angler) && !one.Start.Before(from) && !one.Start.After(to) && fit(one) {
			out = append(out, one)
		}
	}
	return out
}

func (s *pastStore) Observations(_ context.Context, source, station string, from, to time.Time) ([]model.Observation, error) {
	if source != s.world.Station.Source || station != s.world.Station.ID {
		return nil, nil
	}
	at := func(t time.Time) int {
		i, _ := slices.BinarySearchFunc(s.world.Observations, t, func(o model.Observation, t time.Time) int { return o.At.Compare(t) })
		return i
	}
	return slices.Clone(s.world.Observations[at(from):at(to.Add(time.Second))]), nil
}

// on is the store as plans of one evening find it: with the forecast of that
// evening, which nobody keeps.
func (s *pastStore) on(evening time.Time) eveningStore {
	return eveningStore{s, s.world.forecastAt(evening)}
}

type eveningStore struct {
	*pastStore
	forecast model.Forecast
}

func (s eveningStore) Forecasts(context.Context, float64, float64, time.Time, int) ([]model.Forecast, error) {
	return []model.Forecast{s.forecast}, nil
}
