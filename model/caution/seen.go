package caution

import (
	"fmt"
	"math"
	"time"

	"osier/model"
)

// How long a report holds; our choice. A bloom and spawning last for days;
// distress is asked about again after two.
const (
	bloomHolds    = 14 * 24 * time.Hour
	distressHolds = 2 * 24 * time.Hour
	spawningHolds = 7 * 24 * time.Hour
	invasiveHolds = 14 * 24 * time.Hour
)

// seen is one finding for the whole outing when a report of the kind still
// holds. What somebody saw outranks what could be computed.
func (o *outing) seen(kind model.ReportKind, holds time.Duration, l level, text string) []finding {
	last, ok := o.lastReport(kind, o.Water.ID, holds)
	if !ok {
		return nil
	}
	return []finding{o.all(finding{
		level: l, badness: math.Inf(1), threshold: "seen within " + figure(holds.Hours()/24) + " days of the outing",
		inputs: map[string]float64{"reported_before_h": o.From.Sub(last).Hours()},
		text:   fmt.Sprintf(text, last.In(o.loc).Format("2 January")),
	})}
}

// lastReport finds the newest report of a kind that holds into the outing. One
// dated ahead of now cannot have been seen.
func (o *outing) lastReport(kind model.ReportKind, water string, holds time.Duration) (last time.Time, ok bool) {
	for _, r := range o.Reports {
		if r.Kind == kind && r.Water == water && r.At.After(last) && !r.At.After(o.Now) && r.At.Add(holds).After(o.From) {
			last, ok = r.At, true
		}
	}
	return last, ok
}
