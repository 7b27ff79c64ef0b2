//go:build load

package main

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

// The size that the store is meant to bear: a million sessions, 2,000 stations
// and ten years of their hourly reports. It is invented region by region, each of
// two stations and one water far from the next, so that a part of it costs what
// its share of the whole would.
const (
	scaleSessions = 1_000_000
	scaleStations = 2_000
	scaleYears    = 10

	regionStations = 2
	hoursOfYear    = 8766
	longBytes      = 10 << 30         // of disk, for the full figures
	longFilling    = 10 * time.Minute // of the twenty minutes that the full figures may take in all
)

// region is one part of the invented store.
type region struct {
	number, sessions, years int
	now                     time.Time
}

func (r region) water() model.Water {
	// A grid of two degrees by four keeps every station out of all other reach.
	return model.Water{
		ID: fmt.Sprintf("water-%04d", r.number), Name: fmt.Sprintf("Invented Water %d", r.number),
		LatDeg: -58 + 2*float64(r.number%58), LonDeg: -178 + 4*float64(r.number/58), ElevationM: 40, MeanDepthM: 2.2,
		Bank: "grass", Colour: "tinged", Zone: "UTC", Groups: model.Groups(), Demo: true,
	}
}

func (r region) stations() []model.Station {
	w := r.water()
	out := make([]model.Station, regionStations)
	for i := range out {
		out[i] = model.Station{
			ID: fmt.Sprintf("X%04d%d", r.number, i), Source: "awc", LatDeg: w.LatDeg + 0.1*float64(i+1), LonDeg: w.LonDeg,
			ElevationM: model.Known[model.Metres](50),
		}
	}
	return out
}

// report is what a station tells at a whole hour: weather that swings with the
// day and the year, and differs from day to day.
func (r region) report(s model.Station, at time.Time) model.Observation {
	hours := at.Unix() / 3600
	day := math.Sin(2 * math.Pi * float64(hours%24-9) / 24)
	year := math.Sin(2 * math.Pi * float64(hours%hoursOfYear) / hoursOfYear)
	front := math.Sin(2*math.Pi*float64(hours)/131 + float64(r.number))
	air := 11 + 8*year + 4*day + 2*front
	return model.Observation{
		Station: s.ID, Source: s.Source, At: at,
		AirC: model.Known(model.Celsius(math.Round(air))), DewC: model.Known(model.Celsius(math.Round(air - 4 - 2*front))),
		WindMps: model.Known(model.MetresPerSecond(math.Round(4 + 3*front))), WindFromDeg: model.Known(model.Degrees(10 * (hours % 36))),
		QNHHPa: model.Known(model.Hectopascals(math.Round(1013 - 9*front))), CloudOktas: model.Known(int(4 + 4*front)), Thunder: model.ThunderNone,
		Raw: fmt.Sprintf("%s %s AUTO %03d%02dKT 9999 SCT030 %02d/%02d Q%04.0f", s.ID, at.Format("021504Z"), 10*(hours%36), int(8+6*front), int(air), int(air-4), 1013-9*front),
	}
}

// fill puts a region into the store.
func (r region) fill(ctx context.Context, db *store.DB) error {
	if err := db.PutWater(ctx, r.water()); err != nil {
		return err
	}
	if err := db.PutStations(ctx, r.stations()); err != nil {
		return err
	}
	last := r.now.Truncate(time.Hour)
	first := last.Add(-time.Duration(r.years*hoursOfYear) * time.Hour)
	for _, s := range r.stations() {
		var reports []model.Observation
		for at := first; !at.After(last); at = at.Add(time.Hour) {
			reports = append(reports, r.report(s, at))
			if len(reports) == 10_000 || at.Equal(last) {
				if _, err := db.PutObservations(ctx, reports); err != nil {
					return err
				}
				reports = reports[:0]
			}
		}
	}
	if err := db.PutForecast(ctx, r.forecast(last)); err != nil {
		return err
	}
	var records []model.Session
	for i := range r.sessions {
		records = append(records, r.record(i, first.AddDate(0, 2, 0), last))
	}
	return db.AddImport(ctx, records, model.Import{ID: fmt.Sprintf("i-%d", r.number), At: r.now})
}

