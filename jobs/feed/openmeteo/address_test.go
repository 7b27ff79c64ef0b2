package openmeteo_test

import (
	"math"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/openmeteo"
	"osier/model"
)

// variables is what is asked for, each in its newer name.
const variables = "temperature_2m,dew_point_2m,relative_humidity_2m,wind_speed_10m,wind_direction_10m," +
	"wind_gusts_10m,pressure_msl,cloud_cover,precipitation,weather_code"

func TestAddresses(t *testing.T) {
	noHeight := model.Maybe[model.Metres]{}
	for _, c := range []struct {
		name      string
		ask       func() (string, error)
		wantHost  string
		wantQuery map[string]string // beside what every address asks for
	}{
		{
			"a forecast with the height",
			func() (string, error) { return openmeteo.URL(53.123456, -1.98765432, model.Known[model.Metres](94.6)) },
			"https://api.open-meteo.com/v1/forecast",
			map[string]string{"latitude": "53.1235", "longitude": "-1.9877", "elevation": "95"},
		},
		{
			"a forecast without it, a hair south of the equator",
			func() (string, error) { return openmeteo.URL(-0.00001, 180, noHeight) },
			"https://api.open-meteo.com/v1/forecast",
			map[string]string{"latitude": "0", "longitude": "180"},
		},
		{
			"the archive, days in GMT",
			func() (string, error) {
				return openmeteo.ArchiveURL(53, -1.5, at("2024-10-27T00:30:00+01:00"), at("2024-10-28T12:00:00Z"))
			},
			"https://archive-api.open-meteo.com/v1/archive",
			map[string]string{"latitude": "53", "longitude": "-1.5", "start_date": "2024-10-26", "end_date": "2024-10-28"},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			text, err := c.ask()
			if err != nil {
				t.Fatal(err)
			}
			got, err := url.Parse(text)
			if err != nil {
				t.Fatal(err)
			}
			if where, _, _ := strings.Cut(text, "?"); where != c.wantHost {
				t.Errorf("asks %s, want %s", where, c.wantHost)
			}
			want := url.Values{"hourly": {variables}, "wind_speed_unit": {"ms"}, "timezone": {"GMT"}, "timeformat": {"unixtime"}}
			for k, v := range c.wantQuery {
				want.Set(k, v)
			}
			if diff := cmp.Diff(want, got.Query()); diff != "" {
				t.Errorf("query (-want +got):\n%s", diff)
			}
		})
	}
}

func TestAddressesRefuseWhatCannotBeAsked(t *testing.T) {
	noHeight := model.Maybe[model.Metres]{}
	day := at("2024-06-01T00:00:00Z")
	for _, c := range []struct {
		field string
		ask   func() (string, error)
	}{
		{"lat", func() (string, error) { return openmeteo.URL(91, 0, noHeight) }},
		{"lat", func() (string, error) { return openmeteo.URL(math.NaN(), 0, noHeight) }},
		{"lon", func() (string, error) { return openmeteo.URL(0, math.Inf(1), noHeight) }},
		{"elevation_m", func() (string, error) { return openmeteo.URL(0, 0, model.Known[model.Metres](10000)) }},
		{"lon", func() (string, error) { return openmeteo.ArchiveURL(0, -181, day, day) }},
		{"from", func() (string, error) { return openmeteo.ArchiveURL(0, 0, at("1939-12-31T23:59:00Z"), day) }},
		{"from", func() (string, error) { return openmeteo.ArchiveURL(0, 0, time.Time{}, day) }},
		{"to", func() (string, error) { return openmeteo.ArchiveURL(0, 0, day, day.Add(-time.Second)) }},
	} {
		if got, err := c.ask(); err == nil || !strings.HasPrefix(err.Error(), c.field+":") {
			t.Errorf("%q, %v; want an error about %s", got, err, c.field)
		}
	}
}
