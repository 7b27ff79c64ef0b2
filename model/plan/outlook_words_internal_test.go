package plan

import (
	"testing"

	"osier/model"
)

func TestAPressureWithoutATrendIsSaidWithoutOne(t *testing.T) {
	for _, c := range []struct{ trend, want string }{
		{"falling slowly", "pressure 1017 hPa, falling slowly"}, {"unknown", "pressure 1017 hPa"}, {"", "pressure 1017 hPa"},
	} {
		if got := weatherWords(model.OutlookConditions{PressureHPa: model.Known(model.Hectopascals(1017)), PressureText: c.trend}); got != c.want {
			t.Errorf("%q: %q, want %q", c.trend, got, c.want)
		}
	}
}
