package locationforecast_test

import (
	"math"
	"strings"
	"testing"

	"osier/jobs/feed/locationforecast"
	"osier/model"
)

func TestURL(t *testing.T) {
	const base = "https://api.met.no/weatherapi/locationforecast/2.0/"
	for _, c := range []struct {
		lat, lon  float64
		elevation model.Maybe[model.Metres]
		variant   locationforecast.Variant
		want      string
	}{
		{51.5, -0.1, model.Known[model.Metres](25), locationforecast.Complete, base + "complete?altitude=25&lat=51.5&lon=-0.1"},
		{53.123456, -1.98765432, model.Maybe[model.Metres]{}, locationforecast.Compact, base + "compact?lat=53.1235&lon=-1.9877"},
		{-0.00001, 180, model.Known[model.Metres](-0.4), locationforecast.Compact, base + "compact?altitude=0&lat=0&lon=180"},
	} {
		got, err := locationforecast.URL(c.lat, c.lon, c.elevation, c.variant)
		if err != nil || got != c.want {
			t.Errorf("%v %v: %q, %v; want %q", c.lat, c.lon, got, err, c.want)
		}
	}
}

func TestURLRefusesWhatIsNoPlace(t *testing.T) {
	none := model.Maybe[model.Metres]{}
	for _, c := range []struct {
		lat, lon  float64
		elevation model.Maybe[model.Metres]
		variant   locationforecast.Variant
		field     string
	}{
		{91, 0, none, locationforecast.Compact, "lat"},
		{math.NaN(), 0, none, locationforecast.Compact, "lat"},
		{0, math.Inf(1), none, locationforecast.Compact, "lon"},
		{0, 0, model.Known[model.Metres](10000), locationforecast.Compact, "elevation_m"},
		{0, 0, none, "mini", "variant"},
	} {
		if got, err := locationforecast.URL(c.lat, c.lon, c.elevation, c.variant); err == nil || !strings.HasPrefix(err.Error(), c.field+":") {
			t.Errorf("%+v: %q, %v; want an error about %s", c, got, err, c.field)
		}
	}
}
