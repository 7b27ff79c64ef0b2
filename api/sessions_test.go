package api_test

import (
	"bytes"
	"strings"
	"testing"

	"osier/model"
)

func TestARecordSentTwiceIsKeptOnce(t *testing.T) {
	h := newPit(t)
	first := h.wants(h.send("POST", "/v1/sessions", summary), 201)
	before := h.revision()
	second := h.wants(h.send("POST", "/v1/sessions", summary), 200)
	if !bytes.Equal(first.Body.Bytes(), second.Body.Bytes()) || first.Header().Get("Location") != second.Header().Get("Location") {
		t.Errorf("the record is not the stored one:\n%s\n%s", first.Body, second.Body)
	}
	p := h.problem(h.send("POST", "/v1/sessions", with(summary, `"bites":14`, `"bites":15`)), 409)
	if p.Code != "conflict" || p.Field != "bites" || !strings.Contains(p.Wrong, "differs") || !strings.Contains(p.Right, "change the stored record") {
		t.Errorf("the problem is %+v", p)
	}
	if h.revision() != before {
		t.Error("a duplicate or a conflict changed the store")
	}
}

func TestARecordIsKeptAsSent(t *testing.T) {
	h := newPit(t)
	where := h.wants(h.send("POST", "/v1/sessions", summary), 201).Header().Get("Location")
	s := read[model.Session](t, h.send("GET", where, ""))
	if s.Rods != 1 || s.Planned.Level != "Even" || s.Fish[model.Bream] != 5 || len(s.Fish) != 1 ||
		s.Weight != model.Known(model.Weight{G: 6010.099, How: model.Weighed}) || // 13 lb 4 oz
		s.WaterTemp.Value.C != 7.5 || !s.EnteredAt.Equal(now) {
		t.Errorf("the record is %+v", s)
	}
}

func TestAMergePatchChangesWhatItNames(t *testing.T) {
	for _, tc := range []struct {
		name, patch string
		got         func(model.Session) any
		want        any
	}{
		{"a value", `{"bites":15}`, func(s model.Session) any { return s.Bites }, model.Known(15)},
		{"null removes", `{"line_bites":null}`, func(s model.Session) any { return s.LineBites }, model.Maybe[int]{}},
		{"an object is merged", `{"fish":{"silver":2}}`, func(s model.Session) any { return s.Fish[model.Bream]*10 + s.Fish[model.Silver] }, 52},
		{"a member of an object is removed", `{"weight":{"g":null,"kg":6.5}}`, func(s model.Session) any { return s.Weight.Value }, model.Weight{G: 6500, How: model.Weighed}},
		{"the rest stays", `{"notes":"wind got up"}`, func(s model.Session) any { return s.Peg + ", " + s.Notes }, "7, wind got up"},
		{"nothing", `{}`, func(s model.Session) any { return s.Bites }, model.Known(14)},
	} {
		t.Run(tc.name, func(t *testing.T) {
			h := newPit(t)
			where := h.wants(h.send("POST", "/v1/sessions", summary), 201).Header().Get("Location")
			changed := h.wants(h.send("PATCH", where, tc.patch, header{"Content-Type", "application/merge-patch+json"}), 200)
			kept := h.wants(h.send("GET", where, ""), 200)
			if !bytes.Equal(changed.Body.Bytes(), kept.Body.Bytes()) {
				t.Errorf("answered %s and kept %s", changed.Body, kept.Body)
			}
			if got := tc.got(read[model.Session](t, kept)); got != tc.want {
				t.Errorf("got %v, want %v", got, tc.want)
			}
		})
	}
}

