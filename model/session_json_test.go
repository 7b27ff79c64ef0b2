package model_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

func TestSampleJSON(t *testing.T) {
	parsed, reports, err := model.ReadSessionsJSON(bytes.NewReader(readSample(t, "sessions.json")), model.Defaults{Now: testNow})
	if err != nil {
		t.Fatal(err)
	}
	if len(parsed) != 3 || len(reports) != 3 {
		t.Fatalf("%d sessions, %+v", len(parsed), reports)
	}
	vp, tolly, rj := parsed[0].Session, parsed[1].Session, parsed[2].Session
	if vp.Weight != model.Known(model.Weight{G: 2154.564, How: model.Weighed}) || vp.Rods != 1 || vp.Planned.Level != "Ample" {
		t.Errorf("VP: %+v", vp)
	}
	if diff := cmp.Diff(map[model.Group]int{model.Bream: 3}, vp.Fish); diff != "" {
		t.Error("null is no zero: " + diff)
	}
	if tolly.Bites != model.Known(3) || tolly.Fish[model.Silver] != 1 || tolly.CastCount != model.Known(11) {
		t.Errorf("tolly: %+v", tolly)
	}
	if rj.Bites != model.Known(1) || rj.Fish[model.Bream] != 1 {
		t.Errorf("rj: %+v", rj)
	}
}

func TestDecodeSessionRefusals(t *testing.T) {
	for _, c := range []struct{ name, body, field, says string }{
		{"unknown field", `{"watr": "x"}`, "watr", "no such field"},
		{"unknown field of the reading", `{"water_temp": {"c": 12, "f": 54}}`, "f", "no such field"},
		{"unknown field of a cast", `{"casts": [{"colour": 1}]}`, "colour", "no such field"},
		{"field twice", `{"water": "a", "water": "b"}`, "water", "twice"},
		{"field twice in other letters", `{"water": "a", "Water": "b"}`, "Water", "twice"},
		{"field twice inside", `{"casts": [{"in": null}, {"in": null, "in": null}]}`, "in", "twice"},
		{"two documents", `{} {}`, "", "something follows"},
		{"cut short", `{"water": "quill`, "", "breaks off"},
		{"nothing", ``, "", "breaks off"},
		{"words for a count", `{"bites": "loads"}`, "bites", "bites_text"},
		{"half a bite", `{"bites": 2.5}`, "bites", "whole number"},
		{"number too large", `{"breaks_min": 1e999}`, "breaks_min", "a number"},
		{"NaN", `{"breaks_min": NaN}`, "", "cannot be read as JSON"},
		{"time without offset", `{"start": "2025-06-14T07:00:00"}`, "start", "with an offset"},
		{"time of a cast", `{"casts": [{"in": "2025-06-14T07:00:00Z", "out": "soon"}]}`, "casts[0].out", "with an offset"},
		{"decimal pound", `{"weight": {"lb": 4.12}}`, "weight.lb", "decimal pound"},
		{"not UTF-8", "{\"notes\": \"\xff\"}", "", "UTF-8"},
		{"deep", strings.Repeat("[", 100), "", "too deeply"},
		{"a list", `[]`, "", "an object"},
	} {
		_, err := model.DecodeSession([]byte(c.body))
		if err == nil || fieldOf(err) != c.field || !strings.Contains(err.Error(), c.says) || model.CodeOf(err) != model.Invalid {
			t.Errorf("%s: got field %q and %v, want %q and %q", c.name, fieldOf(err), err, c.field, c.says)
		}
	}
}

func TestWhatTheAPIShowsCanBeSentBack(t *testing.T) {
	for _, s := range []model.Session{summaryDay(), hourlyDay(), fullDay()} {
		body, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		got, err := model.DecodeSession(body)
		if err != nil {
			t.Fatalf("%s: %v", s.Style, err)
		}
		if same, differs := model.Duplicate(s, got); !same {
			t.Errorf("%s: %v differ", s.Style, differs)
		}
	}
}

func TestJSONFilesRefusedWhole(t *testing.T) {
	for _, c := range []struct {
		name, text string
		code       model.Code
		says       string
	}{
		{"web page", "<html>", model.Invalid, "web page"},
		{"empty", "", model.Invalid, "empty"},
		{"truncated", `{"sessions": [{"water": "x"}`, model.Invalid, "breaks off"},
		{"no list", `{"sessions": []}`, model.Invalid, "no session"},
		{"other field", `{"session": []}`, model.Invalid, "no such field"},
		{"too many", `{"sessions": [` + strings.Repeat("1,", 100_000) + `1]}`, model.TooLarge, "100000 sessions"},
	} {
		_, _, err := model.ReadSessionsJSON(strings.NewReader(c.text), model.Defaults{Now: testNow})
		if err == nil || model.CodeOf(err) != c.code || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v, want %s with %q", c.name, err, c.code, c.says)
		}
	}
}

func TestOneBadSessionOfAListIsRefusedByItself(t *testing.T) {
	text := `{"sessions": [
		{"water": "w", "angler": "a", "group": "carp", "style": "summary", "start": "2025-06-14T07:00:00Z", "end": "2025-06-14T09:00:00Z"},
		{"water": "w", "angler": "a", "group": "carp", "style": "summary", "start": "2025-06-14T07:00:00Z", "end": "2025-06-14T09:00:00Z", "blank": true},
		7]}`
	parsed, reports, err := model.ReadSessionsJSON(strings.NewReader(text), model.Defaults{Now: testNow})
	if err != nil || len(parsed) != 1 || parsed[0].Rows[0] != 2 || len(reports) != 3 {
		t.Fatalf("%v %+v %+v", err, parsed, reports)
	}
	if !strings.Contains(reports[0].Problems[0], "a zero must be typed") || reports[1].Status != model.RowStored || reports[2].Status != model.RowRefused {
		t.Errorf("%+v", reports)
	}
}
