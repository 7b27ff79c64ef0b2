package water_test

import (
	"math"
	"testing"
	"time"

	"osier/model/water"
)

// hoursOf makes one hour per reading, all with the sun at one height.
func hoursOf(sunDeg float64, of func(*water.NightHour, water.Reading), readings ...water.Reading) []water.NightHour {
	var hours []water.NightHour
	for i, r := range readings {
		h := water.NightHour{At: time.Date(2026, 7, 1, 20+i, 0, 0, 0, time.UTC), SunElevationDeg: sunDeg}
		of(&h, r)
		hours = append(hours, h)
	}
	return hours
}

func wind(h *water.NightHour, r water.Reading)  { h.WindMps = r }
func cloud(h *water.NightHour, r water.Reading) { h.CloudFraction = r }

func TestCalmNight(t *testing.T) {
	k, missing := water.Known, water.Reading{}
	gap := hoursOf(-10, wind, k(1), k(1), k(1))
	for _, c := range []struct {
		name  string
		hours []water.NightHour
		want  water.Fact
	}{
		{"below the limit throughout", hoursOf(-10, wind, k(0), k(1.99)), water.Yes},
		{"at the limit once", hoursOf(-10, wind, k(0), k(2)), water.No},
		{"one hour missing", hoursOf(-10, wind, k(0), missing, k(1)), water.Unknown},
		{"one hour missing, another windy", hoursOf(-10, wind, missing, k(3)), water.No},
		{"an hour not even listed", append(gap[:1:1], gap[2]), water.Unknown},
		{"no number", hoursOf(-10, wind, k(math.NaN())), water.Unknown},
		{"windy by day only", append(hoursOf(5, wind, k(6)), hoursOf(-10, wind, k(1))...), water.Yes},
		{"no night", hoursOf(5, wind, k(1)), water.Unknown},
		{"nothing", nil, water.Unknown},
	} {
		if got := water.CalmNight(c.hours); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestCloudAfterSun(t *testing.T) {
	k, missing := water.Known, water.Reading{}
	for _, c := range []struct {
		name         string
		before, last []water.Reading
		want         water.Fact
	}{
		{"at both limits", []water.Reading{k(0.3), k(0.5)}, []water.Reading{k(0.5), k(1)}, water.Yes},
		{"not dull enough", []water.Reading{k(0)}, []water.Reading{k(0.74)}, water.No},
		{"not sunny before", []water.Reading{k(0.41)}, []water.Reading{k(1)}, water.No},
		{"missing hour that could change it", []water.Reading{k(0.1)}, []water.Reading{k(1), missing}, water.Unknown},
		{"missing hour that cannot change it", []water.Reading{k(0), k(0), missing}, []water.Reading{k(1)}, water.Yes},
		{"oktas by mistake", []water.Reading{k(0)}, []water.Reading{k(8)}, water.Unknown},
		{"no days before", nil, []water.Reading{k(1)}, water.Unknown},
		{"no days before, but a bright day", nil, []water.Reading{k(0.2)}, water.No},
	} {
		if got := water.CloudAfterSun(hoursOf(30, cloud, c.before...), hoursOf(30, cloud, c.last...)); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	// Cloud by night makes no difference to plants.
	if got := water.CloudAfterSun(hoursOf(30, cloud, k(0)), hoursOf(-10, cloud, k(1))); got != water.Unknown {
		t.Errorf("cloud by night only: %v, want Unknown", got)
	}
}
