package nws_test

import (
	"encoding/json"
	"os"
	"testing"
	"time"

	"osier/jobs/feed/nws"
	"osier/model"
)

func FuzzParse(f *testing.F) {
	f.Add([]byte(two(f)))
	f.Add(one("KXXA 041753Z 22012G20KT", `, "windSpeed": {"unitCode": "wmoUnit:km_h-1", "value": 1e400}, "windDirection": {"unitCode": ":degree_(angle)", "value": -0.0}`))
	f.Add([]byte(`{"type": "FeatureCollection", "features": [null, 1, {"geometry": {"coordinates": [1e308, 0]}}]}`))
	f.Add([]byte(`{"title": "Not Found", "status": 404}`))
	f.Add([]byte(`<html>`))
	for _, name := range []string{"obs_LBNL1_no_icon_no_slp.json", "obs_KDCA_calm_latest.json", "client_stations_observations_multiple.json", "obs_PAEI_features_null.json"} {
		if b, err := os.ReadFile("../../../../shared/data/weather/feeds/nws/" + name); err == nil {
			f.Add(b)
		}
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		got, _, err := nws.Parse(body)
		if err != nil && got != nil {
			t.Error("reports beside an error")
		}
		for _, r := range got {
			checkStation(t, r.Station)
			checkObservation(t, r.Observation)
			if merged, err := preferRaw(r); err == nil {
				checkObservation(t, merged)
			}
			if _, err := json.Marshal(r); err != nil {
				t.Errorf("it cannot be written: %v", err)
			}
		}
	})
}

func FuzzParseStations(f *testing.F) {
	body, err := os.ReadFile("testdata/stations.json")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(body)
	f.Add([]byte(`{"type": "Feature", "geometry": {"coordinates": [-0.0, -0.0]}, "properties": {"stationIdentifier": "AB", "elevation": {"value": 1e5, "unitCode": "m"}}}`))
	f.Fuzz(func(t *testing.T, body []byte) {
		got, _, err := nws.ParseStations(body)
		if err != nil && got != nil {
			t.Error("stations beside an error")
		}
		for _, s := range got {
			checkStation(t, s)
		}
	})
}

func checkStation(t *testing.T, s model.Station) {
	t.Helper()
	if s.ID == "" || s.Source != nws.Source || !(s.LatDeg >= -90 && s.LatDeg <= 90) || !(s.LonDeg >= -180 && s.LonDeg <= 180) {
		t.Errorf("station %+v", s)
	}
	if e := s.ElevationM; e.Known && !(e.Value >= -500 && e.Value <= 9000) {
		t.Errorf("elevation %v", e.Value)
	}
}

func checkObservation(t *testing.T, o model.Observation) {
	t.Helper()
	for _, v := range []struct {
		name      string
		known     bool
		value     float64
		low, high float64
	}{
		{"air", o.AirC.Known, float64(o.AirC.Value), -99, 99}, // a raw report may say any two digits
		{"dew", o.DewC.Known, float64(o.DewC.Value), -99, 99},
		{"wind", o.WindMps.Known, float64(o.WindMps.Value), 0, 1000},
		{"gust", o.GustMps.Known, float64(o.GustMps.Value), 0, 1000},
		{"direction", o.WindFromDeg.Known, float64(o.WindFromDeg.Value), 0, 359.9999999999999},
		{"QNH", o.QNHHPa.Known, float64(o.QNHHPa.Value), 850, 1100},
		{"sea level", o.SeaLevelHPa.Known, float64(o.SeaLevelHPa.Value), 850, 1100},
		{"rain", o.Rain.Known, float64(o.Rain.Value.Mm), 0, 500},
		{"rain hours", o.Rain.Known, o.Rain.Value.OverH, 1, 6},
		{"cloud", o.CloudOktas.Known, float64(o.CloudOktas.Value), 0, 8},
	} {
		if v.known && !(v.value >= v.low && v.value <= v.high) {
			t.Errorf("%s is %v", v.name, v.value)
		}
	}
	if o.Station == "" || o.Source != nws.Source || o.At.Location() != time.UTC || o.At.Year() < 1900 || o.At.Year() > 2200 {
		t.Errorf("observation %+v", o)
	}
}
