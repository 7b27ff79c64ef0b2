package model

import (
	"fmt"
	"strings"
)

// Kit is one angler's own tackle. A plan uses it when it is present.
type Kit struct {
	Angler     string             `json:"angler"`
	Feeders    []OwnFeeder        `json:"feeders"`
	RodMaxG    Maybe[Grams]       `json:"rod_max_g"`    // upper rating of the rod for weight and fill
	TenFillsG  Maybe[Grams]       `json:"ten_fills_g"`  // ten fills weighed together
	TenFillsMl Maybe[Millilitres] `json:"ten_fills_ml"` // capacity of the feeder they were made with
}

// OwnFeeder is one feeder in the box.
type OwnFeeder struct {
	Type       string      `json:"type"`
	CapacityMl Millilitres `json:"capacity_ml"`
	WeightG    Grams       `json:"weight_g"`
}

// DensityGMl is the measured density of a fill in g/ml, when ten fills were
// weighed.
func (k Kit) DensityGMl() Maybe[float64] {
	if !k.TenFillsG.Known || !k.TenFillsMl.Known || k.TenFillsMl.Value <= 0 {
		return Maybe[float64]{}
	}
	return Known(float64(k.TenFillsG.Value) / 10 / float64(k.TenFillsMl.Value))
}

// Validate refuses a kit that no plan could use.
func (k Kit) Validate() error {
	if strings.TrimSpace(k.Angler) == "" {
		return Invalidf("angler", "name whose kit it is", "no angler is named")
	}
	for i, f := range k.Feeders {
		at := fmt.Sprintf("feeders[%d]", i)
		if err := Between(at+".capacity_ml", float64(f.CapacityMl), 5, 300, "ml"); err != nil {
			return err
		}
		if err := Between(at+".weight_g", float64(f.WeightG), 3, 200, "g"); err != nil {
			return err
		}
	}
	if err := Between("rod_max_g", float64(k.RodMaxG.Or(60)), 5, 300, "g"); err != nil {
		return err
	}
	if k.TenFillsG.Known != k.TenFillsMl.Known {
		return Invalidf("ten_fills_g", "give the weight of ten fills and the capacity of the feeder together", "only one of the two was given")
	}
	if d := k.DensityGMl(); d.Known {
		return Between("ten_fills_g", d.Value, 0.4, 1.3, "g/ml of fill")
	}
	return nil
}
