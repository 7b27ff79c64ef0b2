package feeder

import (
	"cmp"
	"fmt"
	"slices"
)

// Kit is the angler's own tackle. Its zero value means that nothing is known of
// it and the trade's steps serve.
type Kit struct {
	Feeders    []KitFeeder
	RodRatingG float64 // Greatest feeder and fill together; 0 not known.
	DensityGMl float64 // Measured from ten weighed fills; 0 not measured.
}

// KitFeeder is one feeder of the angler's own.
type KitFeeder struct {
	Type       string // Cage, PlasticOpenEnd, Window, or empty where not known.
	CapacityMl float64
	WeightG    float64 // Empty and dry, ballast included.
}

// check refuses figures that no feeder or rod has.
func (k Kit) check() error {
	for i, f := range k.Feeders {
		name := fmt.Sprintf("kit feeder %d", i+1)
		if err := within(name+" capacity_ml", f.CapacityMl, 1, 500, "give its inside volume, 1 to 500 ml"); err != nil {
			return err
		}
		if err := within(name+" weight_g", f.WeightG, 1, 500, "give its weight empty and dry, 1 to 500 g"); err != nil {
			return err
		}
	}
	if err := zeroOrWithin("kit rod_rating_g", k.RodRatingG, 1, mostRodG, "give the rod's rating in grams, 1 to 500, or leave it out"); err != nil {
		return err
	}
	return zeroOrWithin("kit density_g_ml", k.DensityGMl, leastDensityGMl, greatestDensityGMl,
		"weigh ten fills together; damp feed comes to 0.30-1.30 g/ml, or leave it out")
}

// planned returns the feeders that a plan may choose. Hybrid, flat-bed and maggot
// feeders are other methods, kept for records only.
func (k Kit) planned() []KitFeeder {
	var own []KitFeeder
	for _, f := range k.Feeders {
		switch f.Type {
		case "", Cage, PlasticOpenEnd, Window:
			own = append(own, f)
		}
	}
	return own
}

// typeOf returns the type written down for an own feeder, empty where none is.
func (k Kit) typeOf(capacityMl, weightG float64) string {
	for _, f := range k.planned() {
		if f.CapacityMl == capacityMl && f.WeightG == weightG {
			return f.Type
		}
	}
	return ""
}

// vessel is one capacity on offer with the weights it comes in, lightest first.
type vessel struct {
	step       string
	capacityMl float64
	weightsG   []float64
}

// vessels returns the capacities to choose from, smallest first: the kit's own,
// or the five steps in every weight.
func (k Kit) vessels() []vessel {
	var vs []vessel
	own := k.planned()
	if len(own) == 0 {
		for _, s := range Steps() {
			vs = append(vs, vessel{step: s.Name, capacityMl: s.CapacityMl, weightsG: WeightSteps()})
		}
		return vs
	}
	slices.SortFunc(own, func(a, b KitFeeder) int {
		if a.CapacityMl != b.CapacityMl {
			return cmp.Compare(a.CapacityMl, b.CapacityMl)
		}
		return cmp.Compare(a.WeightG, b.WeightG)
	})
	for _, f := range own {
		if n := len(vs); n > 0 && vs[n-1].capacityMl == f.CapacityMl {
			vs[n-1].weightsG = append(vs[n-1].weightsG, f.WeightG)
			continue
		}
		step, _ := NearestStep(f.CapacityMl)
		vs = append(vs, vessel{step: step.Name, capacityMl: f.CapacityMl, weightsG: []float64{f.WeightG}})
	}
	return vs
}

// holding keeps the vessels that come in a weight of at least neededG.
func holding(vs []vessel, neededG float64) []vessel {
	var kept []vessel
	for _, v := range vs {
		if _, ok := WeightStepUp(v.weightsG, neededG); ok {
			kept = append(kept, v)
		}
	}
	return kept
}
