package caution

import (
	"fmt"
	"time"

	"osier/model"
)

const seenSource = "a report from the water; what is done about it: Environment Agency notices on fish in distress, council pages on blooms, common practice on spawning fish"

// How long a report holds; our choice. A bloom and spawning last for days;
// distress is asked about again after two.
const (
	bloomHolds    = 14 * 24 * time.Hour
	distressHolds = 2 * 24 * time.Hour
	spawningHolds = 7 * 24 * time.Hour
)

// bloom, distress and spawning pass on what somebody saw, which outranks what
// could be computed. Only the fishery or an officer closes a water, so none of
// them strikes hours out.
func bloom(o outing) []finding {
	return o.seen(model.SawBloom, bloomHolds, "A bloom was seen here on %s. If water looks like paint or scum, keep hands and dogs out and tell the club.")
}

func distress(o outing) []finding {
	return o.seen(model.SawDistress, distressHolds, "Fish in distress were seen here on %s. Skip the keepnet, feed little, and tell the club or the agency's incident line if you see it too.")
}

func spawning(o outing) []finding {
	return o.seen(model.SawSpawning, spawningHolds, "Fish were seen spawning here on %s. Leave that bank alone.")
}

// seen is one care for the whole outing when a report of the kind still holds.
func (o outing) seen(kind model.ReportKind, holds time.Duration, text string) []finding {
	var last time.Time
	for _, r := range o.Reports {
		if r.Kind == kind && r.Water == o.Water.ID && r.At.After(last) && !r.At.After(o.Now) && r.At.Add(holds).After(o.From) {
			last = r.At
		}
	}
	if last.IsZero() {
		return nil
	}
	return []finding{o.all(finding{
		level: care, threshold: "seen within " + figure(holds.Hours()/24) + " days of the outing",
		inputs: map[string]float64{"reported_before_h": o.From.Sub(last).Hours()},
		text:   fmt.Sprintf(text, last.In(o.loc).Format("2 January")),
	})}
}
