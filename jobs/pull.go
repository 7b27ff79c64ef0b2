package jobs

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"osier/jobs/feed"
	"osier/model"
)

// PullStore is what pulling reads, and where weather is kept.
type PullStore interface {
	StateStore
	FeedState(ctx context.Context, url string) (json.RawMessage, error)
	PutFeedState(ctx context.Context, url string, nextAttempt time.Time, state json.RawMessage) error
	PutStations(ctx context.Context, stations []model.Station) error
	PutObservations(ctx context.Context, observations []model.Observation) (changed int, err error)
	PutForecast(ctx context.Context, f model.Forecast) error
	ConfirmForecast(ctx context.Context, source string, latDeg, lonDeg float64, at time.Time) error
	PutWarnings(ctx context.Context, a model.WarningsAnswer) error
	ConfirmWarnings(ctx context.Context, source string, latDeg, lonDeg float64, at time.Time) error
}

// Puller asks the feeds for the weather and the official warnings of the waters,
// no oftener than they allow. What is remembered of each address is in the store,
// so a restart does not ask again.
type Puller struct {
	Store  PullStore
	Client *feed.Client
	Now    func() time.Time
	Log    *slog.Logger
	// Warn is told what in an answer could not be used; may be nil.
	Warn func(warning string)
	// Progress is told of each request done, of all that are known of so far;
	// may be nil.
	Progress func(done, all int)
}

// Run pulls the present weather of the waters. One feed that fails does not
// keep the others from being asked; what was stored before stays, and the
// errors come back together. A feed's questions are made up when its turn comes,
// since they may rest on what the one before it answered. Where the models of the
// waters stood in the settled past is stored at the end, so that no answer has to.
func (p *Puller) Run(ctx context.Context, waters []model.Water) (map[string]int, error) {
	counts := map[string]int{"requests": 0, "observations": 0, "forecasts": 0, "official warnings": 0, "warnings": 0}
	var faults []error
	done := 0
	for _, f := range feeds() {
		requests, err := f.ask(ctx, p.Store, waters, p.Now())
		if err != nil {
			faults = append(faults, fmt.Errorf("pull %s: %w", f.name, err))
		}
		for i, r := range requests {
			kind, err := p.one(ctx, f, r, waters, counts, func(body []byte) (parsed, error) { return f.parse(body, r, p.Now()) })
			if kind == confirmed && f.confirm != nil {
				err = errors.Join(err, f.confirm(p.Store, ctx, f.name, r.lat, r.lon, p.Now()))
			}
			if err != nil {
				faults = append(faults, fmt.Errorf("pull %s: %w", f.name, err))
			}
			p.progress(done+i+1, done+len(requests))
		}
		done += len(requests)
	}
	for _, w := range waters {
		n, err := keepStates(ctx, p.Store, w, p.Now())
		if err != nil {
			faults = append(faults, fmt.Errorf("keep where the model of %s stands: %w", w.ID, err))
		}
		counts["water states"] += n
	}
	return counts, errors.Join(faults...)
}

func (p *Puller) progress(done, all int) {
	if p.Progress != nil {
		p.Progress(done, all)
	}
}

// outcome is what asking one address came to, for the caller.
type outcome string

const (
	confirmed outcome = "confirmed" // the feed says that what is stored is current
	settled   outcome = "settled"   // anything else
)

// one asks for one address and keeps what came: the weather first, and only
// then that it was asked, so that a crash between the two asks again and loses
// nothing. A feed whose budget of the day is used up is not asked.
func (p *Puller) one(ctx context.Context, f source, r request, waters []model.Water, counts map[string]int, parse func([]byte) (parsed, error)) (outcome, error) {
	today, err := p.spentToday(ctx, f.name)
	if err != nil {
		return settled, err
	}
	if today.Asked >= f.budget {
		counts["over budget"]++
		return settled, nil
	}
	before, err := remembered(ctx, p.Store, r.URL)
	if err != nil {
		return settled, err
	}
	kind := settled
	result, after := p.Client.Get(ctx, r.Request, before)
	if result.Asked {
		counts["requests"]++
		if err := p.spend(ctx, f.name, today); err != nil {
			return settled, err
		}
	}
	var fault error
	switch result.Kind {
	case feed.Fresh:
		if fault = p.keep(ctx, result.Body, waters, counts, parse); fault != nil {
			if model.CodeOf(fault) == model.Unavailable {
				return settled, fault
			}
			after = p.Client.Reject(before, after, fault.Error())
		}
	case feed.Unchanged:
		if result.Asked {
			kind = confirmed
		}
	case feed.Gone: // the feed has nothing for this place, which is no failure
		counts["nothing there"]++
	default:
		fault = result.Err
	}
	if result.Deprecated {
		p.Log.Warn("feed says that this product is on its way out", "url", r.URL)
	}
	state, err := json.Marshal(after)
	if err != nil {
		return kind, errors.Join(fault, fmt.Errorf("remember %s: %w", r.URL, err))
	}
	return kind, errors.Join(fault, p.Store.PutFeedState(ctx, r.URL, after.NextAttempt, state))
}

// remembered is what is known of an address from the calls before.
func remembered(ctx context.Context, s PullStore, url string) (feed.State, error) {
	var state feed.State
	body, err := s.FeedState(ctx, url)
	if err != nil || body == nil {
		return state, err
	}
	if err := json.Unmarshal(body, &state); err != nil {
		return state, fmt.Errorf("read what is remembered of %s: %w", url, err)
	}
	return state, nil
}

// keep reads an answer and stores what of it lies within reach of a water.
func (p *Puller) keep(ctx context.Context, body []byte, waters []model.Water, counts map[string]int, parse func([]byte) (parsed, error)) error {
	got, err := parse(body)
	if err != nil {
		return err
	}
	counts["warnings"] += len(got.warnings)
	for _, w := range got.warnings {
		if p.Warn != nil {
			p.Warn(w)
		}
	}
	stations := withinReach(got.stations, waters)
	if len(stations) > 0 {
		if err := p.Store.PutStations(ctx, stations); err != nil {
			return err
		}
	}
	wanted := map[string]bool{}
	for _, s := range stations {
		wanted[model.StationKey(s.Source, s.ID)] = true
	}
	var observations []model.Observation
	for _, o := range got.observations {
		if got.modelled || wanted[model.StationKey(o.Source, o.Station)] {
			observations = append(observations, o)
		}
	}
	changed, err := p.Store.PutObservations(ctx, observations)
	if err != nil {
		return err
	}
	counts["observations"] += changed
	if got.forecast != nil {
		if err := p.Store.PutForecast(ctx, *got.forecast); err != nil {
			return err
		}
		counts["forecasts"]++
	}
	if got.official != nil {
		if err := p.Store.PutWarnings(ctx, *got.official); err != nil {
			return err
		}
		counts["official warnings"] += len(got.official.Warnings)
	}
	return nil
}

// withinReach keeps each station once that serves one of the waters.
func withinReach(stations []model.Station, waters []model.Water) []model.Station {
	var out []model.Station
	seen := map[string]bool{}
	for _, w := range waters {
		for _, n := range model.Near(w, stations) {
			if key := model.StationKey(n.Source, n.ID); !seen[key] {
				seen[key] = true
				out = append(out, n.Station)
			}
		}
	}
	return out
}