func (r region) forecast(from time.Time) model.Forecast {
	w := r.water()
	f := model.Forecast{Source: "locationforecast", LatDeg: w.LatDeg, LonDeg: w.LonDeg, IssuedAt: from, FetchedAt: from, ConfirmedAt: from}
	for h := range 5 * 24 {
		o := r.report(r.stations()[0], from.Add(time.Duration(h)*time.Hour))
		f.Hours = append(f.Hours, model.ForecastHour{
			At: o.At, StepH: 1, AirC: o.AirC, DewC: o.DewC, WindMps: o.WindMps, WindFromDeg: o.WindFromDeg, SeaLevelHPa: o.QNHHPa,
			CloudFraction: model.Known(0.5), Rain: model.Known(model.Rain{Mm: 0, OverH: 1}), Thunder: model.Known(false),
		})
	}
	return f
}

// record is one session of many, by one of forty anglers, at even distances from
// first to last.
func (r region) record(i int, first, last time.Time) model.Session {
	const lasts = 5 * time.Hour
	start := first.Add(time.Duration(float64(last.Add(-lasts).Sub(first)) * float64(i) / float64(r.sessions))).Truncate(time.Second)
	group := model.Groups()[i%3]
	s := model.Session{
		Water: r.water().ID, Angler: fmt.Sprintf("A%02d", i%40), Group: group, Style: model.Summary, Peg: fmt.Sprint(i % 20),
		Start: start, End: start.Add(lasts), Rods: 1, WrittenAt: model.Known(start.Add(lasts)), EnteredAt: start.Add(lasts),
		Bites: model.Known(i * 7 % 23), Fish: map[model.Group]int{group: i * 7 % 23 / 2}, Planned: model.PlannedFeed{Level: "Steady"}, Demo: true,
	}
	s.ID = s.DerivedID()
	return s
}

// heapWatch is a store that looks how much is held while sessions are joined:
// just before a run of them is kept, when its weather, its records and its rows
// are all there.
type heapWatch struct {
	*store.DB
	highest uint64        // bytes in use after a collection
	spent   time.Duration // on looking
}

func (h *heapWatch) PutJoined(ctx context.Context, joined []model.JoinedSession) error {
	began := time.Now()
	h.highest = max(h.highest, heapNow())
	h.spent += time.Since(began)
	runtime.KeepAlive(joined)
	return h.DB.PutJoined(ctx, joined)
}

func heapNow() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// joinAll joins what there is and says how long that took and how much it held.
func joinAll(t *testing.T, db *store.DB, now time.Time) (counts map[string]int, took time.Duration, heap uint64) {
	t.Helper()
	watched := &heapWatch{DB: db}
	began := time.Now()
	counts, err := (&jobs.Joiner{Store: watched, Now: func() time.Time { return now }}).Run(t.Context())
	mustGoWell(t, err)
	return counts, time.Since(began) - watched.spent, watched.highest
}

