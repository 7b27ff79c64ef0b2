package model_test

import (
	"math"
	"strings"
	"testing"

	"osier/model"
)

func TestWeightEntry(t *testing.T) {
	f := model.Known[float64]
	for _, c := range []struct {
		name  string
		entry model.WeightEntry
		wantG float64
		says  string
	}{
		{"kilograms", model.WeightEntry{Kg: f(3.2)}, 3200, ""},
		{"4 lb 12 oz is 2.155 kg (trade pack 6.2)", model.WeightEntry{Lb: f(4), Oz: f(12)}, 2154.564, ""},
		{"whole pounds", model.WeightEntry{Lb: f(1)}, 453.592, ""},
		{"ounces alone", model.WeightEntry{Oz: f(8)}, 226.796, ""},
		{"as stored", model.WeightEntry{G: f(1868.7)}, 1868.7, ""},
		{"typed as a decimal", model.WeightEntry{Lb: f(4.12)}, 0, "decimal pound"},
		{"16 oz", model.WeightEntry{Lb: f(4), Oz: f(16)}, 0, "one more pound"},
		{"negative ounces", model.WeightEntry{Lb: f(4), Oz: f(-1)}, 0, "out of range"},
		{"both", model.WeightEntry{Kg: f(1), Lb: f(2)}, 0, "given twice"},
		{"only how", model.WeightEntry{How: "weighed"}, 0, "no weight is given"},
		{"NaN kg", model.WeightEntry{Kg: f(math.NaN())}, 0, "finite"},
		{"NaN lb", model.WeightEntry{Lb: f(math.NaN())}, 0, "finite"},
		{"NaN oz", model.WeightEntry{Lb: f(1), Oz: f(math.NaN())}, 0, "out of range"},
		{"negative kg", model.WeightEntry{Kg: f(-1)}, 0, "out of range"},
	} {
		got, err := c.entry.Weight("weight")
		if c.says != "" {
			if err == nil || !strings.Contains(err.Error(), c.says) || !strings.HasPrefix(fieldOf(err), "weight") {
				t.Errorf("%s: got %v, want an error with %q", c.name, err, c.says)
			}
			continue
		}
		if err != nil || float64(got.Value.G) != c.wantG || got.Value.How != model.Estimated {
			t.Errorf("%s: got %+v %v, want %v g", c.name, got, err, c.wantG)
		}
	}
	if got, err := (model.WeightEntry{}).Weight("weight"); got.Known || err != nil {
		t.Errorf("nothing given: %v %v", got, err)
	}
}
