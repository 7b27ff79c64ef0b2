package storetest

import (
	"testing"
	"time"

	"osier/model"
)

func forecasts(t *testing.T, s Store) {
	ctx := t.Context()
	issue := func(h int) model.Forecast {
		return forecast(noon.Add(time.Duration(h)*time.Hour), noon.Add(time.Duration(h)*time.Hour+20*time.Minute))
	}
	for _, h := range []int{6, 0, 12} {
		done(t, s.PutForecast(ctx, issue(h)))
	}
	elsewhere := issue(0)
	elsewhere.LatDeg = 52.51
	done(t, s.PutForecast(ctx, elsewhere))
	for _, c := range []struct {
		name  string
		at    time.Time
		limit int
		want  []model.Forecast
	}{
		{"all, the newest first", noon.Add(24 * time.Hour), 9, []model.Forecast{issue(12), issue(6), issue(0)}},
		{"the newest two", noon.Add(24 * time.Hour), 2, []model.Forecast{issue(12), issue(6)}},
		{"issued, but fetched only later", noon.Add(12*time.Hour + 10*time.Minute), 9, []model.Forecast{issue(6), issue(0)}},
		{"at the moment of fetching", noon.Add(6*time.Hour + 20*time.Minute), 9, []model.Forecast{issue(6), issue(0)}},
		{"before any", noon, 9, nil},
	} {
		list, err := s.Forecasts(ctx, 52.5, -0.75, c.at, c.limit)
		wantSame(t, c.name, c.want, got(t, list, err))
	}
	// A feed that issues often does not crowd out one that issues seldom.
	for h := 13; h < 18; h++ {
		often := issue(h)
		often.Source = "often"
		done(t, s.PutForecast(ctx, often))
	}
	list, err := s.Forecasts(ctx, 52.5, -0.75, noon.Add(48*time.Hour), 2)
	var sources []string
	for _, f := range got(t, list, err) {
		sources = append(sources, f.Source)
	}
	wantSame(t, "two of each", []string{"often", "often", "grid", "grid"}, sources)
}

// A plan is judged by what was known when it was made: fetching an issue again
// must neither change it nor move the moment from which it was known.
func forecastImmutable(t *testing.T, s Store) {
	ctx := t.Context()
	first, again := forecast(noon, noon.Add(time.Minute)), forecast(noon, noon.Add(time.Hour))
	again.Hours[0].AirC = model.Known[model.Celsius](9)
	done(t, s.PutForecast(ctx, first))
	done(t, s.PutForecast(ctx, again))
	list, err := s.Forecasts(ctx, 52.5, -0.75, noon.Add(2*time.Minute), 9)
	wantSame(t, "as known before it was fetched again", []model.Forecast{first}, got(t, list, err))
	first.ConfirmedAt = again.FetchedAt
	list, err = s.Forecasts(ctx, 52.5, -0.75, noon.Add(2*time.Hour), 9)
	wantSame(t, "as known after", []model.Forecast{first}, got(t, list, err))
}

func forecastConfirmed(t *testing.T, s Store) {
	ctx := t.Context()
	old, newest := forecast(noon, noon), forecast(noon.Add(time.Hour), noon.Add(time.Hour))
	done(t, s.PutForecast(ctx, old))
	done(t, s.PutForecast(ctx, newest))
	confirmed := noon.Add(4 * time.Hour)
	done(t, s.ConfirmForecast(ctx, "grid", 52.5, -0.75, confirmed))
	done(t, s.ConfirmForecast(ctx, "grid", 52.5, -0.75, noon.Add(3*time.Hour))) // late, and takes nothing back
	list, err := s.Forecasts(ctx, 52.5, -0.75, confirmed.Add(-time.Second), 9)
	wantSame(t, "as known before", []model.Forecast{newest, old}, got(t, list, err))
	newest.ConfirmedAt = confirmed
	list, err = s.Forecasts(ctx, 52.5, -0.75, confirmed, 9)
	wantSame(t, "as known then", []model.Forecast{newest, old}, got(t, list, err))
	before := revision(t, s)
	done(t, s.ConfirmForecast(ctx, "grid", 10, 10, confirmed)) // a cell never asked for
	if after := revision(t, s); after != before {
		t.Errorf("revision %d, want %d: nothing was confirmed", after, before)
	}
}
