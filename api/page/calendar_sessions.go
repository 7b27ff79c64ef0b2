package page

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"osier/model"
)

// PlannedSessions are what one angler means to fish: the plans issued to them.
type PlannedSessions struct {
	Angler       string
	Plans        []model.Plan        // in any order
	Restrictions []model.Restriction // made for their waters, those lifted among them
	Zones        map[string]string   // of those waters, IANA names by identifier
	Site         string              // as in ClubWord
	Demo         bool
}

// outing is a water and the instant at which somebody means to begin there. Asked
// about again, it is the same outing with a newer plan.
type outing struct {
	water string
	start int64
}

// SessionCalendar is an angler's own calendar: when they mean to fish, where, and
// with what. Each outing is told by the newest plan for it, and by what clubs
// decided since about its hours.
func SessionCalendar(p PlannedSessions) ([]byte, error) {
	plans := slices.Clone(p.Plans)
	slices.SortStableFunc(plans, func(a, b model.Plan) int { return cmp.Or(a.IssuedAt.Compare(b.IssuedAt), cmp.Compare(a.ID, b.ID)) })
	of, order := map[outing][]model.Plan{}, []outing{}
	for _, plan := range plans {
		key := outing{plan.Water, plan.Start.Unix()}
		if of[key] == nil {
			order = append(order, key)
		}
		of[key] = append(of[key], plan)
	}
	c := calendar{uid: uuid("osier sessions", p.Angler), name: titled(p.Demo, "Planned sessions of "+line(p.Angler)), since: time.Unix(0, 0), demo: p.Demo}
	if len(plans) > 0 {
		c.since = plans[0].IssuedAt
	}
	for _, key := range order {
		c.events = append(c.events, p.planned(of[key]))
	}
	return writeCalendar(c)
}

// planned is an outing as an event, by its plans from the first to the newest:
// what to take and what to heed, and no word of which hour may be better.
func (p PlannedSessions) planned(plans []model.Plan) event {
	plan := plans[len(plans)-1]
	name := cmp.Or(line(plan.WaterName), plan.Water)
	e := event{
		uid: uuid("osier session", p.Angler, plan.Water, stamp(plan.Start)), start: plan.Start, end: plan.Question.End(),
		title: "Fishing at " + name, place: name, link: p.Site + PlanPath(plan.ID), kind: "session", own: true,
		made: plans[0].IssuedAt, revised: plan.IssuedAt, sequence: len(plans) - 1,
	}
	for _, r := range p.Restrictions {
		e.text += e.restrict(r, plan, location(p.Zones[plan.Water]))
	}
	e.text += fmt.Sprintf("For %s: feed %s, %.0f g/h damp, %.0f g in all; %s feeder of %.0f ml.",
		groupWords(plan.Group), line(plan.Feed.Level), float64(plan.Feed.RateGH), float64(plan.Feed.TotalDampG), strings.ReplaceAll(line(plan.Feeder.Type), "_", " "), float64(plan.Feeder.CapacityMl))
	for _, c := range plan.Cautions {
		if c.Level == model.Stop || c.Level == model.Care {
			e.text += fmt.Sprintf("\n%s: %s", c.Level, line(c.Text))
		}
	}
	e.text += "\n" + model.Deferral
	e.title = titled(p.Demo || plan.Demo, e.title)
	return e
}

// restrict counts what of a restriction changed since the outing was first
// planned, and gives the words for what the newest plan cannot know of it.
func (e *event) restrict(r model.Restriction, plan model.Plan, zone *time.Location) (says string) {
	asMade := r
	asMade.LiftedAt = model.Maybe[time.Time]{}
	if _, _, meant := asMade.Within(e.start, e.end); !meant || r.Water != plan.Water {
		return ""
	}
	for _, at := range []model.Maybe[time.Time]{model.Known(r.MadeAt), r.LiftedAt} {
		if at.Known && at.Value.After(e.made) {
			e.sequence, e.revised = e.sequence+1, latest(e.revised, at.Value)
		}
	}
	switch _, _, holds := r.Within(e.start, e.end); {
	case holds && r.MadeAt.After(plan.IssuedAt):
		if r.Kind == model.WaterClosed {
			e.title = "Closed since: " + e.title
		}
		return fmt.Sprintf("Since this plan: %s %s: %s\n", r.What(), spanIn(r, zone), decided(r))
	case !holds && r.MadeAt.Before(plan.IssuedAt) && r.LiftedAt.Value.After(plan.IssuedAt), !holds && r.MadeAt.After(plan.IssuedAt):
		return fmt.Sprintf("Since this plan: %s %s. %s\n", r.What(), spanIn(r, zone), liftedIn(r, zone))
	}
	return ""
}