// A store far larger than a club's: how large it gets, how fast sessions are
// joined and outlooks built, and that joining holds no more of ten times the
// sessions. The same join by an analytical engine's nearest-earlier-row join
// would be the yardstick; its driver is not at hand, so no ratio is told.
func TestLoadScale(t *testing.T) {
	regions, years, each := 10, 1, 500
	now := time.Now().UTC().Truncate(time.Second)
	dir := t.TempDir()
	db, err := store.OpenSQLite(t.Context(), dir)
	mustGoWell(t, err)
	defer func() { mustGoWell(t, db.Close()) }()
	if *long {
		regions, years, each = scaleStations/regionStations, scaleYears, scaleSessions/(scaleStations/regionStations)
	}
	filled := 0
	began := time.Now()
	fill := func(upTo int) {
		for ; filled < upTo; filled++ {
			mustGoWell(t, region{number: filled, sessions: each, years: years, now: now}.fill(t.Context(), db))
		}
	}
	fill(1)
	if *long { // as many as the disk and the time bear, by what the first one took
		bear := min(float64(longBytes)/float64(folderBytes(t, dir)), longFilling.Seconds()/time.Since(began).Seconds())
		regions = max(10, min(regions, int(bear)))
	}
	fill(regions / 10)
	tenth, _, tenthHeap := joinAll(t, db, now)
	fill(regions)
	filling := time.Since(began)
	counts, took, heap := joinAll(t, db, now)
	again, againTook, _ := joinAll(t, db, now)
	if counts["sessions"] != regions*each || counts["joined"] != regions*each-tenth["joined"] || counts["without weather"] > 0 || again["joined"] != 0 {
		t.Errorf("joined %v of %d sessions after %v, and again %v", counts, regions*each, tenth, again)
	}

	clubs := min(regions/10, 20)
	register := jobs.ClubRegister{Store: db, Now: func() time.Time { return now }, Demo: true}
	for c := range clubs {
		club := model.Club{ID: fmt.Sprintf("club-%d", c), Name: fmt.Sprintf("Invented Club %d", c), Zone: "UTC"}
		for w := range 10 {
			club.Waters = append(club.Waters, region{number: 10*c + w}.water().ID)
		}
		_, _, err := register.PutClub(t.Context(), club)
		mustGoWell(t, err)
	}
	beganOutlooks := time.Now()
	built, err := (&jobs.Outlooker{Store: db, Now: func() time.Time { return now }}).Run(t.Context())
	mustGoWell(t, err)
	outlooks := time.Since(beganOutlooks)
	if built["drafts"] != clubs {
		t.Errorf("outlooks: %v, want %d drafts", built, clubs)
	}

	stations, size := regions*regionStations, float64(folderBytes(t, dir))
	reports := float64(stations * years * hoursOfYear)
	t.Logf("%d sessions at %d waters, %d stations, %d years: %.1f%% of the sessions and %.1f%% of the station-years that are meant to be borne; filled in %s",
		regions*each, regions, stations, years, 100*float64(regions*each)/scaleSessions, 100*float64(stations*years)/(scaleStations*scaleYears), filling.Round(time.Second))
	t.Logf("store: %.0f MB, %.0f bytes an hourly report with all else shared out; the whole would be %.0f GB", size/1e6, size/reports, size/reports*scaleStations*scaleYears*hoursOfYear/1e9)
	t.Logf("join: %.0f sessions/s the first time, %.0f with nothing changed", float64(counts["sessions"])/took.Seconds(), float64(again["sessions"])/againTook.Seconds())
	t.Logf("outlooks: %d drafts of 10 waters and %d days, %.2f/s (%.1f water-days/s)", clubs, jobs.UsualOutlookDays, float64(clubs)/outlooks.Seconds(), float64(10*jobs.UsualOutlookDays*clubs)/outlooks.Seconds())
	t.Logf("heap held while joining: %.1f MiB with %d sessions, %.1f MiB with %d: %.2f times", float64(tenthHeap)/(1<<20), tenth["sessions"], float64(heap)/(1<<20), counts["sessions"], float64(heap)/float64(tenthHeap))
	if float64(heap) > 1.5*float64(tenthHeap) {
		t.Errorf("ten times the sessions take %.2f times the memory to join", float64(heap)/float64(tenthHeap))
	}
}

func folderBytes(t *testing.T, dir string) (sum int64) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	mustGoWell(t, err)
	for _, e := range entries {
		info, err := os.Stat(filepath.Join(dir, e.Name()))
		mustGoWell(t, err)
		sum += info.Size()
	}
	return sum
}

func mustGoWell(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
