package feeder

import (
	"fmt"
	"strings"
)

// takeFor lists what to put in the bag: dry groundbait, the feeder with one
// either side of it, hook lengths and baits. A second hook length and a second
// bait are there so that something can be compared.
func takeFor(vs []vessel, p Plan) []string {
	return []string{
		fmt.Sprintf("%.0f g of dry groundbait to mix, %s", p.Feed.MixDryG, p.Season.Groundbait),
		"particles: " + p.Season.Particles,
		feedersToTake(vs, p),
		fmt.Sprintf("hook lengths of %g and %g cm, %g-%g lb, hooks %d to %d",
			p.Hook.LengthLowCm, p.Hook.LengthHighCm, p.Hook.StrengthLowLb, p.Hook.StrengthHighLb,
			p.Hook.SmallestSize, p.Hook.LargestSize),
		"hook baits: " + strings.Join(p.Season.HookBaits, ", "),
	}
}

// feedersToTake names the chosen feeder and the sizes either side of it.
func feedersToTake(vs []vessel, p Plan) string {
	line := fmt.Sprintf("the %s feeder of %g ml", p.Feeder.Step, p.Feeder.CapacityMl)
	if p.Cast.WeightG > 0 {
		line += fmt.Sprintf(", %g g", p.Cast.WeightG)
	}
	var sides []string
	for i, v := range vs {
		if v.capacityMl != p.Feeder.CapacityMl {
			continue
		}
		if i > 0 {
			sides = append(sides, fmt.Sprintf("%s of %g ml", vs[i-1].step, vs[i-1].capacityMl))
		}
		if i+1 < len(vs) {
			sides = append(sides, fmt.Sprintf("%s of %g ml", vs[i+1].step, vs[i+1].capacityMl))
		}
	}
	if len(sides) == 0 {
		return line
	}
	return line + ", and one either side: " + strings.Join(sides, " and ")
}
