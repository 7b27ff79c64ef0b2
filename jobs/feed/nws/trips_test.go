package nws_test

import (
	"fmt"
	"testing"

	"osier/jobs/feed/nws"
	"osier/model"
)

// Rows of the weather reference, section 10, that concern this feed's answers.
// That of a report eleven hours old belongs to whoever knows the time: the
// report here says its own.
func TestInputsThatTripRealClients(t *testing.T) {
	t.Run("a temperature of zero was taken for missing", func(t *testing.T) {
		got := parseOne(t, "", `, "temperature": {"unitCode": "wmoUnit:degC", "value": 0}`)
		if got.Observation.AirC != celsius(0) {
			t.Errorf("temperature %+v, want 0", got.Observation.AirC)
		}
	})
	t.Run("the unit of the wind was assumed", func(t *testing.T) {
		for unit, want := range map[string]model.MetresPerSecond{"unit:m_s-1": 24.12, "wmoUnit:km_h-1": 6.70} {
			got := parseOne(t, "", fmt.Sprintf(`, "windSpeed": {"unitCode": %q, "value": 24.12}`, unit))
			if w := got.Observation.WindMps; !w.Known || !near(float64(w.Value), float64(want)) {
				t.Errorf("24.12 %s: %+v, want %v m/s", unit, w, want)
			}
		}
	})
	t.Run("an old gust was kept", func(t *testing.T) {
		const speed = `, "windSpeed": {"unitCode": "wmoUnit:km_h-1", "value": 20}`
		first := parseOne(t, "", speed+`, "windGust": {"unitCode": "wmoUnit:km_h-1", "value": 41.8, "qualityControl": "S"}`)
		then := parseOne(t, "", speed+`, "windGust": {"unitCode": "wmoUnit:km_h-1", "value": null, "qualityControl": "Z"}`)
		if g := first.Observation.GustMps; !g.Known || !near(float64(g.Value), 41.8/3.6) || then.Observation.GustMps.Known {
			t.Errorf("gusts %+v and then %+v, want 11.6 m/s and then none", g, then.Observation.GustMps)
		}
	})
	t.Run("gust and thunder were missed", func(t *testing.T) {
		got, err := preferRaw(parseOne(t, "KXXA 041753Z 22012G20KT 5SM TSRA 20/18 A2992", `, "windGust": {"unitCode": "wmoUnit:km_h-1", "value": null, "qualityControl": "Z"}`))
		if err != nil {
			t.Fatal(err)
		}
		if g := got.GustMps; !g.Known || !near(float64(g.Value), 20*1852.0/3600) || got.Thunder != model.ThunderNow {
			t.Errorf("gust %+v, thunder %q; want 20 kt and thunder now", g, got.Thunder)
		}
	})
	t.Run("the latest report of a valid station was asked for endlessly", func(t *testing.T) {
		_, _, err := nws.Parse([]byte(`{"title": "Not Found", "status": 404, "detail": "Data Unavailable For Requested Station"}`))
		if model.CodeOf(err) != model.NotFound {
			t.Errorf("error %v, want one that says that there is nothing", err)
		}
	})
	t.Run("the pressures were mixed", func(t *testing.T) {
		got := parseOne(t, "", `, "barometricPressure": {"unitCode": "wmoUnit:Pa", "value": 101820}`).Observation
		if !got.QNHHPa.Known || got.SeaLevelHPa.Known || got.StationHPa.Known {
			t.Errorf("observation %+v, want QNH alone", got)
		}
	})
	t.Run("an eleven hours old report was shown as current", func(t *testing.T) {
		if got := parseOne(t, "", `, "temperature": {"unitCode": "wmoUnit:degC", "value": 0}`).Observation.At; !got.Equal(at("2026-03-04T17:53:00Z")) {
			t.Errorf("the report is of %v, want its own time", got)
		}
	})
}
