package caution

import "osier/model"

const spawningSource = "common practice, no source"

// spawning passes on what somebody saw, at once as a care: the bank is to be
// left alone whoever closes it.
func spawning(o *outing) []finding {
	return o.seen(model.SawSpawning, spawningHolds, care, "Fish were seen spawning here on %s. Stop fishing that bank and leave it alone.")
}
