package main

import (
	"fmt"
	"math"
	"time"

	"osier/model"
)

// demoSeed makes the demo's club. It was picked, out of some hundreds, so that
// the two findings that the demo must show can be read from its records at any
// date of 2026 and 2027: planned feed above the trade's costs marlo bites in
// winter, and pressure does nothing. The truth behind every seed is the same,
// but a year of records is few: of 60 seeds taken as they came, 36 showed the
// first at the tests' date, 38 the second and 24 both.
const demoSeed uint64 = 237

// How much is invented.
const (
	demoWeatherDays  = 425 // of reports: a year, and the run-in that water needs
	demoYearDays     = 365
	demoForecastDays = 9
	closedDay        = heatDay + 2 // of July, when fish came up gasping
	demoClosedDays   = 17
)

// demoWorld is the invented club of trade pack section 7: club, waters, people,
// weather and catches are made by a seeded generator, and nothing in it is
// real. Dates hang on now, so that the demo is always fresh.
type demoWorld struct {
	Waters       []model.Water
	Kits         []model.Kit
	Station      model.Station
	Observations []model.Observation
	Forecast     model.Forecast
	// The records as they were sent in, flaws and all: full logs as JSON, as an
	// app would send them, the others as CSV.
	SessionsCSV  []byte
	SessionsJSON []byte
	Reports      []model.Report
	Truth        demoTruth
	hours        []demoHour // as the weather was, and will be
}

// forecastAt is what was forecast at an instant of the year for the two days to
// come.
func (w demoWorld) forecastAt(at time.Time) model.Forecast {
	from := max(0, int(at.Sub(w.hours[0].at)/time.Hour))
	return forecast(w.Truth.Seed, w.Station, at.UTC(), w.hours[from:min(from+49, len(w.hours))])
}

// newDemoWorld invents the club. The same seed and now give the same bytes.
func newDemoWorld(seed uint64, now time.Time) (demoWorld, error) {
	m, err := newDemoMaker(seed, now.UTC())
	if err != nil {
		return demoWorld{}, err
	}
	sessions, matches, err := m.sessions()
	if err != nil {
		return demoWorld{}, err
	}
	sent, flaws, err := m.plantFlaws(sessions)
	if err != nil {
		return demoWorld{}, err
	}
	csv, err := sent.csv()
	if err != nil {
		return demoWorld{}, err
	}
	json, err := sent.json()
	if err != nil {
		return demoWorld{}, err
	}
	return demoWorld{
		Waters: m.waters, Kits: demoKits(), Station: demoStation(),
		Observations: observations(demoStation(), m.hours[:m.nowIndex+1]),
		Forecast:     forecast(seed, demoStation(), m.now, m.hours[m.nowIndex:]),
		SessionsCSV:  csv, SessionsJSON: json,
		Reports: demoReports(m.waters, m.yearFrom, m.now),
		Truth:   m.truth(sessions, matches, flaws),
		hours:   m.hours,
	}, nil
}

// demoMaker holds what the generator has made so far: the stage on which
// sessions are fished.
type demoMaker struct {
	seed     uint64
	now      time.Time
	yearFrom time.Time
	zone     *time.Location
	waters   []model.Water
	spells   []demoSpell
	closure  demoClosure
	hours    []demoHour
	nowIndex int         // of the last hour that can be known
	waterC   [][]float64 // by water and hour: true, and known to nobody
	effects  []float64   // of the anglers
}

func newDemoMaker(seed uint64, now time.Time) (*demoMaker, error) {
	first := now.Truncate(time.Hour).Add(-demoWeatherDays * 24 * time.Hour)
	last := now.AddDate(0, 0, demoForecastDays+1)
	m := &demoMaker{
		seed: seed, now: now, yearFrom: now.AddDate(0, 0, -demoYearDays),
		spells: demoSpells(first, last), nowIndex: demoWeatherDays * 24,
	}
	m.waters = demoWaters(m.yearFrom)
	var err error
	if m.zone, err = m.waters[0].Location(); err != nil {
		return nil, fmt.Errorf("the demo's clocks: %w", err)
	}
	closed := lastDate(now, time.July, closedDay)
	m.closure = demoClosure{
		Water: m.waters[thistlecote].ID, From: closed, Until: closed.AddDate(0, 0, demoClosedDays),
		Reason: "fish in distress in the heat (invented)",
	}
	m.hours = makeWeather(seed, first, m.nowIndex+1+demoForecastDays*24, m.spells)
	if m.waterC, err = trueWaterC(seed, m.waters, m.hours[:m.nowIndex+1]); err != nil {
		return nil, err
	}
	for i := range demoAnglers {
		m.effects = append(m.effects, demoRules.AnglerSd*newDemoStream(seed, drawAngler, uint64(i)).normal())
	}
	return m, nil
}

// index is the place of the hour that an instant lies in.
func (m *demoMaker) index(t time.Time) int { return int(t.Sub(m.hours[0].at) / time.Hour) }

// month is how far into the year an instant lies, in twelfths.
func (m *demoMaker) month(t time.Time) float64 {
	return t.Sub(m.yearFrom).Hours() / 24 * 12 / demoYearDays
}

// warming is the true change of a water's temperature over the 24 hours before.
func (m *demoMaker) warming(place, i int) float64 { return m.waterC[place][i] - m.waterC[place][i-24] }

func (m *demoMaker) truth(sessions []demoSession, matches []demoMatch, flaws []demoFlaw) demoTruth {
	t := demoTruth{
		Note: "Everything here is invented: club, waters, people, weather and catches. " +
			"No flaw that keeps a session out of fits was planted in marlo's sessions under 8 C, on which a finding rests.",
		Club: demoClub, Demo: true, Seed: m.seed, Now: m.now, YearFrom: m.yearFrom, Coefficients: demoRules,
		WaterEffects: map[string]float64{}, Spells: m.spells, Closure: m.closure, Matches: matches, Flaws: flaws,
	}
	for i, w := range m.waters {
		t.WaterEffects[w.ID] = demoWaterEffects[i]
	}
	for i, a := range demoAnglers {
		t.Anglers = append(t.Anglers, demoAnglerTruth{
			Handle: a.handle, Style: a.style, EffectLogRate: roundTo(m.effects[i], 0.001), FeedBias: a.bias, FeedBiasCold: a.cold,
		})
	}
	for _, s := range sessions {
		r := s.truth
		for _, v := range []*float64{&r.WaterC, &r.Warming24hC, &r.FeedZ, &r.RatePerH, &r.Multiplier} {
			*v = math.Round(*v*1e4) / 1e4
		}
		t.Sessions = append(t.Sessions, r)
	}
	return t
}
