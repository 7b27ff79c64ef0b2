package api_test

import (
	"fmt"
	"net/http"
	"testing"

	"osier/api"
	"osier/model"
)

// scored keeps a session that followed a plan, and its score.
func (h *house) scored(i int, water string) {
	h.t.Helper()
	s := model.Session{
		ID: fmt.Sprintf("s-%03d", i), Water: water, Angler: fmt.Sprintf("A%d", i%7), Group: model.Bream, Style: model.Summary, Rods: 1,
		Start: now.AddDate(0, 0, -i), End: now.AddDate(0, 0, -i).Add(4e12), Bites: model.Known(i % 9), PlanID: "p-1",
	}
	must(h.t, h.db.AddSession(h.t.Context(), s))
	score := model.CountScore{LogScore: model.Known(2 + float64(i%3)), CRPS: 2, PITLow: float64(i%10) / 10, PITHigh: float64(i%10+1) / 10, Cover90: i%10 > 0, Mean: 4}
	must(h.t, h.db.PutScores(h.t.Context(), []model.Score{{
		Session: s.ID, Plan: "p-1", Water: water, Angler: s.Angler, Group: s.Group, Start: s.Start, Bites: i % 9, Fish: model.Known(i % 4),
		Forecast: score, References: map[string]model.CountScore{"one rate": score}, BlankProbability: 0.25,
	}}))
}

func TestTrackRecordGivesCountsThenFigures(t *testing.T) {
	for _, n := range []int{0, 99, 100} {
		h := newPit(t)
		for i := range n {
			h.scored(i, "quillmarsh-pit")
		}
		for path, want := range map[string]int{
			"/v1/track-record": n,
			"/v1/track-record?water=quillmarsh-pit&group=bream": n,
			"/v1/track-record?group=carp":                       0,
		} {
			w := h.wants(h.send("GET", path, ""), http.StatusOK)
			if w.Header().Get("Cache-Control") != "public, max-age=60, stale-while-revalidate=60" { // it is the same for everybody
				t.Errorf("%s: headers %v", path, w.Header())
			}
			h.wants(h.send("GET", path, "", header{"If-None-Match", w.Header().Get("ETag")}), http.StatusNotModified)
			r := read[model.TrackRecord](t, w)
			if r.Sessions != want || r.NoFish != (want+3)/4 || r.FewestFigures != 100 || r.Demo || (r.Figures != nil) != (want >= 100) {
				t.Errorf("%s with %d scored: %+v", path, n, r)
			}
			if want >= 100 && (!r.Figures.LogScore.Known || r.Figures.Skill[0].LogScore.Verdict != "cannot be told apart") {
				t.Errorf("%s: figures %+v", path, r.Figures)
			}
		}
	}
}

func TestTrackRecordSaysAnInfiniteScore(t *testing.T) {
	h := newPit(t, func(o *api.Options) { o.Demo = true })
	for i := range 100 {
		h.scored(i, "quillmarsh-pit")
	}
	scores, err := h.db.Scores(t.Context(), "", "")
	must(t, err)
	scores[5].Forecast.LogScore = model.Maybe[float64]{}
	must(t, h.db.PutScores(t.Context(), scores[5:6]))
	r := read[model.TrackRecord](t, h.wants(h.send("GET", "/v1/track-record", ""), http.StatusOK))
	if r.Impossible != 1 || r.Figures.LogScore.Known || r.Figures.Skill[0].LogScore != nil || r.Figures.Skill[0].CRPS == nil || len(r.Findings) == 0 || !r.Demo {
		t.Errorf("track record %+v, figures %+v", r, r.Figures)
	}
}

func TestTrackRecordRefusals(t *testing.T) {
	h := newPit(t)
	for path, status := range map[string]int{
		"/v1/track-record?water=nowhere": http.StatusNotFound,
		"/v1/track-record?group=pike":    http.StatusUnprocessableEntity,
		"/v1/track-record?angler=VP":     http.StatusUnprocessableEntity,
	} {
		h.wants(h.send("GET", path, ""), status)
	}
}
