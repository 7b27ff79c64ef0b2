package model

import "slices"

// Group is what the angler fishes for.
type Group string

// The target groups: roach, rudd, skimmers and other small shoal fish; bream
// and better skimmers; carp, crucians and tench.
const (
	Silver Group = "silver"
	Bream  Group = "bream"
	Carp   Group = "carp"
)

// Groups lists the groups in the order they are shown.
func Groups() []Group { return []Group{Silver, Bream, Carp} }

// Validate refuses anything that is not one of the groups.
func (g Group) Validate(field string) error {
	if slices.Contains(Groups(), g) {
		return nil
	}
	return Invalidf(field, "give silver, bream or carp", "%q is no target group", string(g))
}
