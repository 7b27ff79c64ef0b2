package api_test

import (
	"bytes"
	"testing"
	"time"

	"osier/model"
)

func TestTheSameQuestionGetsTheSamePlan(t *testing.T) {
	h := newPit(t)
	first := h.wants(h.send("POST", "/v1/plans", question), 200)
	second := h.wants(h.send("POST", "/v1/plans", question), 200)
	if !bytes.Equal(first.Body.Bytes(), second.Body.Bytes()) {
		t.Errorf("the plans differ:\n%s\n%s", first.Body, second.Body)
	}
	p := read[model.Plan](t, first)
	where := first.Header().Get("Content-Location")
	if where != "/v1/plans/"+p.ID {
		t.Errorf("the plan %s stays at %q", p.ID, where)
	}
	if kept := h.wants(h.send("GET", where, ""), 200); !bytes.Equal(kept.Body.Bytes(), first.Body.Bytes()) {
		t.Errorf("the plan as issued and as kept differ:\n%s\n%s", first.Body, kept.Body)
	}
	if p.Water != "quillmarsh-pit" || p.Group != model.Bream || p.Feed.RateGH <= 0 || p.Activity == nil || len(p.Conditions) != 5 || p.Deferral != model.Deferral {
		t.Errorf("the plan is thin: %s", first.Body)
	}
}

// What another process writes is seen as soon as this one asks the store again
// how often it changed, a few times a second.
func TestANewRecordMakesTheCachedAnswerOld(t *testing.T) {
	h := newPit(t)
	const path = "/v1/waters/quillmarsh-pit/conditions"
	tag := h.wants(h.send("GET", path, ""), 200).Header().Get("ETag")
	must(t, h.db.PutReport(t.Context(), model.Report{ID: "r-1", Water: "quillmarsh-pit", Kind: model.SawIce, At: now}))
	w := h.send("GET", path, "", header{"If-None-Match", tag})
	for deadline := time.Now().Add(5 * time.Second); w.Code == 304 && time.Now().Before(deadline); {
		w = h.send("GET", path, "", header{"If-None-Match", tag})
	}
	if w := h.wants(w, 200); !bytes.Contains(w.Body.Bytes(), []byte(`"id":"ice"`)) {
		t.Errorf("the ice that was seen is not in the cautions: %s", w.Body)
	}
}
