package caution_test

import (
	"testing"

	"osier/model"
	"osier/model/caution"
)

func noThunder(h *model.ConditionHour) { h.Thunder = model.ThunderHour{} }

// What a calm night holds back, a night whose wind nobody gave holds back too:
// the cautions pack, sections 1 and 5, lets no missing reading clear a caution.
func TestLowOxygenInDoubt(t *testing.T) {
	morning := func(highC float64) caution.Input {
		return night(1, 2, each(each(onDay(7, 9), -195, 9, upTo(19)), 0, 4, upTo(highC)))
	}
	for _, c := range []struct {
		name string
		in   caution.Input
		is   model.CautionLevel
		want bool
	}{
		{"22 C after a calm night", night(0, 1.9, morning(22)), model.Care, false},
		{"22 C after a night of unknown wind", each(morning(22), -14, 1, noWind), model.NotChecked, true},
		{"21.9 C after two nights of unknown wind", each(morning(21.9), -38, 1, noWind), model.NotChecked, false},
		{"22 C after a windy night", night(0, 2, morning(22)), "", false},
		{"water not known, wind not known", each(each(morning(22), -14, 4, noWater), -14, 1, noWind), model.NotChecked, true},
		{"cool water, a dry week, thunder not told", each(dry(each(quiet(), -195, 9, upTo(12))), -24, 9, noThunder), model.NotChecked, false},
	} {
		found := of(caution.Check(c.in), "low_oxygen")
		var is model.CautionLevel
		for _, f := range found {
			is = f.Level
		}
		if is != c.is {
			t.Errorf("%s: level %q, want %q: %+v", c.name, is, c.is, found)
		}
		if got := caution.OxygenInDoubt(found); got != c.want {
			t.Errorf("%s: in doubt is %v, want %v: %+v", c.name, got, c.want, found)
		}
	}
}
