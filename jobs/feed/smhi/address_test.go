package smhi_test

import (
	"math"
	"strings"
	"testing"

	"osier/jobs/feed/smhi"
)

func TestURL(t *testing.T) {
	const base = "https://opendata-download-metfcst.smhi.se/api/category/snow1g/version/1/geotype/point/"
	for _, c := range []struct {
		lat, lon float64
		want     string
	}{
		{59.3293, 18.0686, base + "lon/18.0686/lat/59.3293/data.json"},
		{59.339222, -0.00001, base + "lon/0/lat/59.3392/data.json"},
	} {
		if got, err := smhi.URL(c.lat, c.lon); err != nil || got != c.want {
			t.Errorf("%v %v: %q, %v; want %q", c.lat, c.lon, got, err, c.want)
		}
	}
}

func TestURLRefusesWhatIsNoPlace(t *testing.T) {
	for _, c := range []struct {
		lat, lon float64
		field    string
	}{{91, 0, "lat"}, {math.NaN(), 0, "lat"}, {0, math.Inf(1), "lon"}, {0, -180.1, "lon"}} {
		if got, err := smhi.URL(c.lat, c.lon); err == nil || !strings.HasPrefix(err.Error(), c.field+":") {
			t.Errorf("%+v: %q, %v; want an error about %s", c, got, err, c.field)
		}
	}
}
