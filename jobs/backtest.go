package jobs

import (
	"context"
	"fmt"
	"time"

	"osier/model"
	"osier/model/activity"
)

// BacktestWeather says of sessions in a backtest by which weather they were
// forecast, so many of them by that forecast before they began.
func BacktestWeather(asForecast, asObserved int) string {
	const everybody = "from everybody's records, where a plan reads the public ones and its angler's own: real plans fare worse."
	switch {
	case asForecast == 0:
		return "Made with the weather as observed, which a forecast never had, and " + everybody
	case asObserved == 0:
		return "Made with the weather as forecast then, and " + everybody
	}
	return fmt.Sprintf("Made with the weather as forecast then for %d sessions and as observed, which a forecast never had, for %d of which no forecast was kept, and %s", asForecast, asObserved, everybody)
}

// keptAtTheTime is how long after its session a record may be entered and be
// taken to have been known from then. One that came later, as a file of past
// years does, is taken as known from its end: the backtest asks how plans would
// have fared had the records been kept. Our choice.
const keptAtTheTime = 31 * 24 * time.Hour

// Backtester forecasts sessions that are over from those before them.
type Backtester struct {
	Store interface {
		Joined(ctx context.Context) ([]model.JoinedSession, error)
	}
	// Progress, when set, hears what is being done and how far it is.
	Progress func(what string, done, all int)
}

// GroupBacktest is how the model of one group fares beside the references, or,
// where the group is empty, those of all groups together.
type GroupBacktest struct {
	Group   model.Group `json:"group"`
	Weather string      `json:"weather"` // BacktestWeather of the two counts
	// AsForecast are the sessions by the weather as forecast then, AsObserved
	// those of which no forecast was kept.
	AsForecast int `json:"sessions_as_forecast"`
	AsObserved int `json:"sessions_as_observed"`
	// Records are the sessions learnt from; EnteredLater those of them that were
	// entered long after and are taken as known from their end.
	Records      int `json:"records"`
	EnteredLater int `json:"entered_later"`
	// Rolling forecasts each month from what was known when it began; the other
	// two each water, and each angler, from all others.
	Rolling   activity.Evaluation `json:"rolling_origin"`
	WaterOut  activity.Evaluation `json:"leave_one_water_out"`
	AnglerOut activity.Evaluation `json:"leave_one_angler_out"`
	Climbs    int                 `json:"fits_with_spread"`
	Updates   int                 `json:"fits_at_held_spread"`
}

// Run backtests every group of which there is a record, in their order, and
// sums them up where there are several.
func (b *Backtester) Run(ctx context.Context) ([]GroupBacktest, error) {
	joined, err := b.Store.Joined(ctx)
	if err != nil {
		return nil, err
	}
	sessions, err := datedRecords(joined)
	if err != nil {
		return nil, err
	}
	out := []GroupBacktest{}
	var all GroupBacktest
	var scored scoredWays
	for _, g := range model.Groups() {
		if len(sessions[g]) == 0 {
			continue
		}
		one := GroupBacktest{Group: g, Records: len(sessions[g])}
		one.AsForecast, one.AsObserved = byBasis(joined, g)
		ways, err := b.group(ctx, &one, sessions[g])
		if err != nil {
			return nil, err
		}
		one.evaluate(ways)
		out = append(out, one)
		all.Records, all.EnteredLater = all.Records+one.Records, all.EnteredLater+one.EnteredLater
		all.AsForecast, all.AsObserved = all.AsForecast+one.AsForecast, all.AsObserved+one.AsObserved
		all.Climbs, all.Updates = all.Climbs+one.Climbs, all.Updates+one.Updates
		for i := range scored {
			scored[i] = append(scored[i], ways[i]...)
		}
	}
	if len(out) > 1 {
		all.evaluate(scored)
		out = append(out, all)
	}
	return out, nil
}

// byBasis counts the sessions of a group that fits may read by the weather they
// are read with.
func byBasis(joined []model.JoinedSession, g model.Group) (asForecast, asObserved int) {
	for _, j := range joined {
		switch {
		case !j.Use || j.Group != g:
		case j.Basis == model.AsForecast:
			asForecast++
		default:
			asObserved++
		}
	}
	return asForecast, asObserved
}

// scoredWays are the forecasts month by month, leaving out waters, and leaving
// out anglers.
type scoredWays [3][]activity.ScoredForecast

func (g *GroupBacktest) evaluate(scored scoredWays) {
	g.Weather = BacktestWeather(g.AsForecast, g.AsObserved)
	for i, into := range []*activity.Evaluation{&g.Rolling, &g.WaterOut, &g.AnglerOut} {
		*into = activity.Evaluate(scored[i], activity.ReferenceNames())
	}
}

func (b *Backtester) group(ctx context.Context, g *GroupBacktest, sessions []activity.DatedRecord) (scored scoredWays, err error) {
	for i := range sessions {
		if sessions[i].KnownFrom.Sub(sessions[i].End) > keptAtTheTime {
			sessions[i].KnownFrom = sessions[i].End
			g.EnteredLater++
		}
	}
	for i, way := range []struct {
		what string
		run  func(string, []activity.DatedRecord, func(done, all int)) (activity.Backtest, error)
	}{
		{"month by month", activity.RollingOrigin},
		{"leaving out waters", activity.LeaveOneWaterOut},
		{"leaving out anglers", activity.LeaveOneAnglerOut},
	} {
		if err := ctx.Err(); err != nil {
			return scored, err
		}
		test, err := way.run(string(g.Group), sessions, b.heard(fmt.Sprintf("%s, %s", g.Group, way.what)))
		if err != nil {
			return scored, err
		}
		scored[i] = test.Scored
		g.Climbs += test.Climbs
		g.Updates += test.Updates
	}
	return scored, nil
}

func (b *Backtester) heard(what string) func(done, all int) {
	if b.Progress == nil {
		return nil
	}
	return func(done, all int) { b.Progress(what, done, all) }
}
