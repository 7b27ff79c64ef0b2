package brightsky_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"osier/jobs/feed/brightsky"
)

func TestURL(t *testing.T) {
	for _, c := range []struct {
		lat, lon float64
		from, to string
		want     string
	}{
		{
			50.123456, 9.98765432, "2024-10-26T00:00:00+02:00", "2024-10-28T00:00:00+01:00",
			"https://api.brightsky.dev/weather?date=2024-10-25T22%3A00%3A00Z&last_date=2024-10-27T23%3A00%3A00Z&lat=50.1235&lon=9.9877&tz=Etc%2FUTC&units=dwd",
		},
		{
			-0.00001, 0, "2024-10-26T00:00:00Z", "2024-10-26T00:00:00Z",
			"https://api.brightsky.dev/weather?date=2024-10-26T00%3A00%3A00Z&last_date=2024-10-26T00%3A00%3A00Z&lat=0&lon=0&tz=Etc%2FUTC&units=dwd",
		},
	} {
		if got, err := brightsky.URL(c.lat, c.lon, at(c.from), at(c.to)); err != nil || got != c.want {
			t.Errorf("%v %v: %q, %v; want %q", c.lat, c.lon, got, err, c.want)
		}
	}
}

func TestURLRefusesWhatCannotBeAsked(t *testing.T) {
	day := at("2024-10-26T00:00:00Z")
	for _, c := range []struct {
		lat, lon float64
		from, to time.Time
		field    string
	}{
		{91, 0, day, day, "lat"},
		{math.NaN(), 0, day, day, "lat"},
		{0, math.Inf(1), day, day, "lon"},
		{0, 0, time.Time{}, day, "from"},
		{0, 0, day, day.Add(-time.Second), "to"},
		{0, 0, day, day.AddDate(300, 0, 0), "to"},
	} {
		if got, err := brightsky.URL(c.lat, c.lon, c.from, c.to); err == nil || !strings.HasPrefix(err.Error(), c.field+":") {
			t.Errorf("%+v: %q, %v; want an error about %s", c, got, err, c.field)
		}
	}
}
