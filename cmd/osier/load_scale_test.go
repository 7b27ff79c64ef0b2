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
	longBytes      = 10 << 30        // of disk, for the full figures
	longFilling    = 6 * time.Minute // of the twenty minutes that the full figures may take in all: joining twice takes most
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

// report is what a station tells of a whole hour, up to twenty-four minutes
// before it: weather that swings with the day and the year, and differs from day
// to day. One hour in ninety-seven it says nothing.
func (r region) report(s model.Station, hour time.Time) (o model.Observation, told bool) {
	hours := hour.Unix() / 3600
	at := hour.Add(-time.Duration(5+(7*hours+int64(r.number))%20) * time.Minute)
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
	}, (hours+int64(r.number))%97 != 0
}

// insertion is how many reports were put into the store, and what that alone
// took.
type insertion struct {
	reports int
	spent   spent
}

func (i *insertion) put(ctx context.Context, db *store.DB, reports []model.Observation) (err error) {
	i.spent.on(func() {
		n, failed := db.PutObservations(ctx, reports)
		i.reports, err = i.reports+n, failed
	})
	return err
}

// fill puts a region into the store.
func (r region) fill(ctx context.Context, db *store.DB, observed *insertion) error {
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
			if o, told := r.report(s, at); told {
				reports = append(reports, o)
			}
			if len(reports) == 10_000 || at.Equal(last) {
				if err := observed.put(ctx, db, reports); err != nil {
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
		at := from.Add(time.Duration(h) * time.Hour)
		o, _ := r.report(r.stations()[0], at)
		f.Hours = append(f.Hours, model.ForecastHour{
			At: at, StepH: 1, AirC: o.AirC, DewC: o.DewC, WindMps: o.WindMps, WindFromDeg: o.WindFromDeg, SeaLevelHPa: o.QNHHPa,
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
	highest uint64 // bytes in use after a collection
	spent   spent  // on looking
}

func (h *heapWatch) PutJoined(ctx context.Context, joined []model.JoinedSession) error {
	h.spent.on(func() { h.highest = max(h.highest, heapNow()) })
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
func joinAll(t *testing.T, db *store.DB, now time.Time) (counts map[string]int, took spent, heap uint64) {
	t.Helper()
	watched := &heapWatch{DB: db}
	took.on(func() {
		var err error
		counts, err = (&jobs.Joiner{Store: watched, Now: func() time.Time { return now }}).Run(t.Context())
		mustGoWell(t, err)
	})
	return counts, spent{took.took - watched.spent.took, took.cpuS - watched.spent.cpuS}, watched.highest
}

// A store far larger than a club's: how large it gets, how fast sessions are
// joined and outlooks built, and that joining holds no more of ten times the
// sessions. The yardstick of the join is in load_scale_asof_test.go.
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
	filled, filling := 0, time.Duration(0)
	var observed insertion
	// For what can be called off, SQLite's driver starts a goroutine a row, which
	// takes it as long again.
	ctx := context.WithoutCancel(t.Context())
	fill := func(upTo int) {
		began := time.Now()
		for ; filled < upTo; filled++ {
			mustGoWell(t, region{number: filled, sessions: each, years: years, now: now}.fill(ctx, db, &observed))
		}
		filling += time.Since(began)
	}
	fill(1)
	if *long { // as many as the disk and the time bear, by what the first one took
		bear := min(float64(longBytes)/float64(folderBytes(t, dir)), longFilling.Seconds()/filling.Seconds())
		regions = max(10, min(regions, int(bear)))
	}
	fill(regions / 10)
	tenth, _, tenthHeap := joinAll(t, db, now)
	fill(regions)
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
	reports := float64(observed.reports)
	whole := float64(scaleStations * scaleYears * hoursOfYear)
	t.Logf("%d sessions at %d waters, %d stations, %d years: %.1f%% of the sessions and %.1f%% of the station-years that are meant to be borne; filled in %s",
		regions*each, regions, stations, years, 100*float64(regions*each)/scaleSessions, 100*float64(stations*years)/(scaleStations*scaleYears), filling.Round(time.Second))
	t.Logf("store: %.0f MB, %.0f bytes an hourly report with all else shared out; the whole would be %.0f GB", size/1e6, size/reports, size/reports*whole/1e9)
	share := whole / reports
	t.Logf("filling: reports %s; the %.0f million of the whole would take %.0f min at that, or %.0f by processor time",
		observed.spent.rates(observed.reports), whole/1e6, share*observed.spent.took.Minutes(), share*observed.spent.cpuS/60)
	t.Logf("join: sessions %s the first time, %s with nothing changed", took.rates(counts["sessions"]), againTook.rates(again["sessions"]))
	t.Logf("outlooks: %d drafts of 10 waters and %d days, %.2f/s (%.1f water-days/s)", clubs, jobs.UsualOutlookDays, float64(clubs)/outlooks.Seconds(), float64(10*jobs.UsualOutlookDays*clubs)/outlooks.Seconds())
	t.Logf("heap held while joining: %.1f MiB with %d sessions, %.1f MiB with %d: %.2f times", float64(tenthHeap)/(1<<20), tenth["sessions"], float64(heap)/(1<<20), counts["sessions"], float64(heap)/float64(tenthHeap))
	if float64(heap) > 1.5*float64(tenthHeap) {
		t.Errorf("ten times the sessions take %.2f times the memory to join", float64(heap)/float64(tenthHeap))
	}

	var some []region
	for n := range min(regions, asofRegions) {
		some = append(some, region{number: n, sessions: each, years: years, now: now})
	}
	t.Run("against an analytical engine's join", func(t *testing.T) {
		againstAsof(t, db, some, counts["sessions"], took)
	})
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
