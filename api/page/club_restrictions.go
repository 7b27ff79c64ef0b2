package page

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"osier/model"
)

// restrictionView is what a club decided, as it is read at a water.
type restrictionView struct {
	ID     string
	What   string // Closed
	When   string // from and until when
	Reason string
	By     string // who decided, and when
	Lifted string // by whom, when and why, where it was lifted
	Now    bool   // in force
	ToCome bool   // not yet
	Closed bool   // it closes the water
}

// viewRestriction writes times by the clock at the water.
func viewRestriction(r model.Restriction, zone *time.Location, at time.Time) restrictionView {
	v := restrictionView{ID: r.ID, What: restrictionWords(r), Reason: r.Reason, Closed: r.Kind == model.WaterClosed}
	until := "until it is lifted"
	if r.Until.Known {
		until = "until " + moment(r.Until.Value.In(zone))
	}
	v.When = "from " + moment(r.From.In(zone)) + " " + until
	v.By = "decided by " + r.DecidedBy
	if !r.MadeAt.IsZero() {
		v.By += " on " + moment(r.MadeAt.In(zone))
	}
	if r.LiftedAt.Known {
		v.Lifted = fmt.Sprintf("lifted by %s on %s: %s", r.LiftedBy, moment(r.LiftedAt.Value.In(zone)), r.LiftedWhy)
	}
	_, _, v.Now = r.Within(at, at.Add(time.Second))
	v.ToCome = r.From.After(at)
	return v
}

// viewRestrictions are those of one water that hold now or will, closures first
// and then by when they begin.
func viewRestrictions(all []model.Restriction, water string, zone *time.Location, at time.Time) []restrictionView {
	var out []restrictionView
	for _, r := range sortedRestrictions(all) {
		if _, _, holds := r.Within(at, endOfTime); holds && r.Water == water {
			out = append(out, viewRestriction(r, zone, at))
		}
	}
	return out
}

// endOfTime is later than any restriction that may be made.
var endOfTime = time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)

// sortedRestrictions puts closures first, and then what begins first.
func sortedRestrictions(all []model.Restriction) []model.Restriction {
	order := []model.RestrictionKind{model.WaterClosed, model.NoKeepnets, model.FeedLimit}
	return slices.SortedStableFunc(slices.Values(all), func(a, b model.Restriction) int {
		return cmp.Or(slices.Index(order, a.Kind)-slices.Index(order, b.Kind), a.From.Compare(b.From))
	})
}

// location loads the zone of a water or a club, UTC where it cannot be.
func location(zone string) *time.Location {
	if at, err := (model.Water{Zone: zone}).Location(); err == nil {
		return at
	}
	return time.UTC
}
