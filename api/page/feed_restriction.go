package page

import (
	"fmt"
	"time"

	"osier/model"
)

// spanOf words when a restriction was meant to hold, as it was made, by the clock
// of a zone.
func spanOf(r model.Restriction, zone string) string { return spanIn(r, location(zone)) }

func spanIn(r model.Restriction, zone *time.Location) string {
	if !r.Until.Known {
		return "from " + dayTime(r.From, zone) + " until it is lifted"
	}
	return "from " + dayTime(r.From, zone) + " until " + dayTime(r.Until.Value, zone)
}

// decided says why, and who answers for it.
func decided(r model.Restriction) string {
	return fmt.Sprintf("%s. Decided by %s.", line(r.Reason), line(r.DecidedBy))
}

// lifted says since when it no longer holds, and who answers for that.
func lifted(r model.Restriction, zone string) string { return liftedIn(r, location(zone)) }

func liftedIn(r model.Restriction, zone *time.Location) string {
	return fmt.Sprintf("Lifted on %s: %s. Decided by %s.", dayTime(r.LiftedAt.Value, zone), line(r.LiftedWhy), line(r.LiftedBy))
}
