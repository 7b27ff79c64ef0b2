package feeder

// Group is the kind of fish the feed is meant for.
type Group string

// The three groups.
const (
	Silver Group = "silver" // Roach, rudd, skimmers and other small shoal fish.
	Bream  Group = "bream"  // Bream and better skimmers.
	Carp   Group = "carp"   // Carp and their hybrids, crucians, tench.
)

// Groups lists every group in the order the tables print them.
func Groups() []Group { return []Group{Silver, Bream, Carp} }

// Known says whether the group is one of the three that the tables cover.
func (g Group) Known() bool {
	switch g {
	case Silver, Bream, Carp:
		return true
	}
	return false
}
