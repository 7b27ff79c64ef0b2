package main

import (
	"context"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

// figuresWithin is how long the figures wait for the store; our choice, well
// within the ten seconds that a scrape is usually given.
const figuresWithin = 2 * time.Second

// figuresOf are the figures of a store: its pools, whether it answers, and the
// fit in force.
func figuresOf(db *store.DB, now func() time.Time) []prometheus.Collector {
	writer, readers := db.Pools()
	fit := func(ctx context.Context) (jobs.FitFigures, error) { return jobs.PublicFitFigures(ctx, db, now()) }
	return []prometheus.Collector{
		collectors.NewDBStatsCollector(writer, "writer"),
		collectors.NewDBStatsCollector(readers, "readers"),
		storeFigures{answers: db.Ping, fit: fit},
	}
}

var (
	storeUp      = prometheus.NewDesc("osier_store_up", "1 when the store answered for reading and writing as these figures were asked for, else 0.", nil, nil)
	fitSessions  = prometheus.NewDesc("osier_fit_sessions", "Sessions that the public fit in force read, by group.", []string{"group"}, nil)
	fitConverged = prometheus.NewDesc("osier_fit_converged", "1 when the public fit in force converged, else 0.", nil, nil)
	fitMade      = prometheus.NewDesc("osier_fit_made_timestamp_seconds", "When the public fit in force was made; its age is the time since. Missing while there is none but the prior.", nil, nil)
)

// storeFigures reads the store each time that the figures are asked for. They
// name no angler: of fits they tell of the public one alone.
type storeFigures struct {
	answers func(context.Context) error
	fit     func(context.Context) (jobs.FitFigures, error)
}

// Describe lists the figures.
func (storeFigures) Describe(to chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{storeUp, fitSessions, fitConverged, fitMade} {
		to <- d
	}
}

// Collect reads them. While the store does not answer the fit is not told of.
func (s storeFigures) Collect(to chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), figuresWithin)
	defer cancel()
	err := s.answers(ctx)
	to <- prometheus.MustNewConstMetric(storeUp, prometheus.GaugeValue, oneIf(err == nil))
	if err != nil {
		return
	}
	fit, err := s.fit(ctx)
	if err != nil {
		return
	}
	for _, g := range model.Groups() {
		to <- prometheus.MustNewConstMetric(fitSessions, prometheus.GaugeValue, float64(fit.Sessions[g]), string(g))
	}
	to <- prometheus.MustNewConstMetric(fitConverged, prometheus.GaugeValue, oneIf(fit.Converged))
	if fit.MadeAt.Known {
		to <- prometheus.MustNewConstMetric(fitMade, prometheus.GaugeValue, float64(fit.MadeAt.Value.Unix()))
	}
}

func oneIf(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}
