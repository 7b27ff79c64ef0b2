package model_test

import (
	"math"
	"testing"

	"osier/model"
)

func goodKit() model.Kit {
	return model.Kit{
		Angler: "VP", Feeders: []model.OwnFeeder{{Type: "cage", CapacityMl: 38, WeightG: 30}, {Type: "window", CapacityMl: 5, WeightG: 200}},
		RodMaxG: model.Known[model.Grams](90), TenFillsG: model.Known[model.Grams](300), TenFillsMl: model.Known[model.Millilitres](38),
	}
}

func TestKitRefusals(t *testing.T) {
	type k = model.Kit
	wantRefusals(t, goodKit, k.Validate, []refusal[k]{
		{"nobody's", func(v *k) { v.Angler = " " }, "angler", "name whose kit it is"},
		{"a thimble", func(v *k) { v.Feeders[1].CapacityMl = 4 }, "feeders[1].capacity_ml", "give 5 to 300 ml"},
		{"no number", func(v *k) { v.Feeders[0].CapacityMl = model.Millilitres(math.NaN()) }, "feeders[0].capacity_ml", "give a number in ml"},
		{"a brick", func(v *k) { v.Feeders[0].WeightG = 201 }, "feeders[0].weight_g", "give 3 to 200 g"},
		{"a boat rod", func(v *k) { v.RodMaxG = model.Known[model.Grams](301) }, "rod_max_g", "give 5 to 300 g"},
		{"a weight of no feeder", func(v *k) { v.TenFillsMl = model.Maybe[model.Millilitres]{} }, "ten_fills_g", "together"},
		{"a feeder without a weight", func(v *k) { v.TenFillsG = model.Maybe[model.Grams]{} }, "ten_fills_g", "together"},
		{"feathers", func(v *k) { v.TenFillsG = model.Known[model.Grams](100) }, "ten_fills_g", "give 0.4 to 1.3 g/ml of fill"},
		{"lead", func(v *k) { v.TenFillsG = model.Known[model.Grams](500) }, "ten_fills_g", "give 0.4 to 1.3 g/ml of fill"},
	})
}

func TestDensityFromTenFills(t *testing.T) {
	k := goodKit() // 300 g in ten fills of 38 ml
	if d := k.DensityGMl(); !d.Known || math.Abs(d.Value-300.0/380) > 1e-12 {
		t.Errorf("density %+v, want %v g/ml", d, 300.0/380)
	}
	for name, spoil := range map[string]func(*model.Kit){
		"not weighed":        func(k *model.Kit) { k.TenFillsG = model.Maybe[model.Grams]{} },
		"feeder not named":   func(k *model.Kit) { k.TenFillsMl = model.Maybe[model.Millilitres]{} },
		"a feeder of 0 ml":   func(k *model.Kit) { k.TenFillsMl = model.Known[model.Millilitres](0) },
		"a feeder below one": func(k *model.Kit) { k.TenFillsMl = model.Known[model.Millilitres](-38) },
	} {
		k := goodKit()
		spoil(&k)
		if d := k.DensityGMl(); d.Known {
			t.Errorf("%s: density %+v, want none", name, d)
		}
	}
}