func TestAPatchThatDoesNotHold(t *testing.T) {
	for _, tc := range []struct {
		name, patch  string
		status       int
		field, wrong string
	}{
		{"an unknown field", `{"bits":15}`, 422, "bits", "no such field"},
		{"a field in capitals beside the real one", `{"Bites":15}`, 422, "bites", "twice"},
		{"another identifier", `{"id":"s-9"}`, 422, "id", "would change"},
		{"a value out of range", `{"rods":9}`, 422, "rods", "out of range"},
		{"another water that is not there", `{"water":"nowhere"}`, 404, "water", "nowhere"},
		{"null", `null`, 422, "body", "null"},
		{"a list", `[]`, 422, "body", "array"},
		{"NaN", `{"bites":NaN}`, 422, "body", "no JSON"},
		{"trailing data", `{} {}`, 422, "body", "follows"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			h := newPit(t)
			where := h.wants(h.send("POST", "/v1/sessions", summary), 201).Header().Get("Location")
			before := h.revision()
			p := h.problem(h.send("PATCH", where, tc.patch), tc.status)
			if !strings.EqualFold(p.Field, tc.field) || !strings.Contains(p.Wrong, tc.wrong) || p.Right == "" {
				t.Errorf("the problem is %+v", p)
			}
			if h.revision() != before {
				t.Error("the store changed")
			}
		})
	}
}

func TestIfMatchGuardsAgainstAChangeMeanwhile(t *testing.T) {
	h := newPit(t)
	where := h.wants(h.send("POST", "/v1/sessions", summary), 201).Header().Get("Location")
	tag := h.send("GET", where, "").Header().Get("ETag")
	h.wants(h.send("PATCH", where, `{"bites":15}`, header{"If-Match", tag}), 200)
	before := h.revision()
	p := h.problem(h.send("PATCH", where, `{"bites":16}`, header{"If-Match", tag}), 412)
	if p.Code != "precondition_failed" || !strings.Contains(p.Detail, "read it again") {
		t.Errorf("the problem is %+v", p)
	}
	if h.revision() != before {
		t.Error("the store changed")
	}
	fresh := h.send("GET", where, "")
	if s := read[model.Session](t, fresh); s.Bites != model.Known(15) {
		t.Errorf("the bites are %v", s.Bites)
	}
	h.wants(h.send("PATCH", where, `{"bites":16}`, header{"If-Match", fresh.Header().Get("ETag")}), 200)
	h.wants(h.send("PATCH", where, `{"bites":17}`, header{"If-Match", "*"}), 200)
}

func TestARecordIsRemoved(t *testing.T) {
	h := newPit(t)
	where := h.wants(h.send("POST", "/v1/sessions", summary), 201).Header().Get("Location")
	if w := h.wants(h.send("DELETE", where, ""), 204); w.Body.Len() != 0 {
		t.Errorf("the answer is %s", w.Body)
	}
	h.problem(h.send("GET", where, ""), 404)
	h.wants(h.send("POST", "/v1/sessions", summary), 201) // its place is free again
}

func TestAnImportReportsOnEveryRow(t *testing.T) {
	h := newPit(t)
	w := h.wants(h.send("POST", "/v1/imports", csvFile, header{"Content-Type", "text/csv; charset=utf-8"}), 201)
	got := read[model.Import](t, w)
	if got.Stored != 1 || got.Refused != 1 || got.Duplicates != 0 || len(got.Rows) != 2 ||
		got.Rows[0].Row != 2 || got.Rows[1].Status != model.RowRefused || !strings.Contains(strings.Join(got.Rows[1].Problems, " "), "silver, bream or carp") {
		t.Errorf("the report is %s", w.Body)
	}
	if kept := h.wants(h.send("GET", w.Header().Get("Location"), ""), 200); !bytes.Equal(kept.Body.Bytes(), w.Body.Bytes()) {
		t.Errorf("the report as given and as kept differ:\n%s\n%s", w.Body, kept.Body)
	}
	h.wants(h.send("GET", "/v1/sessions/"+got.Rows[0].Session, ""), 200)
	again := read[model.Import](t, h.wants(h.send("POST", "/v1/imports", csvFile, header{"Content-Type", "text/csv"}), 201))
	if again.Stored != 0 || again.Duplicates != 1 || again.Refused != 1 {
		t.Errorf("the same file again: %+v", again)
	}
}
