package model

import "math"

// Pounds and ounces: 1 lb is 0.45359237 kg exactly (International Yard and
// Pound Agreement, 1959), and 16 oz make a pound.
const (
	gramsPerPound = 453.59237
	ouncesInPound = 16
)

// heaviestCatchG bounds what one angler can land in a day; match weights of
// stocked carp reach some 200 kg. Our choice.
const heaviestCatchG = 1_000_000

// WeightEntry is a weight as a person gives it: kilograms, or pounds and
// ounces in two fields. A pound with a decimal point is refused: 4 lb 12 oz
// written as 4.12 would be read 13 % too low.
type WeightEntry struct {
	Kg  Maybe[float64] `json:"kg"`
	Lb  Maybe[float64] `json:"lb"`
	Oz  Maybe[float64] `json:"oz"`
	G   Maybe[float64] `json:"g"` // the stored form, so that a record can be sent back as it was read
	How string         `json:"how"`
}

// Weight turns the entry into grams, rounded to the milligram. An entry
// without any figure is a weight not known. Errors name the field under the
// given one. When nobody said whether it was weighed it counts as estimated,
// the weaker claim (our choice).
func (e WeightEntry) Weight(field string) (Maybe[Weight], error) {
	imperial := e.Lb.Known || e.Oz.Known
	switch routes := countTrue(e.Kg.Known, e.G.Known, imperial); {
	case routes == 0 && e.How != "":
		return Maybe[Weight]{}, Invalidf(field, "give the weight in kg, or in lb and oz", "it is said to be %q but no weight is given", shorten(e.How))
	case routes == 0:
		return Maybe[Weight]{}, nil
	case routes > 1:
		return Maybe[Weight]{}, Invalidf(field, "give kg, or lb and oz, but not both", "the weight is given twice")
	}
	grams := e.G.Or(0) + 1000*e.Kg.Or(0)
	if imperial {
		if err := validatePounds(field, e.Lb.Or(0), e.Oz.Or(0)); err != nil {
			return Maybe[Weight]{}, err
		}
		grams = (e.Lb.Or(0) + e.Oz.Or(0)/ouncesInPound) * gramsPerPound
	}
	if err := Between(field, grams, 0, heaviestCatchG, "g"); err != nil {
		return Maybe[Weight]{}, err
	}
	w := Weight{G: Grams(math.Round(grams*1000) / 1000), How: e.How}
	if w.How == "" {
		w.How = Estimated
	}
	return Known(w), nil
}

func validatePounds(field string, lb, oz float64) error {
	if err := Between(field+".lb", lb, 0, heaviestCatchG/gramsPerPound, "lb"); err != nil {
		return err
	}
	if lb != math.Trunc(lb) {
		return Invalidf(field+".lb", "give whole pounds here and the ounces in their own field: 4 lb 12 oz is 4 and 12", "%v is a decimal pound", lb)
	}
	if math.IsNaN(oz) || oz < 0 || oz >= ouncesInPound {
		return Invalidf(field+".oz", "give 0 up to but not including 16 oz; 16 oz are one more pound", "%v oz is out of range", oz)
	}
	return nil
}

func countTrue(flags ...bool) int {
	n := 0
	for _, f := range flags {
		if f {
			n++
		}
	}
	return n
}
