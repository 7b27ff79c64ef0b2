package jobs

import (
	"context"
	"fmt"
	"slices"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/plan"
)

// seasonBack is how much of a water's own history a season plan reads; our
// choice, so that the answer is there within a second or so.
const seasonBack = 365 * 24 * time.Hour

// seasonHours bounds the session that the chance of a blank is given for.
const seasonHours = 24.0

// Season lays a water's year out month by month, for the groups named or, with
// none named, for all that it holds.
func (p *Planner) Season(ctx context.Context, id string, groups []model.Group, hours float64) (model.SeasonPlan, error) {
	w, err := p.Store.Water(ctx, id)
	if err != nil {
		return model.SeasonPlan{}, err
	}
	if !(hours > 0 && hours <= seasonHours) {
		return model.SeasonPlan{}, model.Invalidf("hours", "give the hours of a session, above 0 and at most 24", "%v is none", hours)
	}
	for _, g := range groups {
		if !w.Holds(g) {
			return model.SeasonPlan{}, model.Invalidf("group", fmt.Sprintf("name a group that is present: %v", w.Groups), "%s is not recorded at %s", g, w.ID)
		}
	}
	if len(groups) == 0 {
		groups = w.Groups
	}
	now := p.Now()
	in := plan.SeasonInput{Water: w, Now: now, Groups: groups, Hours: hours, Fits: map[model.Group]activity.Fit{}}
	fit, err := fitInForce(ctx, p.Store, "", now)
	if err != nil {
		return model.SeasonPlan{}, err
	}
	in.FitID = fit.id
	for _, g := range groups {
		in.Fits[g] = fit.fits[g]
	}
	if in.Past, in.Credits, err = p.past(ctx, w, now); err != nil {
		return model.SeasonPlan{}, err
	}
	return plan.Season(in)
}

// past is the water's own last year, read in stretches so that not all its
// weather is held at once, with what the licences of its feeds ask to be said.
func (p *Planner) past(ctx context.Context, w model.Water, now time.Time) (hours []plan.PastHour, credits []string, err error) {
	for from := now.Add(-seasonBack); from.Before(now); from = from.Add(longestRun) {
		to := from.Add(longestRun)
		if to.After(now) {
			to = now
		}
		weather, err := loadWeather(ctx, p.Store, w, "", from, to, now)
		if err != nil {
			return nil, nil, err
		}
		hours = append(hours, weather.history.Past(from, to)...)
		credits = append(credits, weather.credits...)
	}
	slices.Sort(credits)
	return hours, slices.Compact(credits), nil
}
