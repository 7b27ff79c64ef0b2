package jobs_test

import (
	"fmt"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

// One answer for the next four hours at a water with six stations that report
// twice an hour: the model spun up for it, and gone on from where it stood.
func BenchmarkConditions(b *testing.B) {
	db, err := store.OpenSQLite(b.Context(), b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	if err := db.PutWater(b.Context(), reedmere); err != nil {
		b.Fatal(err)
	}
	last := noon.Truncate(time.Hour)
	for s := range 6 {
		id := fmt.Sprintf("AAA%d", s)
		station := model.Station{ID: id, Source: "awc", LatDeg: 52.3 + float64(s)/20, LonDeg: -0.9, ElevationM: model.Known[model.Metres](80)}
		if err := db.PutStations(b.Context(), []model.Station{station}); err != nil {
			b.Fatal(err)
		}
		var reports []model.Observation
		for at := last.AddDate(0, 0, -80); !at.After(last); at = at.Add(30 * time.Minute) {
			r := report(at)
			r.Station = id
			reports = append(reports, r)
		}
		if _, err := db.PutObservations(b.Context(), reports); err != nil {
			b.Fatal(err)
		}
	}
	bench := &bench{db: db, now: noon}
	planner := jobs.Planner{Store: db, Now: bench.clock}
	answer := func(b *testing.B) {
		for b.Loop() {
			if _, err := planner.Conditions(b.Context(), "reedmere", noon, noon.Add(4*time.Hour)); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.Run("spun up", answer)
	p, _, _ := puller(b, bench, nil)
	_, _ = p.Run(b.Context(), []model.Water{reedmere}) // no feed is in reach
	b.Run("from the stored state", answer)
}
