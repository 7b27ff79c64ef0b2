package nws_test

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/nws"
	"osier/model"
)

// alertsSample is an answer made up here after the OpenAPI document: two
// warnings, a test and one that takes back.
func alertsSample(t testing.TB) []byte {
	t.Helper()
	b, err := os.ReadFile("testdata/alerts.json")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestAlertsURL(t *testing.T) {
	for _, c := range []struct {
		lat, lon float64
		want     string // the address, or how the error begins
	}{
		{38.90, -77.0, "https://api.weather.gov/alerts/active?point=38.9,-77"},
		{-0.00001, 144.123456, "https://api.weather.gov/alerts/active?point=0,144.1235"},
		{-91, 0, "lat:"},
		{0, math.NaN(), "lon:"},
	} {
		got, err := nws.AlertsURL(c.lat, c.lon)
		if err != nil {
			got = err.Error()[:4]
		}
		if got != c.want {
			t.Errorf("%v %v: %q, %v; want %q", c.lat, c.lon, got, err, c.want)
		}
	}
}

func utc(day, hour, minute int) time.Time {
	return time.Date(2026, 2, day, hour, minute, 0, 0, time.UTC)
}

func TestWarningsInForceAtAPlace(t *testing.T) {
	got, warnings, err := nws.ParseAlerts(alertsSample(t))
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	want := []model.OfficialWarning{
		{ // the message runs out before the wind does
			ID: "urn:oid:2.49.0.1.840.0.invented.001.1", Source: "nws_alerts", Sender: "NWS Inventown", Hazard: model.HazardWind,
			Event: "High Wind Warning", Severity: model.Severe, Headline: "High Wind Warning issued February 6 at 6:10AM EST until February 7 at 7:00AM EST by NWS Inventown",
			From: utc(7, 0, 0), Until: model.Known(utc(7, 12, 0)),
		},
		{ // neither onset nor end: when it was given out, and when it runs out
			ID: "urn:oid:2.49.0.1.840.0.invented.002.1", Source: "nws_alerts", Sender: "NWS Inventown", Hazard: model.HazardOther,
			Event: "Special Weather Statement", Severity: model.Moderate, From: utc(6, 11, 40), Until: model.Known(utc(6, 13, 0)),
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("warnings (-want +got):\n%s", diff)
	}
}

// What is wrong with a field takes neither the warning nor its other fields.
func TestAWarningIsNotLostToAFault(t *testing.T) {
	whole := model.OfficialWarning{
		ID: "w", Source: "nws_alerts", Sender: "NWS Inventown", Hazard: model.HazardFlood, Event: "Flood Warning", Severity: model.Severe,
		Headline: "Flood Warning", From: utc(6, 18, 0), Until: model.Known(utc(7, 6, 0)),
	}
	none := model.Maybe[time.Time]{}
	for _, c := range []struct {
		name, field, value string // in place of the right value
		want               func(*model.OfficialWarning)
		says               string // of the warning; none where there is none
	}{
		{"whole", "urgency", `"Expected"`, func(*model.OfficialWarning) {}, ""},
		{"a number for a name", "event", `7`, func(w *model.OfficialWarning) { w.Event = "Warning" }, "event"},
		{"no sender", "senderName", `null`, func(w *model.OfficialWarning) { w.Sender = "US National Weather Service" }, ""},
		{"a severity of its own", "severity", `"red"`, func(w *model.OfficialWarning) { w.Severity = model.UnknownSeverity }, ""},
		{"a type nobody knows", "messageType", `"Extension"`, func(*model.OfficialWarning) {}, ""},
		{"a status that is no text", "status", `{}`, func(*model.OfficialWarning) {}, "status"},
		{"an onset that is no time", "onset", `"tonight"`, func(w *model.OfficialWarning) { w.From = utc(6, 12, 0) }, `"tonight" is no time`},
		{"an end that is no time", "ends", `"Sunday"`, func(w *model.OfficialWarning) { w.Until = model.Known(utc(6, 20, 0)) }, `"Sunday" is no time`},
		{"an end before the beginning", "ends", `"2026-02-06T17:00:00Z"`, func(w *model.OfficialWarning) { w.Until = none }, ""},
	} {
		fields := map[string]json.RawMessage{
			"id": json.RawMessage(`"w"`), "status": json.RawMessage(`"Actual"`), "messageType": json.RawMessage(`"Alert"`),
			"severity": json.RawMessage(`"Severe"`), "event": json.RawMessage(`"Flood Warning"`), "headline": json.RawMessage(`"Flood Warning"`),
			"senderName": json.RawMessage(`"NWS Inventown"`), "effective": json.RawMessage(`"2026-02-06T12:00:00Z"`), "onset": json.RawMessage(`"2026-02-06T18:00:00Z"`),
			"ends": json.RawMessage(`"2026-02-07T06:00:00Z"`), "expires": json.RawMessage(`"2026-02-06T20:00:00Z"`),
		}
		fields[c.field] = json.RawMessage(c.value)
		body, err := json.Marshal(map[string]any{"type": "FeatureCollection", "features": []any{map[string]any{"properties": fields}}})
		if err != nil {
			t.Fatal(err)
		}
		got, warnings, err := nws.ParseAlerts(body)
		want := whole
		c.want(&want)
		if diff := cmp.Diff([]model.OfficialWarning{want}, got); err != nil || diff != "" {
			t.Errorf("%s: error %v (-want +got):\n%s", c.name, err, diff)
		}
		if said := strings.Join(warnings, "\n"); c.says == "" != (said == "") || !strings.Contains(said, c.says) {
			t.Errorf("%s: warnings %q, want %q in them", c.name, warnings, c.says)
		}
	}
}

func TestMessagesThatWarnOfNothing(t *testing.T) {
	for _, c := range []struct{ status, kind string }{
		{"Test", "Alert"}, {"Exercise", "Alert"}, {"System", "Alert"}, {"Draft", "Update"}, {"Actual", "Cancel"}, {"actual", "cancel"}, {"Actual", "Ack"}, {"Actual", "Error"},
	} {
		body := `{"type":"FeatureCollection","features":[{"properties":{"event":"Flood Warning","status":"` + c.status + `","messageType":"` + c.kind + `"}}]}`
		if got, _, err := nws.ParseAlerts([]byte(body)); err != nil || len(got) != 0 {
			t.Errorf("%s, %s: %+v, error %v; want no warning", c.status, c.kind, got, err)
		}
	}
}

func TestAWarningThatDoesNotSayWhenItBeginsIsInForce(t *testing.T) {
	got, warnings, err := nws.ParseAlerts([]byte(`{"type":"FeatureCollection","features":[{"properties":{"headline":"Frost Advisory","expires":"2026-02-07T06:00:00Z"}}]}`))
	if err != nil || len(got) != 1 || !got[0].From.IsZero() || !got[0].Until.Known || got[0].Hazard != model.HazardCold || len(warnings) != 1 || !strings.Contains(warnings[0], "taken as in force") {
		t.Errorf("warnings %+v, notes %q, error %v; want it kept, with its end", got, warnings, err)
	}
}

func TestAnswersThatAreNoneAboutWarnings(t *testing.T) {
	for _, c := range []struct {
		name, body, says string
		code             model.Code
	}{
		{"nothing", " ", "is empty", model.Invalid},
		{"a web page", "<html>", "is a web page", model.Invalid},
		{"broken off", `{"type":"FeatureCollection","features":[`, "breaks off", model.Invalid},
		{"a problem", `{"title":"Service Unavailable","status":503}`, "the feed says 503", model.Unavailable},
		{"features null", `{"type":"FeatureCollection","features":null}`, "no list of features", model.Invalid},
		{"no features", `{"type":"FeatureCollection"}`, "no list of features", model.Invalid},
		{"an entry that is none", `{"type":"FeatureCollection","features":[null]}`, "feature 1 is none", model.Invalid},
		{"an entry without properties", `{"type":"FeatureCollection","features":[{"properties":{}}]}`, "feature 1 is none", model.Invalid},
	} {
		got, _, err := nws.ParseAlerts([]byte(c.body))
		if err == nil || got != nil || model.CodeOf(err) != c.code || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %+v, error %v; want an error that says %q", c.name, got, err, c.says)
		}
	}
	got, warnings, err := nws.ParseAlerts([]byte(`{"type":"FeatureCollection","features":[]}`))
	if err != nil || len(got) != 0 || len(warnings) != 0 {
		t.Errorf("none in force: %+v, %q, %v; want an answer without warnings", got, warnings, err)
	}
}

func FuzzParseAlerts(f *testing.F) {
	f.Add(alertsSample(f))
	f.Add([]byte(`{"type":"Feature","properties":{"onset":"9999-12-31T23:59:59-23:59","event":"\ud800","status":7}}`))
	f.Add([]byte(`{"title": "Not Found", "status": 404}`))
	f.Fuzz(func(t *testing.T, body []byte) {
		got, _, err := nws.ParseAlerts(body)
		if err != nil && got != nil {
			t.Error("warnings beside an error")
		}
		for _, w := range got {
			if w.Event == "" || w.Hazard == "" || w.Severity == "" || w.Sender == "" || w.Until.Known && w.Until.Value.Before(w.From) {
				t.Errorf("warning %+v", w)
			}
			if _, err := json.Marshal(w); err != nil {
				t.Errorf("it cannot be written: %v", err)
			}
		}
	})
}
