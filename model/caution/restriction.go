package caution

import (
	"fmt"
	"slices"
	"time"

	"osier/model"
)

const (
	closedID             = "closed"
	clubKeepnetsID       = "club_keepnets"
	restrictionThreshold = "a club's decision, as made"
	restrictionTime      = "2 January 2006, 15:04" // it may end weeks ahead
)

// restricted passes on each restriction of a club that holds in the outing, each
// by itself: it is a fact with an author and a time, and is not joined with
// another's as findings of our own are.
func (o *outing) restricted() []model.Caution {
	var cautions []model.Caution
	for _, r := range o.Restrictions {
		if from, until, holds := r.Within(o.From, o.Until); holds && r.Water == o.Water.ID {
			cautions = append(cautions, o.restriction(r, from.In(o.loc), until.In(o.loc)))
		}
	}
	return cautions
}

func (o *outing) restriction(r model.Restriction, from, until time.Time) model.Caution {
	c := model.Caution{From: from, Until: until, Inputs: map[string]float64{}, Threshold: restrictionThreshold, Source: restrictionSource(r)}
	var says string
	switch r.Kind {
	case model.WaterClosed:
		c.ID, c.Level, says = closedID, model.Stop, "has closed this water"
	case model.NoKeepnets:
		c.ID, c.Level, says = clubKeepnetsID, model.Note, "allows no keepnets"
		if o.Keepnet {
			c.Level = model.Care
		}
	case model.FeedLimit:
		c.ID, c.Level, says = "club_feed_limit", model.Care, "allows at most "+figure(float64(r.FeedLimitDryG.Value))+" g of dry feed a day"
		put(c.Inputs, "limit_dry_g", r.FeedLimitDryG)
	}
	c.Text = fmt.Sprintf("%s %s%s: %s. Decided by %s.", r.Club, says, o.restrictionSpan(r), plainLine(r.Reason), r.DecidedBy)
	return c
}

// restrictionSpan words when a restriction holds: by its own times, not only
// within the hours planned, since people plan again.
func (o *outing) restrictionSpan(r model.Restriction) string {
	span := ""
	if r.From.After(o.From) {
		span = " from " + o.date(r.From)
	}
	end := r.Until
	if r.LiftedAt.Known {
		end = r.LiftedAt
	}
	if !end.Known {
		return span + " until it is lifted"
	}
	return span + " until " + o.date(end.Value)
}

// date names a day and an hour by the clock at the water, and the zone where that
// clock is not known.
func (o *outing) date(t time.Time) string {
	if o.loc == time.UTC {
		return t.UTC().Format(restrictionTime + " MST")
	}
	return t.In(o.loc).Format(restrictionTime)
}

// restrictionSource names the restriction, so that a plan read again can tell
// which of them it knew.
func restrictionSource(r model.Restriction) string {
	return "restriction " + r.ID + " of " + r.Club
}

// FeedLimitDryG is the most dry feed of a day, in grams, for hours at a water: the
// least of the water's own limit and of those that clubs set for any part of the
// hours. Not known where there is none.
func (a Around) FeedLimitDryG(w model.Water, from, until time.Time) model.Maybe[model.Grams] {
	limit := w.FeedLimitDryG
	for _, r := range a.Restrictions {
		_, _, holds := r.Within(from, until)
		if holds && r.Water == w.ID && r.Kind == model.FeedLimit && (!limit.Known || r.FeedLimitDryG.Value < limit.Value) {
			limit = r.FeedLimitDryG
		}
	}
	return limit
}

// SinceIssued is what clubs decided about the hours of a plan that the plan does
// not say: the restrictions made since it was issued, and notes of those it names
// that were lifted since. Which it knew is told by what it says, not by clocks.
// The restrictions are those made for its water and hours, lifted or not.
func SinceIssued(p model.Plan, w model.Water, restrictions []model.Restriction) []model.Caution {
	var since []model.Caution
	for _, r := range restrictions {
		o := newOuting(Input{Water: w, From: p.Start, Until: p.Question.End(), Around: Around{Keepnet: p.Question.Keepnet, Restrictions: []model.Restriction{r}}})
		known := slices.IndexFunc(p.Cautions, func(c model.Caution) bool { return c.Source == restrictionSource(r) })
		if known < 0 {
			for _, c := range o.restricted() {
				c.Text += " This was decided after the plan was issued: ask for a new plan."
				since = append(since, c)
			}
		} else if lifted, is := o.lifted(r, p.Cautions[known]); is {
			since = append(since, lifted)
		}
	}
	inOrder(since)
	return since
}

// lifted notes that a restriction which a plan names no longer holds in some of
// the hours for which the plan says so.
func (o *outing) lifted(r model.Restriction, told model.Caution) (model.Caution, bool) {
	if !r.LiftedAt.Known || !r.LiftedAt.Value.Before(told.Until) {
		return told, false
	}
	from := told.From
	if r.LiftedAt.Value.After(from) {
		from = r.LiftedAt.Value.In(o.loc)
	}
	return model.Caution{
		ID: "restriction_lifted", Level: model.Note, From: from, Until: told.Until, Inputs: map[string]float64{}, Threshold: restrictionThreshold, Source: told.Source,
		Text: fmt.Sprintf("%s lifted a restriction that this plan names (%s) on %s: %s. Decided by %s. Ask for a new plan.", r.Club, told.ID, o.date(r.LiftedAt.Value), plainLine(r.LiftedWhy), r.LiftedBy),
	}, true
}
