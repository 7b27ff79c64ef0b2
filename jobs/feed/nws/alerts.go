package nws

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"osier/model"
)

// AlertSource is what warnings from here are marked with.
const AlertSource = "nws_alerts"

// AlertsURL is the address of the warnings in force at a place: latitude -90 to
// 90 and longitude -180 to 180 degrees, north and east positive, rounded to four
// decimals.
func AlertsURL(latDeg, lonDeg float64) (string, error) {
	if err := model.Between("lat", latDeg, -90, 90, "degrees"); err != nil {
		return "", err
	}
	if err := model.Between("lon", lonDeg, -180, 180, "degrees"); err != nil {
		return "", err
	}
	return fmt.Sprintf("%s/alerts/active?point=%s,%s", host, fourDecimals(latDeg), fourDecimals(lonDeg)), nil
}

// ParseAlerts reads the warnings in force at a place, in the order of the
// answer; none is an answer too. Tests, exercises and drafts are passed over, and
// so are messages that take a warning back: the feed then lists the warning
// itself no longer.
//
// A warning is never lost to a fault in one of its fields: the fault is told,
// and the field is as if it were absent. Without a time of beginning From is
// zero; without one of ending, or with one before the beginning, the end is not
// known. An entry that is no warning at all makes the whole answer an error,
// since nobody could say what it warned of.
//
// Field names and words are those of the OpenAPI document; that expires is when
// the message runs out and ends when the weather does, and that a warning taken
// back leaves the list, is from memory.
func ParseAlerts(body []byte) ([]model.OfficialWarning, []string, error) {
	features, err := split(body)
	if err != nil {
		return nil, nil, err
	}
	if features == nil {
		return nil, nil, model.Invalidf("NWS answer", "an answer about warnings lists them in features, if none", "it has no list of features")
	}
	var out []model.OfficialWarning
	n := &notes{}
	for i, text := range features {
		var f struct {
			Properties map[string]json.RawMessage `json:"properties"`
		}
		if err := json.Unmarshal(text, &f); err != nil || len(f.Properties) == 0 {
			return nil, nil, model.Invalidf("NWS answer", "each feature of it is one warning with properties", "feature %d is none", i+1)
		}
		r := &reader{notes: n, what: fmt.Sprintf("warning %d", i+1), properties: f.Properties}
		if r.inEarnest() {
			out = append(out, r.official())
		}
	}
	return out, n.list, nil
}

// inEarnest parts warnings from tests and from messages that take one back. What
// names neither its status nor its type, or one that is not known, is a warning.
func (r *reader) inEarnest() bool {
	status, kind := strings.ToLower(r.text("status")), strings.ToLower(r.text("messageType"))
	return !slices.Contains([]string{"exercise", "system", "test", "draft"}, status) && !slices.Contains([]string{"cancel", "ack", "error"}, kind)
}

func (r *reader) official() model.OfficialWarning {
	event, headline := r.text("event"), r.text("headline")
	w := model.OfficialWarning{
		ID: r.text("id"), Source: AlertSource, Sender: cmp.Or(r.text("senderName"), "US National Weather Service"),
		Hazard: model.HazardOf(cmp.Or(event, headline)), Event: cmp.Or(event, "Warning"), Severity: model.SeverityOf(r.text("severity")), Headline: headline,
	}
	var ok bool
	if w.From, ok = r.firstTime("onset", "effective", "sent"); !ok {
		r.warn("%s: it does not say when it begins; it is taken as in force", r.what)
	}
	if until, ok := r.firstTime("ends", "expires"); ok && !until.Before(w.From) {
		w.Until = model.Known(until)
	}
	return w
}

// firstTime reads the first of some properties that is a time.
func (r *reader) firstTime(names ...string) (time.Time, bool) {
	for _, name := range names {
		text := r.text(name)
		at, err := time.Parse(time.RFC3339, text)
		if err == nil && at.UTC().Year() >= 1900 && at.UTC().Year() <= 2200 {
			return at.UTC().Truncate(time.Second), true
		}
		if text != "" {
			r.warn("%s: %s: %.40q is no time such as 2026-03-04T21:15:00+00:00", r.what, name, text)
		}
	}
	return time.Time{}, false
}
