package jobs_test

import (
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"osier/model"
	"osier/model/store"
	"osier/model/store/storetest"
)

// noon is when every test begins.
var noon = time.Date(2026, 2, 6, 12, 5, 0, 0, time.UTC)

var reedmere = model.Water{
	ID: "reedmere", Name: "Reedmere", LatDeg: 52.2, LonDeg: -0.9, ElevationM: 60, MeanDepthM: 2, Bank: "grass", Colour: "tinged",
	Zone: "Europe/London", Groups: model.Groups(), Pegs: []model.Peg{{Number: "4"}, {Number: "5"}},
}

// bench is a store of its own, and a clock that a test sets.
type bench struct {
	db  *store.DB
	now time.Time
}

func (b *bench) clock() time.Time { return b.now }

func newBench(t *testing.T) *bench {
	t.Helper()
	db, err := store.OpenSQLite(t.Context(), storetest.EmptyFolder(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	b := &bench{db: db, now: noon}
	done(t, db.PutWater(t.Context(), reedmere))
	return b
}

func done(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatalf("unexpected error: %v", err)
	}
}

func wantCode(t *testing.T, err error, code model.Code) {
	t.Helper()
	if err == nil || model.CodeOf(err) != code {
		t.Fatalf("error %v, want one of code %q", err, code)
	}
}

// report is what the station AAAA, 12 km off, tells at a whole hour of mild
// weather.
func report(at time.Time) model.Observation {
	swing := math.Sin(2 * math.Pi * float64(at.Hour()-9) / 24)
	return model.Observation{
		Station: "AAAA", Source: "awc", At: at,
		AirC: model.Known(model.Celsius(7 + 3*swing)), DewC: model.Known[model.Celsius](4),
		WindMps: model.Known[model.MetresPerSecond](3), WindFromDeg: model.Known[model.Degrees](230),
		QNHHPa: model.Known[model.Hectopascals](1015), CloudOktas: model.Known(4), Thunder: model.ThunderNone,
		Raw: "AAAA " + at.Format("021504") + "Z",
	}
}

// putWeather stores 16 days of reports up to now and a forecast for two days.
func (b *bench) putWeather(t testing.TB) {
	t.Helper()
	station := model.Station{ID: "AAAA", Source: "awc", LatDeg: 52.3, LonDeg: -0.9, ElevationM: model.Known[model.Metres](80)}
	var reports []model.Observation
	last := b.now.Truncate(time.Hour)
	for at := last.AddDate(0, 0, -16); !at.After(last); at = at.Add(time.Hour) {
		reports = append(reports, report(at))
	}
	f := model.Forecast{Source: "locationforecast", LatDeg: 52.2, LonDeg: -0.9, IssuedAt: last, FetchedAt: last, ConfirmedAt: last}
	for h := range 49 {
		f.Hours = append(f.Hours, model.ForecastHour{
			At: last.Add(time.Duration(h) * time.Hour), StepH: 1, AirC: model.Known[model.Celsius](8), DewC: model.Known[model.Celsius](5),
			WindMps: model.Known[model.MetresPerSecond](4), WindFromDeg: model.Known[model.Degrees](200), GustMps: model.Known[model.MetresPerSecond](7),
			SeaLevelHPa: model.Known[model.Hectopascals](1014), CloudFraction: model.Known(0.6), Rain: model.Known(model.Rain{Mm: 0, OverH: 1}),
			ThunderProbability: model.Known(0.0), Thunder: model.Known(false),
		})
	}
	_, err := b.db.PutObservations(t.Context(), reports)
	done(t, errors.Join(err, b.db.PutStations(t.Context(), []model.Station{station}), b.db.PutForecast(t.Context(), f)))
}

// record is a summary of four hours, so many days before the tests begin.
func record(daysAgo int, angler string, bites int) model.Session {
	start := time.Date(2026, 2, 6, 8, 0, 0, 0, time.UTC).AddDate(0, 0, -daysAgo)
	s := model.Session{
		Water: "reedmere", Angler: angler, Group: model.Bream, Style: model.Summary, Peg: "4",
		Start: start, End: start.Add(4 * time.Hour), Rods: 1, WrittenAt: model.Known(start.Add(5 * time.Hour)),
		Bites: model.Known(bites), Fish: map[model.Group]int{model.Bream: bites / 2},
		Planned: model.PlannedFeed{Level: "Lean"},
	}
	s.ID = s.DerivedID()
	return s
}

// addRecords stores records as they are, one a day with the bites given.
func (b *bench) addRecords(t *testing.T, bites ...int) []model.Session {
	t.Helper()
	var out []model.Session
	for i, n := range bites {
		s := record(i+1, fmt.Sprintf("A%d", i%3), n)
		done(t, b.db.AddSession(t.Context(), s))
		out = append(out, s)
	}
	return out
}

// revision reads how often anything a plan depends on has changed.
func (b *bench) revision(t *testing.T) int64 {
	t.Helper()
	n, err := b.db.Revision(t.Context())
	done(t, err)
	return n
}
