package fish

import (
	"fmt"
	"math"
	"slices"
)

// Floor is the least appetite whose logarithm is taken. The curves reach 0 at
// their upper limit, where a logarithm has no answer and a hair's breadth of
// temperature would rule a whole prediction; and fish of a real water find
// cooler depths than the model knows. 0.02 lies below every cold-water value of
// the mixes (0.05 at 0 C), so it binds only in heat. Our choice.
const Floor = 0.02

// Part is one species' share of what a group stands for.
type Part struct {
	Species Species
	Share   float64
}

// mixes stands for each group by its commonest members. The shares are our
// choice: no source gives a stock by group. Tench have no parameter set and go
// with carp; rudd go with roach; perch are left out of silver because they are
// not fished for with a feeder.
var mixes = map[string][]Part{
	"silver": {{roach, 0.7}, {bream, 0.3}}, // the bream are skimmers
	"bream":  {{bream, 1}},
	"carp":   {{carp, 0.8}, {crucian, 0.2}},
}

// Mix lists the species that stand for a group (silver, bream or carp) with
// their shares, which sum to 1. Any other group is an error. The caller owns
// the slice.
func Mix(group string) ([]Part, error) {
	parts, ok := mixes[group]
	if !ok {
		return nil, fmt.Errorf("group is %q; give silver, bream or carp", group)
	}
	return slices.Clone(parts), nil
}

// Appetite gives the share, 0 to 1, of the greatest daily consumption that fish
// of the group (silver, bream or carp) can eat at the water temperature in C at
// the depth fished, from LowestC to HighestC; outside that span, and for any
// other group, it answers with an error. It scales how much may be eaten and is
// no chance of a bite. Source: equation 2 of Kitchell, Stewart and Weininger
// 1977 with the parameters and mixes of this package.
func Appetite(group string, waterC float64) (float64, error) {
	parts, ok := mixes[group]
	if !ok {
		return 0, fmt.Errorf("group is %q; give silver, bream or carp", group)
	}
	sum := 0.0
	for _, p := range parts {
		share, err := p.Species.Curve.At(waterC)
		if err != nil {
			return 0, fmt.Errorf("appetite of %s: %w", p.Species.Name, err)
		}
		sum += p.Share * share
	}
	return math.Min(sum, 1), nil
}

// LogAppetite gives the natural logarithm of Appetite, never below ln Floor, as
// the regressor of the activity model. Range and errors are those of Appetite.
func LogAppetite(group string, waterC float64) (float64, error) {
	share, err := Appetite(group, waterC)
	if err != nil {
		return 0, err
	}
	return math.Log(math.Max(share, Floor)), nil
}
