package brightsky_test

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs/feed/brightsky"
	"osier/model"
)

// alertsSample is an answer made up here after the service's published answer
// models: two warnings, a test and an all-clear.
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
		{52.52, 13.4, "https://api.brightsky.dev/alerts?lat=52.52&lon=13.4&tz=Etc%2FUTC"},
		{-0.00001, 8.123456, "https://api.brightsky.dev/alerts?lat=0&lon=8.1235&tz=Etc%2FUTC"},
		{91, 0, "lat:"},
		{math.NaN(), 0, "lat:"},
		{0, -181, "lon:"},
	} {
		got, err := brightsky.AlertsURL(c.lat, c.lon)
		if err != nil {
			got = err.Error()[:4]
		}
		if got != c.want {
			t.Errorf("%v %v: %q, %v; want %q", c.lat, c.lon, got, err, c.want)
		}
	}
}

func TestWarningsOfAPlace(t *testing.T) {
	got, warnings, err := brightsky.ParseAlerts(alertsSample(t))
	if err != nil || len(warnings) != 0 {
		t.Fatalf("error %v, warnings %q", err, warnings)
	}
	want := []model.OfficialWarning{
		{
			ID: "2.49.0.0.276.0.DWD.PVW.1770379200000.invented-1", Source: "brightsky_alerts", Sender: "Deutscher Wetterdienst",
			Hazard: model.HazardWind, Event: "wind gusts", Severity: model.Moderate, Headline: "Official WARNING of WIND GUSTS",
			From: at("2026-02-06T18:00:00Z"), Until: model.Known(at("2026-02-07T06:00:00Z")),
		},
		{ // no English name, no end
			ID: "2.49.0.0.276.0.DWD.PVW.1770379200000.invented-2", Source: "brightsky_alerts", Sender: "Deutscher Wetterdienst",
			Hazard: model.HazardThunder, Event: "SCHWERES GEWITTER mit ORKANBÖEN", Severity: model.Severe,
			Headline: "Amtliche UNWETTERWARNUNG vor SCHWEREM GEWITTER", From: at("2026-02-06T12:00:00Z"),
		},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("warnings (-want +got):\n%s", diff)
	}
}

