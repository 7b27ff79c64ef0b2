package nws_test

import (
	"math"
	"strings"
	"testing"

	"osier/jobs/feed/nws"
)

func TestStationsURL(t *testing.T) {
	for _, c := range []struct {
		lat, lon float64
		want     string
	}{
		{38.8894, -77.0352, "https://api.weather.gov/points/38.8894,-77.0352/stations"},
		{38.88944444, -77.03520001, "https://api.weather.gov/points/38.8894,-77.0352/stations"},
		{-0.00001, 180, "https://api.weather.gov/points/0,180/stations"},
	} {
		if got, err := nws.StationsURL(c.lat, c.lon); err != nil || got != c.want {
			t.Errorf("%v %v: %q, %v; want %q", c.lat, c.lon, got, err, c.want)
		}
	}
	for _, c := range []struct {
		lat, lon float64
		field    string
	}{{91, 0, "lat"}, {math.NaN(), 0, "lat"}, {0, -181, "lon"}, {0, math.Inf(1), "lon"}} {
		if got, err := nws.StationsURL(c.lat, c.lon); err == nil || !strings.HasPrefix(err.Error(), c.field+":") {
			t.Errorf("%v %v: %q, %v; want an error about %s", c.lat, c.lon, got, err, c.field)
		}
	}
}

func TestObservationsURL(t *testing.T) {
	for _, c := range []struct {
		station string
		limit   int
		want    string // the address, or the field that the error is about
	}{
		{"KDCA", 1, "https://api.weather.gov/stations/KDCA/observations?limit=1"},
		{"LBNL1", 500, "https://api.weather.gov/stations/LBNL1/observations?limit=500"},
		{"KDCA", 0, "limit:"},
		{"KDCA", 501, "limit:"},
		{"", 1, "station:"},
		{"kdca", 1, "station:"},
		{"KDCA/../x", 1, "station:"},
		{"KDCA?x=1", 1, "station:"},
	} {
		got, err := nws.ObservationsURL(c.station, c.limit)
		if err != nil {
			got = err.Error()[:strings.Index(err.Error(), ":")+1]
		}
		if got != c.want {
			t.Errorf("%q, %d: %q, %v; want %q", c.station, c.limit, got, err, c.want)
		}
	}
}
