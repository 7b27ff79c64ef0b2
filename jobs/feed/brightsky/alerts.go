package brightsky

import (
	"bytes"
	"cmp"
	"encoding/json"
	"net/url"
	"strings"
	"time"

	"osier/model"
)

// AlertSource is what warnings from here are marked with.
const AlertSource = "brightsky_alerts"

// alertSender is whose warnings these are: an answer does not name its sender,
// for there is only one.
const alertSender = "Deutscher Wetterdienst"

// AlertsURL is the address of the warnings at a place: latitude -90 to 90 and
// longitude -180 to 180 degrees, north and east positive, rounded to four
// decimals.
func AlertsURL(latDeg, lonDeg float64) (string, error) {
	if err := model.Between("lat", latDeg, -90, 90, "degrees"); err != nil {
		return "", err
	}
	if err := model.Between("lon", lonDeg, -180, 180, "degrees"); err != nil {
		return "", err
	}
	query := url.Values{"lat": {fourDecimals(latDeg)}, "lon": {fourDecimals(lonDeg)}, "tz": {"Etc/UTC"}}
	return "https://api.brightsky.dev/alerts?" + query.Encode(), nil
}

// alert is one warning as it comes.
type alert struct {
	ID           string `json:"alert_id"`
	Status       string `json:"status"`        // actual, test
	ResponseType string `json:"response_type"` // allclear among others
	Severity     string `json:"severity"`
	EventEN      string `json:"event_en"`
	EventDE      string `json:"event_de"`
	HeadlineEN   string `json:"headline_en"`
	HeadlineDE   string `json:"headline_de"`
	Effective    string `json:"effective"` // when it was given out
	Onset        string `json:"onset"`     // when the weather is expected
	Expires      string `json:"expires"`   // when that is expected to end
}

// ParseAlerts reads the warnings at a place, in the order of the answer; none is
// an answer too. Tests and messages that give the all-clear are passed over.
//
// A warning is never lost to a fault in one of its fields: the fault is told,
// and the field is as if it were absent. Without a time of beginning From is
// zero; without one of ending, or with one before the beginning, the end is not
// known. An entry that is no warning at all makes the whole answer an error,
// since nobody could say what it warned of; so does an answer that names no
// municipality, for a place that is not warned must not pass for one that is
// safe.
//
// Field names and words are those of the service's published answer models
// (AlertsResponse, Alert and Location, 2023).
func ParseAlerts(body []byte) ([]model.OfficialWarning, []string, error) {
	entries, err := decodeAlerts(body)
	if err != nil {
		return nil, nil, err
	}
	var out []model.OfficialWarning
	r := &reader{}
	for i, text := range entries {
		if text[0] != '{' || string(text) == "{}" {
			return nil, nil, model.Invalidf("alerts", rightAlerts, "alerts[%d] is no warning", i)
		}
		var a alert
		// What is of another kind than expected leaves the other fields whole.
		if err := json.Unmarshal(text, &a); err != nil {
			r.warn("alerts[%d]: %v; left out", i, err)
		}
		if strings.EqualFold(a.Status, "test") || strings.EqualFold(a.ResponseType, "allclear") {
			continue
		}
		out = append(out, r.official(a, i))
	}
	return out, r.warnings, nil
}

const rightAlerts = "a Bright Sky answer about warnings is one JSON object with the list alerts, if none, and the location"

// decodeAlerts takes an answer apart into its warnings, each a whole JSON value.
func decodeAlerts(body []byte) ([]json.RawMessage, error) {
	text := bytes.TrimSpace(body)
	switch {
	case len(text) == 0:
		return nil, model.Invalidf("alerts", rightAlerts, "the answer is empty")
	case text[0] == '<':
		return nil, model.Invalidf("alerts", rightAlerts, "the answer is a web page, not JSON")
	}
	var doc struct {
		Alerts   []json.RawMessage `json:"alerts"`
		Location map[string]any    `json:"location"`
	}
	if err := json.Unmarshal(text, &doc); err != nil {
		return nil, &model.Error{Code: model.Invalid, Field: "alerts", Wrong: "the answer cannot be read, or breaks off", Right: rightAlerts, Err: err}
	}
	switch {
	case doc.Alerts == nil:
		return nil, model.Invalidf("alerts", rightAlerts, "the list is missing")
	case doc.Location["warn_cell_id"] == nil:
		return nil, model.Invalidf("location", rightAlerts, "the answer names no municipality: the place may lie outside Germany")
	}
	return doc.Alerts, nil
}

func (r *reader) official(a alert, i int) model.OfficialWarning {
	w := model.OfficialWarning{
		ID: a.ID, Source: AlertSource, Sender: alertSender, Severity: model.SeverityOf(a.Severity),
		Event: cmp.Or(a.EventEN, a.EventDE, "Warning"), Headline: cmp.Or(a.HeadlineEN, a.HeadlineDE),
	}
	w.Hazard = model.HazardOf(cmp.Or(a.EventEN, a.EventDE, w.Headline))
	var ok bool
	if w.From, ok = r.alertTime(i, a.Onset, a.Effective); !ok {
		r.warn("alerts[%d]: it does not say when it begins; it is taken as in force", i)
	}
	if until, ok := r.alertTime(i, a.Expires); ok && !until.Before(w.From) {
		w.Until = model.Known(until)
	}
	return w
}

// alertTime reads the first of some texts that is a time.
func (r *reader) alertTime(i int, texts ...string) (time.Time, bool) {
	for _, text := range texts {
		at, err := time.Parse(time.RFC3339, text)
		if err == nil && believable(at.UTC()) {
			return at.UTC().Truncate(time.Second), true
		}
		if text != "" {
			r.warn("alerts[%d]: %.40q is no time such as 2026-03-04T21:15:00+00:00", i, text)
		}
	}
	return time.Time{}, false
}
