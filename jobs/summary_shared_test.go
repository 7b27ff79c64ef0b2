package jobs_test

import (
	"strings"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
)

// Who is shared a record is not shown the plan that was made for its angler, nor
// what the angler's other logs make typical; a plan made for nobody is shown.
func TestASharedSummaryRestsOnTheSessionAlone(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	planner := &jobs.Planner{Store: b.db, Now: b.clock}
	question := model.Question{Water: "reedmere", Start: noon.Add(time.Hour), Hours: 4, Group: model.Bream}
	forAll, err := planner.Plan(t.Context(), question)
	done(t, err)
	question.Angler = "RJ"
	forRJ, err := planner.Plan(t.Context(), question)
	done(t, err)
	b.now = noon.Add(6 * time.Hour)
	b.record(t, logOf("s-before", "RJ", noon.Add(-5*time.Hour), 0, 0, 3, 0, 0, 0))
	first := logOf("s-own", "RJ", noon.Add(time.Hour), 4.5, 0, 0, 6.2)
	first.PlanID = forRJ.ID
	b.record(t, first)
	second := logOf("s-all", "RJ", noon.Add(3*time.Hour), 4.5, 0, 0, 6.2)
	second.PlanID = forAll.ID
	b.record(t, second)
	m := &jobs.Summarizer{Store: b.db, Live: b.live()}
	for _, c := range []struct {
		id       string
		planTold bool
	}{{"s-own", false}, {"s-all", true}} {
		own := b.summary(t, c.id)
		if own.Plan == nil || own.Waiting == nil || own.Waiting.TypicalSessions < 2 {
			t.Fatalf("%s: its angler is told %+v, %+v", c.id, own.Plan, own.Waiting)
		}
		shared, err := m.SharedSummary(t.Context(), c.id)
		done(t, err)
		if (shared.Plan != nil) != c.planTold || strings.Contains(shared.PlanText, "is not shared") == c.planTold || (len(shared.Cautions) > 0) != c.planTold {
			t.Errorf("%s: of the plan is told %q, %+v, %d cautions", c.id, shared.PlanText, shared.Plan, len(shared.Cautions))
		}
		if w := shared.Waiting; w == nil || w.Casts != 4 || len(w.Typical) != 0 || w.TypicalCasts != 0 || w.Soak != nil {
			t.Errorf("%s: waiting %+v", c.id, w)
		}
	}
}
