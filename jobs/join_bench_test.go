//go:build unix

package jobs_test

import (
	"fmt"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

// BenchmarkJoinYear joins a year of 500 sessions at one water with the hourly reports
// of two stations, all of them anew and then with nothing changed, and tells the
// processor time of each session.
func BenchmarkJoinYear(b *testing.B) {
	ctx := b.Context()
	db, err := store.OpenSQLite(ctx, b.TempDir())
	done(b, err)
	b.Cleanup(func() { done(b, db.Close()) })
	done(b, db.PutWater(ctx, reedmere))
	var all []model.Observation
	var stations []model.Station
	for i := range 2 {
		s := model.Station{ID: fmt.Sprintf("AAA%d", i), Source: "awc", LatDeg: 52.3 + 0.1*float64(i), LonDeg: -0.9, ElevationM: model.Known[model.Metres](80)}
		stations = append(stations, s)
		for at := noon.Truncate(time.Hour).AddDate(-1, 0, 0); at.Before(noon); at = at.Add(time.Hour) {
			r := report(at)
			r.Station = s.ID
			all = append(all, r)
		}
	}
	_, err = db.PutObservations(ctx, all)
	done(b, err)
	done(b, db.PutStations(ctx, stations))
	const n = 500
	var sessions []model.Session
	for i := range n {
		s := entry(1+i*300/n, fmt.Sprintf("A%d", i%40), i%11)
		s.Start, s.End = s.Start.Add(time.Duration(i%8)*time.Minute), s.End.Add(time.Duration(i%8)*time.Minute)
		s.ID = s.DerivedID()
		sessions = append(sessions, s)
	}
	done(b, db.AddImport(ctx, sessions, model.Import{ID: "i-all", At: noon}))
	var anew, again time.Duration
	for b.Loop() {
		for _, s := range sessions {
			stored, version, err := db.Session(ctx, s.ID)
			done(b, err)
			stored.Notes = fmt.Sprint(version)
			done(b, db.ReplaceSession(ctx, stored, version))
		}
		for _, took := range []*time.Duration{&anew, &again} {
			used := processorTime(b)
			counts, err := (&jobs.Joiner{Store: db, Now: func() time.Time { return noon }}).Run(ctx)
			done(b, err)
			*took += processorTime(b) - used
			if want := map[bool]int{true: n, false: 0}[took == &anew]; counts["joined"] != want || counts["without weather"] != 0 {
				b.Fatalf("joined %v, want %d", counts, want)
			}
		}
	}
	each := 1000 / float64(b.N) / n
	b.ReportMetric(anew.Seconds()*each, "cpu-ms/anew")
	b.ReportMetric(again.Seconds()*each, "cpu-ms/again")
}
