package jobs

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model"
)

// years is stored weather and readings in memory: two years of hourly reports of
// three stations, one of which falls silent for three weeks, with readings of
// anybody.
type years struct {
	stations []model.Station
	reports  map[string][]model.Observation
	posted   []model.MeterReading
	sessions []model.Session
	issued   []model.Forecast
	states   []model.Maybe[kept] // by week from the first on
}

var (
	firstOfYears = time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC) // a Monday
	lastOfYears  = firstOfYears.AddDate(2, 0, 0)
	pool         = model.Water{
		ID: "pool", Name: "Pool", LatDeg: 52.2, LonDeg: -0.9, ElevationM: 60, MeanDepthM: 2, Bank: "grass", Colour: "tinged",
		Zone: "Europe/London", Groups: model.Groups(),
	}
)

// twoYears gives every test the same reports, and no readings yet.
func twoYears() *years {
	all := reportsOfTwoYears()
	return &years{stations: all.stations, reports: all.reports}
}

var reportsOfTwoYears = sync.OnceValue(func() *years {
	y := &years{reports: map[string][]model.Observation{}}
	for i := range 3 {
		s := model.Station{ID: fmt.Sprintf("S%d", i), Source: "awc", LatDeg: 52.2 + 0.1*float64(i), LonDeg: -0.7, ElevationM: model.Known[model.Metres](80)}
		y.stations = append(y.stations, s)
		for at := firstOfYears; !at.After(lastOfYears); at = at.Add(time.Hour) {
			day := at.Sub(firstOfYears).Hours() / 24
			if i == 0 && day > 300 && day < 321 {
				continue
			}
			air := 10 - 8*math.Cos(2*math.Pi*day/365) + 3*math.Sin(2*math.Pi*day) + 2*math.Sin(day/3) + float64(i)
			y.reports[model.StationKey("awc", s.ID)] = append(y.reports[model.StationKey("awc", s.ID)], model.Observation{
				Station: s.ID, Source: "awc", At: at, AirC: model.Known(model.Celsius(air)), DewC: model.Known(model.Celsius(air - 3)),
				WindMps: model.Known(model.MetresPerSecond(4 + math.Sin(day))), QNHHPa: model.Known(model.Hectopascals(1012 + 9*math.Sin(day/2))),
				CloudOktas: model.Known(int(4 + 3*math.Sin(day/5))), Rain: model.Known(model.Rain{Mm: 0.2, OverH: 1}), Thunder: model.ThunderNone,
			})
		}
	}
	return y
})

func (y *years) StationsWithin(context.Context, float64, float64, float64, float64) ([]model.Station, error) {
	return y.stations, nil
}

func (y *years) Observations(_ context.Context, source, station string, from, to time.Time) ([]model.Observation, error) {
	all := reportsOf{reports: y.reports[model.StationKey(source, station)]}
	return all.reports[all.since(from):max(all.since(from), all.since(to.Add(time.Second)))], nil
}

func (y *years) Forecasts(_ context.Context, _, _ float64, at time.Time, limit int) (out []model.Forecast, _ error) {
	for _, f := range slices.Backward(y.issued) {
		if !f.FetchedAt.After(at) && len(out) < limit {
			out = append(out, f)
		}
	}
	return out, nil
}

func (y *years) MeterReadings(_ context.Context, _ string, from, to time.Time) (out []model.MeterReading, _ error) {
	for _, r := range y.posted {
		if !r.At.Before(from) && !r.At.After(to) {
			out = append(out, r)
		}
	}
	return out, nil
}

func (y *years) SessionsWithReading(_ context.Context, _ string, from, to time.Time) (out []model.Session, _ error) {
	for _, s := range y.sessions {
		if s.WaterTemp.Known && !s.Start.Before(from) && !s.Start.After(to) {
			out = append(out, s)
		}
	}
	return out, nil
}

func (y *years) WaterStates(_ context.Context, _ string, from, to time.Time) (out []json.RawMessage, err error) {
	for _, s := range y.states {
		if s.Known && !s.Value.State.At.Before(from) && !s.Value.State.At.After(to) {
			body, err := json.Marshal(s.Value)
			if err != nil {
				return nil, err
			}
			out = append(out, body)
		}
	}
	return out, nil
}

