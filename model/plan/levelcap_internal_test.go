package plan

import (
	"testing"

	"osier/model"
	"osier/model/feeder"
)

// The trade pack, section 3.2: low oxygen caps at Lean, warm water at Even, and
// the lower of the two counts. What is only noted or not checked caps nothing.
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
		{"low oxygen not checked", []model.Caution{{ID: "low_oxygen", Level: model.NotChecked}}, ""},
		{"both", []model.Caution{{ID: "fish_heat", Level: model.Care}, {ID: "low_oxygen", Level: model.Care}}, feeder.Lean},
		{"heat of the air", []model.Caution{{ID: "heat", Level: model.Care}}, ""},
	} {
		if got, _ := levelCap(c.cautions); got != c.want {
			t.Errorf("%s: capped at %q, want %q", c.name, got, c.want)
		}
	}
}

func TestWhatCappedIsNamed(t *testing.T) {
	low := []model.Caution{{ID: "low_oxygen", Level: model.Care}}
	for _, c := range []struct {
		cautions []model.Caution
		at       feeder.Level
		want     string
	}{
		{low, feeder.Lean, "low_oxygen: oxygen may be low"},
		{nil, feeder.Lean, "the water may be under 3 C"},
		{nil, feeder.Even, "the water may be 24 C or more"},
	} {
		if got := cappedBy(c.cautions, c.at); got != c.want {
			t.Errorf("capped at %s by %q, want %q", c.at, got, c.want)
		}
	}
}
