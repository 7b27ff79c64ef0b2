package plan

import (
	"testing"

	"osier/model"
	"osier/model/feeder"
)

// The trade pack, section 3.2: low oxygen caps at Lean, warm water at Even, and
// the lower of the two counts. What is only noted caps nothing. Low oxygen that
// was not checked caps at Lean where the water may be 22 C, or is not known: the
// cap of a calm night must not go with the wind's reading.
func TestWhatCapsTheFeed(t *testing.T) {
	for _, c := range []struct {
		name     string
		cautions []model.Caution
		want     feeder.Level
	}{
		{"none", nil, ""},
		{"warm water", []model.Caution{{ID: "fish_heat", Level: model.Care}}, feeder.Even},
		{"warm water noted", []model.Caution{{ID: "fish_heat", Level: model.Note}}, ""},
		{"low oxygen", []model.Caution{{ID: "low_oxygen", Level: model.Care}}, feeder.Lean},
		{"low oxygen noted", []model.Caution{{ID: "low_oxygen", Level: model.Note}}, ""},
		{"low oxygen not checked in warm water", unchecked("low_oxygen", 22), feeder.Lean},
		{"low oxygen not checked in cooler water", unchecked("low_oxygen", 21.9), ""},
		{"low oxygen not checked, nor the water known", []model.Caution{{ID: "low_oxygen", Level: model.NotChecked}}, feeder.Lean},
		{"warm water not checked", unchecked("fish_heat", 23), ""},
		{"both", []model.Caution{{ID: "fish_heat", Level: model.Care}, {ID: "low_oxygen", Level: model.Care}}, feeder.Lean},
		{"heat of the air", []model.Caution{{ID: "heat", Level: model.Care}}, ""},
	} {
		if got, _ := levelCap(c.cautions); got != c.want {
			t.Errorf("%s: capped at %q, want %q", c.name, got, c.want)
		}
	}
}

func unchecked(id string, mayBeC float64) []model.Caution {
	return []model.Caution{{ID: id, Level: model.NotChecked, Inputs: map[string]float64{"water_temp_may_be_c": mayBeC}}}
}

func TestWhatCappedIsNamed(t *testing.T) {
	low := []model.Caution{{ID: "low_oxygen", Level: model.Care}}
	for _, c := range []struct {
		cautions []model.Caution
		at       feeder.Level
		want     string
	}{
		{low, feeder.Lean, "low_oxygen: oxygen may be low"},
		{unchecked("low_oxygen", 25), feeder.Lean, "low_oxygen: it was not checked, and the water may be 22 C or more"},
		{nil, feeder.Lean, "the water may be under 3 C"},
		{nil, feeder.Even, "the water may be 24 C or more"},
	} {
		if got := cappedBy(c.cautions, c.at); got != c.want {
			t.Errorf("capped at %s by %q, want %q", c.at, got, c.want)
		}
	}
}
