package api_test

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

// liveStart, liveCasts and liveEnd are the batches of one morning.
const (
	liveStart = `{"sent_at":"2026-11-25T09:20:00Z","events":[
		{"id":"st","kind":"start","at":"2026-11-25T08:10:00Z","start":{"water":"quillmarsh-pit","angler":"sedge","group":"bream","peg":"7","planned_rate_g_h":90,"depth_m":2.5,"opening":{"fills":4,"release":"bottom"}},"feeder":{"type":"cage","capacity_ml":55,"weight_g":40},"clip_distance_m":30,"hook_bait":"maggot","hook_length_cm":75},
		{"id":"r1","kind":"reading","at":"2026-11-25T08:12:00Z","temp_c":8.5,"depth_m":0.3}]}`
	liveCasts = `{"sent_at":"2026-11-25T09:20:00Z","events":[
		{"id":"f1","kind":"fill","at":"2026-11-25T08:19:30Z","fill_g":38,"particles":"pinkies"},
		{"id":"c1","kind":"cast","at":"2026-11-25T08:20:00Z"},
		{"id":"s1","kind":"settled","at":"2026-11-25T08:20:30Z"},
		{"id":"b1","kind":"bite","at":"2026-11-25T08:26:30Z"},
		{"id":"k1","kind":"fish","at":"2026-11-25T08:28:00Z","group":"bream","fish_g":1450},
		{"id":"c2","kind":"cast","at":"2026-11-25T08:35:00Z"},
		{"id":"l2","kind":"line_bite","at":"2026-11-25T08:41:00Z"},
		{"id":"x9","kind":"cast","at":"2026-11-25T11:00:00Z"},
		{"id":"k1","kind":"fish","at":"2026-11-25T08:28:00Z","group":"bream","fish_g":900}]}`
	liveEnd = `{"sent_at":"2026-11-25T09:20:00Z","events":[
		{"id":"k3","kind":"fish","at":"2026-11-25T08:28:00Z","made_at":"2026-11-25T08:50:00Z","group":"bream","fish_g":1500},
		{"id":"c3","kind":"cast","at":"2026-11-25T08:55:00Z"},
		{"id":"en","kind":"end","at":"2026-11-25T09:15:00Z"}]}`
)

func TestASessionIsLoggedLive(t *testing.T) {
	h := newPit(t)
	send := func(body string) model.EventsTaken {
		t.Helper()
		return read[model.EventsTaken](t, h.wants(h.send("POST", "/v1/sessions/s-live/events", body), 200))
	}
	if taken := send(liveStart); taken.Session != nil || !strings.Contains(taken.Waiting, "no cast yet") {
		t.Errorf("after the start %+v", taken)
	}
	if p := h.problem(h.send("GET", "/v1/sessions/s-live/live", ""), 404); !strings.Contains(p.Detail, "no cast yet") {
		t.Errorf("before the first cast: %s", p.Detail)
	}
	taken := send(liveCasts)
	var got []string
	for _, o := range taken.Outcomes {
		got = append(got, strings.TrimSpace(fmt.Sprint(o.ID, " ", o.Status, " ", o.Field)))
	}
	want := []string{
		"f1 stored", "c1 stored", "s1 stored", "b1 stored", "k1 refused events[4].id", "c2 stored", "l2 stored",
		"x9 refused events[7].at", "k1 refused events[8].id",
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("outcomes (-want +got):\n%s", diff)
	}
	if taken.Session == nil || taken.Session.Open == nil || len(taken.Session.Soaks) != 2 || taken.Session.Soaks[0].BiteMin != model.Known(6.0) {
		t.Errorf("so far %+v", taken.Session)
	}
	if taken = send(liveEnd); taken.Record.ID != "s-live" || taken.Record.Problem != "" {
		t.Errorf("at the end %+v", taken.Record)
	}
	record := read[model.Session](t, h.wants(h.send("GET", "/v1/sessions/s-live", ""), 200))
	if len(record.Casts) != 3 || record.Bites != model.Known(1) || record.Fish[model.Bream] != 1 || record.Casts[0].FishG != model.Known[model.Grams](1500) {
		t.Errorf("the record is %+v", record)
	}
	before := h.revision()
	if again := send(liveEnd); again.Outcomes[0].Status != model.EventDuplicate || h.revision() != before {
		t.Errorf("sent again: %+v", again.Outcomes)
	}
	w := h.wants(h.send("GET", "/v1/sessions/s-live/live", ""), 200)
	if w.Header().Get("Cache-Control") != "private, no-cache" || w.Header().Get("ETag") == "" {
		t.Errorf("headers %v", w.Header())
	}
	h.wants(h.send("GET", "/v1/sessions/s-live/live", "", header{"If-None-Match", w.Header().Get("ETag")}), http.StatusNotModified)
	h.wants(h.send("DELETE", "/v1/sessions/s-live", ""), http.StatusNoContent)
	h.problem(h.send("GET", "/v1/sessions/s-live/live", ""), 404)
}

func TestBatchesRefused(t *testing.T) {
	h := newPit(t)
	h.wants(h.send("POST", "/v1/sessions", with(summary, `"water"`, `"id":"s-paper","water"`)), 201)
	many := `{"sent_at":"2026-11-25T09:20:00Z","events":[{}` + strings.Repeat(",{}", model.MostEvents) + `]}`
	for _, c := range []struct {
		name, session, body string
		status              int
		field               string
	}{
		{"no clock", "s-live", `{"events":[{}]}`, 422, "sent_at"},
		{"a clock in words", "s-live", with(liveEnd, "2026-11-25T09:20:00Z", "now"), 422, "body"},
		{"a clock of last year", "s-live", with(liveEnd, "2026-11-25T09:20:00Z", "2025-11-25T09:20:00Z"), 422, "sent_at"},
		{"no events", "s-live", `{"sent_at":"2026-11-25T09:20:00Z","events":[]}`, 422, "events"},
		{"a misspelt field", "s-live", `{"sent_at":"2026-11-25T09:20:00Z","event":[]}`, 422, "event"},
		{"too many", "s-live", many, 413, "events"},
		{"a session of no name", "S_1", liveEnd, 422, "session"},
		{"a record that came another way", "s-paper", liveEnd, 409, "session"},
	} {
		if p := h.problem(h.send("POST", "/v1/sessions/"+c.session+"/events", c.body), c.status); p.Field != c.field {
			t.Errorf("%s: refused for %q, want %q: %s", c.name, p.Field, c.field, p.Detail)
		}
	}
	h.problem(h.send("GET", "/v1/sessions/s-live/live", ""), 404)
	h.problem(h.send("POST", "/v1/sessions/s-live/events", liveEnd, header{"Content-Type", "text/plain"}), 422)
}

// With the store down nothing is lost: the device sends again.
func TestEventsWithTheStoreDown(t *testing.T) {
	h := newPit(t)
	must(t, h.db.Close())
	w := h.send("POST", "/v1/sessions/s-live/events", liveEnd)
	if p := h.problem(w, http.StatusServiceUnavailable); p.Code != "unavailable" || w.Header().Get("Retry-After") == "" {
		t.Errorf("the problem is %s", w.Body)
	}
}
