package nws_test

import (
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/nws"
	"osier/model"
)

func TestStationsNearAPlace(t *testing.T) {
	body, err := os.ReadFile("testdata/stations.json")
	if err != nil {
		t.Fatal(err)
	}
	got, warnings, err := nws.ParseStations(body)
	if err != nil {
		t.Fatal(err)
	}
	want := []model.Station{
		{ID: "KXXA", Source: "nws", Name: "Upper Mere", LatDeg: 53.25, LonDeg: -1.5, ElevationM: metres(95.0976)},
		{ID: "XX-12", Source: "nws", Name: "Weir", LatDeg: 53.5, LonDeg: -1.75},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("stations (-want +got):\n%s", diff)
	}
	wantWarnings := []string{
		"station 3 is left out: its coordinates [] are no longitude and latitude",
		`station 4 is left out: its stationIdentifier "" is no name of a station`,
	}
	if diff := cmp.Diff(wantWarnings, warnings); diff != "" {
		t.Errorf("warnings (-want +got):\n%s", diff)
	}
}

func TestNoStationsNearAPlace(t *testing.T) {
	got, warnings, err := nws.ParseStations([]byte(`{"type": "FeatureCollection", "features": []}`))
	if got != nil || warnings != nil || err != nil {
		t.Errorf("stations %v, warnings %q, error %v; want none", got, warnings, err)
	}
}