// past is what sessions are joined to.
func (y *years) past(t interface{ Fatal(args ...any) }) *past {
	p, err := pastOf(y, pool, lastOfYears)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// keep stores where the water stood at the end of every week, as pulls do.
func (y *years) keep(t *testing.T) {
	t.Helper()
	p := y.past(t)
	for at := firstOfYears; at.Before(lastOfYears); at = at.Add(week) {
		s, err := p.state(t.Context(), at)
		if err != nil {
			t.Fatal(err)
		}
		y.states = append(y.states, model.Maybe[kept]{Value: kept{SpunUp: s.SpunUp}, Known: s.ok && s.observed})
	}
}

// outing is a session of four hours that begins some hours into the two years.
func outing(angler string, hour float64, readC model.Maybe[model.Celsius]) model.Session {
	start := firstOfYears.Add(time.Duration(hour * float64(time.Hour))).Truncate(time.Minute)
	s := model.Session{
		Water: "pool", Angler: angler, Group: model.Bream, Style: model.Summary, Start: start, End: start.Add(4 * time.Hour), Rods: 1,
		WrittenAt: model.Known(start.Add(5 * time.Hour)), Bites: model.Known(3), Planned: model.PlannedFeed{Level: "Lean"},
	}
	if readC.Known {
		s.WaterTemp = model.Known(model.WaterReading{C: readC.Value, Instrument: true, At: model.Known(start.Add(time.Hour))})
	}
	s.ID = s.DerivedID()
	return s
}

// waterAt is about how warm the pool is at an hour.
func waterAt(hour float64) model.Celsius {
	return model.Celsius(11 - 8*math.Cos(2*math.Pi*hour/24/365))
}

// joinedIn joins sessions in pieces that end before the places given, each by
// itself, and gives every row as it is stored.
func (y *years) joinedIn(t interface {
	Helper()
	Fatal(args ...any)
	Context() context.Context
}, sessions []model.Session, cuts ...int,
) []string {
	t.Helper()
	var rows []string
	for first, cuts := 0, append(cuts, len(sessions)); len(cuts) > 0; cuts = cuts[1:] {
		joined, err := joinAgain(t.Context(), y.past(t), run{sessions: sessions[first:cuts[0]]}, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, j := range joined {
			row, err := json.Marshal(j)
			if err != nil {
				t.Fatal(err)
			}
			rows = append(rows, string(row))
		}
		first = cuts[0]
	}
	return rows
}

func byStart(a, b model.Session) int { return a.Start.Compare(b.Start) }

// Where a run is cut for its length or its number must show in no row: neither
// in the readings that correct the water nor in the water itself.
func TestCuttingARunOfSessionsChangesNoRow(t *testing.T) {
	y := twoYears()
	for i := range 60 { // posted by the week, up to a spring without any
		at := firstOfYears.Add(time.Duration(i) * week).Add(30 * time.Hour)
		y.posted = append(y.posted, model.MeterReading{ID: fmt.Sprint(i), Water: "pool", At: at, WaterC: model.Known(waterAt(at.Sub(firstOfYears).Hours()) + 1), Instrument: true})
	}
	rapid.Check(t, func(t *rapid.T) {
		y.sessions, y.issued = nil, nil
		from := float64(rapid.IntRange(0, 600).Draw(t, "first day")) * 24
		for range rapid.IntRange(2, 12).Draw(t, "sessions") {
			hour := from + rapid.Float64Range(0, 60*24).Draw(t, "hour")
			read := model.Maybe[model.Celsius]{Value: waterAt(hour) + model.Celsius(rapid.Float64Range(-2, 2).Draw(t, "off")), Known: rapid.Bool().Draw(t, "read")}
			s := outing(rapid.SampledFrom([]string{"A0", "A1", "A2"}).Draw(t, "angler"), hour, read)
			y.sessions = append(y.sessions, s)
			if rapid.IntRange(0, 9).Draw(t, "foretold") == 0 {
				y.issued = append(y.issued, foretoldAt(s.Start.Add(-2*time.Hour)))
			}
		}
		slices.SortFunc(y.sessions, byStart)
		slices.SortFunc(y.issued, func(a, b model.Forecast) int { return a.FetchedAt.Compare(b.FetchedAt) })
		cuts := rapid.SliceOfNDistinct(rapid.IntRange(1, len(y.sessions)-1), 0, 5, func(i int) int { return i }).Draw(t, "cuts")
		slices.Sort(cuts)
		if diff := cmp.Diff(y.joinedIn(t, y.sessions), y.joinedIn(t, y.sessions, cuts...)); diff != "" {
			t.Fatalf("cut before the sessions %v rows differ (-whole +cut):\n%s", cuts, diff)
		}
	})
}

func foretoldAt(at time.Time) model.Forecast {
	f := model.Forecast{Source: "locationforecast", LatDeg: pool.LatDeg, LonDeg: pool.LonDeg, IssuedAt: at, FetchedAt: at, ConfirmedAt: at}
	for h := range 12 {
		f.Hours = append(f.Hours, model.ForecastHour{
			At: at.Truncate(time.Hour).Add(time.Duration(h) * time.Hour), StepH: 1, AirC: model.Known[model.Celsius](9), DewC: model.Known[model.Celsius](5), WindMps: model.Known[model.MetresPerSecond](7),
		})
	}
	return f
}

// lined is two years of an angler who reads the water a degree and a half above
// the model every week, and of another who reads nothing, with sessions of both
// every few days of the last months.
func lined(t *testing.T) *years {
	t.Helper()
	y := twoYears()
	p := y.past(t)
	for i := 5; i < 104; i++ {
		hour := float64(i)*7*24 + 32
		s := outing("A0", hour, model.Maybe[model.Celsius]{})
		stood, err := p.state(t.Context(), weekEnd(s.Start.Add(time.Hour)))
		if err != nil {
			t.Fatal(err)
		}
		if i < 80 && stood.ok {
			read := stood.SurfaceC[len(stood.SurfaceC)-1-int(stood.State.At.Sub(s.Start.Add(time.Hour))/time.Hour)]
			s = outing("A0", hour, model.Maybe[model.Celsius]{Value: model.Celsius(read.Value + 1.5), Known: read.Known})
		}
		y.sessions = append(y.sessions, s, outing("A1", hour+48, model.Maybe[model.Celsius]{}))
	}
	slices.SortFunc(y.sessions, byStart)
	return y
}

// What a fit learns from must be what a plan asked for at the first cast would
// have read: the same readings, the same line of years, the same water.
func TestARowHasTheWaterThatAPlanOfThatTimeHad(t *testing.T) {
	y := lined(t)
	y.keep(t)
	p := y.past(t)
	for _, s := range y.sessions {
		weather, _, err := p.of(t.Context(), s)
		if err != nil {
			t.Fatal(err)
		}
		planned, err := loadWeather(t.Context(), y, pool, s.Angler, s.Start, s.End.Add(time.Hour), lastOfYears)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(planned.history.Drivers(outingOf(s)), join(s, weather).Drivers); diff != "" {
			t.Errorf("session of %s at %v (-plan +row):\n%s", s.Angler, s.Start, diff)
		}
	}
}

// Thirty readings in somebody's own records move their own rows for years, and
// nobody else's by one digit.
func TestALineOfPrivateReadingsMovesItsAnglersRowsAlone(t *testing.T) {
	y := lined(t)
	rows := func() map[string]model.JoinedSession {
		joined, err := joinAgain(t.Context(), y.past(t), run{sessions: y.sessions}, nil)
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]model.JoinedSession{}
		for _, j := range joined {
			j.InputsDigest, j.ForeseenFrom = "", "" // of the record, which is another without its reading
			out[j.Session] = j
		}
		return out
	}
	with := rows()
	for i := range y.sessions {
		y.sessions[i].WaterTemp = model.Maybe[model.WaterReading]{}
	}
	without := rows()
	others, last := 0, y.sessions[len(y.sessions)-2]
	for id, j := range with {
		if j.Angler == "A0" {
			continue
		}
		others++
		if diff := cmp.Diff(without[id], j); diff != "" {
			t.Errorf("a private reading shows in another's row:\n%s", diff)
		}
	}
	moved := with[last.ID].Drivers.WaterC.Value - without[last.ID].Drivers.WaterC.Value
	if last.Angler != "A0" || others == 0 || moved < 1 || moved > 1.6 || with[last.ID].Readings == "" {
		t.Errorf("half a year after the last reading the water of %s is moved by %v C (%d rows of others), want some 1.5", last.Angler, moved, others)
	}
}

// No reading taken after the first cast bears on a row: nothing of what is
// learnt later leaks into what a session is explained by.
func TestNoLaterReadingMovesARow(t *testing.T) {
	y := lined(t)
	all := y.joinedIn(t, y.sessions)
	for _, n := range []int{1, 20, 70, 110, 150, len(y.sessions) - 1} {
		until := &years{stations: y.stations, reports: y.reports, sessions: y.sessions[:n]}
		if diff := cmp.Diff(all[:n], until.joinedIn(t, y.sessions[:n])); diff != "" {
			t.Errorf("the first %d rows know of later readings:\n%s", n, diff)
		}
	}
}