// What is wrong with a field takes neither the warning nor its other fields.
func TestAWarningIsNotLostToAFault(t *testing.T) {
	whole := model.OfficialWarning{
		ID: "w", Source: "brightsky_alerts", Sender: "Deutscher Wetterdienst", Hazard: model.HazardCold, Event: "frost", Severity: model.Minor,
		Headline: "Official WARNING of FROST", From: at("2026-02-06T18:00:00Z"), Until: model.Known(at("2026-02-07T06:00:00Z")),
	}
	for _, c := range []struct {
		name, field, value string // in place of the right value
		want               func(*model.OfficialWarning)
		says               string // of the warning; none where there is none
	}{
		{"whole", "category", `"met"`, func(*model.OfficialWarning) {}, ""},
		{"a number for a name", "event_en", `7`, func(w *model.OfficialWarning) { w.Event = "Warning" }, "event_en"},
		{"a severity of its own", "severity", `"red"`, func(w *model.OfficialWarning) { w.Severity = model.UnknownSeverity }, ""},
		{"no severity", "severity", `null`, func(w *model.OfficialWarning) { w.Severity = model.UnknownSeverity }, ""},
		{"an onset that is no time", "onset", `"tonight"`, func(w *model.OfficialWarning) { w.From = at("2026-02-06T12:00:00Z") }, `"tonight" is no time`},
		{"no onset", "onset", `null`, func(w *model.OfficialWarning) { w.From = at("2026-02-06T12:00:00Z") }, ""},
		{"an end of another age", "expires", `"0001-01-01T00:00:00Z"`, func(w *model.OfficialWarning) { w.Until = model.Maybe[time.Time]{} }, "is no time"},
		{"an end before the beginning", "expires", `"2026-02-06T17:00:00Z"`, func(w *model.OfficialWarning) { w.Until = model.Maybe[time.Time]{} }, ""},
		{"a status nobody knows", "status", `"draft"`, func(*model.OfficialWarning) {}, ""},
		{"no name", "alert_id", `null`, func(w *model.OfficialWarning) { w.ID = "" }, ""},
	} {
		fields := map[string]json.RawMessage{
			"alert_id": json.RawMessage(`"w"`), "status": json.RawMessage(`"actual"`), "severity": json.RawMessage(`"minor"`),
			"event_en": json.RawMessage(`"frost"`), "headline_en": json.RawMessage(`"Official WARNING of FROST"`),
			"effective": json.RawMessage(`"2026-02-06T12:00:00Z"`), "onset": json.RawMessage(`"2026-02-06T18:00:00Z"`), "expires": json.RawMessage(`"2026-02-07T06:00:00Z"`),
		}
		fields[c.field] = json.RawMessage(c.value)
		body, err := json.Marshal(map[string]any{"alerts": []any{fields}, "location": map[string]int{"warn_cell_id": 1}})
		if err != nil {
			t.Fatal(err)
		}
		got, warnings, err := brightsky.ParseAlerts(body)
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

func TestAWarningThatDoesNotSayWhenItBeginsIsInForce(t *testing.T) {
	got, warnings, err := brightsky.ParseAlerts([]byte(`{"alerts":[{"event_en":"frost","expires":"2026-02-07T06:00:00Z"}],"location":{"warn_cell_id":1}}`))
	if err != nil || len(got) != 1 || !got[0].From.IsZero() || !got[0].Until.Known || len(warnings) != 1 || !strings.Contains(warnings[0], "taken as in force") {
		t.Errorf("warnings %+v, notes %q, error %v; want it kept, with its end", got, warnings, err)
	}
}

func TestAnswersThatAreNoneAboutWarnings(t *testing.T) {
	for _, c := range []struct{ name, body, says string }{
		{"nothing", " \n", "is empty"},
		{"a web page", "<html>", "is a web page"},
		{"broken off", `{"alerts":[`, "breaks off"},
		{"the weather instead", `{"weather":[],"sources":[]}`, "the list is missing"},
		{"an error", `{"detail":"Not Found"}`, "the list is missing"},
		{"a place that is not warned", `{"alerts":[],"location":null}`, "outside Germany"},
		{"all the country's", `{"alerts":[]}`, "outside Germany"},
		{"an entry that is none", `{"alerts":[null],"location":{"warn_cell_id":1}}`, "alerts[0] is no warning"},
		{"an empty entry", `{"alerts":[{}],"location":{"warn_cell_id":1}}`, "alerts[0] is no warning"},
		{"a number among them", `{"alerts":[{"event_en":"frost"},7],"location":{"warn_cell_id":1}}`, "alerts[1] is no warning"},
	} {
		got, _, err := brightsky.ParseAlerts([]byte(c.body))
		if err == nil || got != nil || model.CodeOf(err) != model.Invalid || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %+v, error %v; want an error that says %q", c.name, got, err, c.says)
		}
	}
	got, warnings, err := brightsky.ParseAlerts([]byte(`{"alerts":[],"location":{"warn_cell_id":1}}`))
	if err != nil || len(got) != 0 || len(warnings) != 0 {
		t.Errorf("none in force: %+v, %q, %v; want an answer without warnings", got, warnings, err)
	}
}

func FuzzParseAlerts(f *testing.F) {
	f.Add(alertsSample(f))
	f.Add([]byte(`{"alerts":[{"onset":"9999-12-31T23:59:59-23:59","event_en":7,"headline_de":"\ud800"}],"location":{"warn_cell_id":1}}`))
	f.Add([]byte(`{"alerts":[],"location":{"warn_cell_id":null}}`))
	f.Fuzz(func(t *testing.T, body []byte) {
		got, _, err := brightsky.ParseAlerts(body)
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
