package jobs_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
)

// told is everything that rests on the water of a store, as each may see it.
type told struct {
	Conditions, ConditionsOfA0, Season string
	PlanOfA0, PlanOfA1, PlanOfNobody   model.WaterEstimate
	Joined                             map[string]model.Maybe[model.Celsius]
}

func (b *bench) tell(t *testing.T) told {
	t.Helper()
	ctx, p := t.Context(), jobs.Planner{Store: b.db, Now: b.clock}
	text := func(v any, err error) string {
		done(t, err)
		out, err := json.Marshal(v)
		done(t, err)
		return string(out)
	}
	planned := func(angler string) model.WaterEstimate {
		q := model.Question{Water: "reedmere", Start: b.now.Add(time.Hour), Hours: 4, Group: model.Bream, Angler: angler}
		return b.plan(t, q).Conditions[0].WaterC
	}
	all, err := p.Conditions(ctx, "reedmere", b.now, b.now.Add(4*time.Hour))
	out := told{Conditions: text(all, err), Joined: map[string]model.Maybe[model.Celsius]{}}
	own, err := p.ConditionsFor(ctx, "A0", "reedmere", b.now, b.now.Add(4*time.Hour))
	out.ConditionsOfA0 = text(own, err)
	season, err := p.Season(ctx, "reedmere", nil, 5)
	out.Season = text(season, err)
	out.PlanOfA0, out.PlanOfA1, out.PlanOfNobody = planned("A0"), planned("A1"), planned("")
	b.join(t)
	for _, j := range b.joined(t) {
		out.Joined[j.Session] = j.Drivers.WaterC
	}
	return out
}

// readOn is the day's record of an angler; warm is with a thermometer's reading
// in it, some degrees above the water.
func readOn(daysAgo int, angler string, warm bool) model.Session {
	s := record(daysAgo, angler, 6)
	if warm {
		s.WaterTemp = model.Known(model.WaterReading{C: 11, Instrument: true})
	}
	return s
}

func benchOfTwo(t *testing.T, warm bool) *bench {
	b := newBench(t)
	b.putDays(t, 80)
	for _, s := range []model.Session{readOn(20, "A0", warm), readOn(3, "A0", false), readOn(2, "A1", false)} {
		done(t, b.db.AddSession(t.Context(), s))
	}
	return b
}

// Rule 8 of the design's section 5: what an angler read and wrote into a private
// record corrects the water for that angler, and shows in nothing anybody else
// is told, down to the last digit.
func TestAReadingInsideARecordIsItsAnglersOwn(t *testing.T) {
	without, with := benchOfTwo(t, false).tell(t), benchOfTwo(t, true).tell(t)
	own, others := record(3, "A0", 6).ID, record(2, "A1", 6).ID

	if got, was := with.PlanOfA0, without.PlanOfA0; got.Value < was.Value+0.5 || got.CalibratedBy.Value.Readings != 1 {
		t.Errorf("the angler's own plan has %+v, want it over %v by the reading", got, was.Value)
	}
	if with.ConditionsOfA0 == without.ConditionsOfA0 || with.ConditionsOfA0 == with.Conditions {
		t.Error("the angler's own conditions are not corrected")
	}
	if got, was := with.Joined[own], without.Joined[own]; got.Value < was.Value+0.5 {
		t.Errorf("the angler's next session has water of %v, without the reading %v", got.Value, was.Value)
	}

	with.PlanOfA0, with.ConditionsOfA0, with.Joined[own] = without.PlanOfA0, without.ConditionsOfA0, without.Joined[own]
	if diff := cmp.Diff(without, with); diff != "" {
		t.Errorf("a private reading shows to others (their session %s):\n%s", others, diff)
	}
}

// A reading that was posted is a fact of the water: it corrects what everybody
// is told.
func TestAPostedReadingIsEverybodys(t *testing.T) {
	b := benchOfTwo(t, false)
	without := b.tell(t)
	read := readOn(20, "A0", true)
	done(t, b.db.AddMeterReading(t.Context(), model.MeterReading{
		ID: "m-posted", Water: "reedmere", At: read.Start.Add(2 * time.Hour), WaterC: model.Known[model.Celsius](11), Instrument: true, By: "A0",
	}))
	with := b.tell(t)
	for who, plans := range map[string][2]model.WaterEstimate{
		"who read it": {without.PlanOfA0, with.PlanOfA0}, "another": {without.PlanOfA1, with.PlanOfA1}, "nobody named": {without.PlanOfNobody, with.PlanOfNobody},
	} {
		if was, is := plans[0], plans[1]; is.Value < was.Value+0.5 || is.CalibratedBy.Value.Readings != 1 {
			t.Errorf("the plan of %s has %+v, want it over %v by the reading", who, is, was.Value)
		}
	}
	if with.Conditions == without.Conditions || with.ConditionsOfA0 != with.Conditions {
		t.Error("conditions are not corrected for everybody alike")
	}
	if with.Season == without.Season {
		t.Error("the season is not corrected")
	}
	for _, s := range []model.Session{record(3, "A0", 6), record(2, "A1", 6)} {
		if got, was := with.Joined[s.ID], without.Joined[s.ID]; got.Value < was.Value+0.5 {
			t.Errorf("the session of %s has water of %v, without the reading %v", s.Angler, got.Value, was.Value)
		}
	}
}

// The states that answers go on from are of the weather alone: readings inside
// records change none of them, nor what others are told from them.
func TestStoredStatesHoldNoReading(t *testing.T) {
	without, with := benchOfTwo(t, false), benchOfTwo(t, true)
	without.pull(t)
	with.pull(t)
	if diff := cmp.Diff(without.states(t), with.states(t)); diff != "" {
		t.Error("a private reading changes what is stored:\n" + diff)
	}
	if diff := cmp.Diff(without.conditionsNow(t), with.conditionsNow(t)); diff != "" {
		t.Error("a private reading shows to others:\n" + diff)
	}
}

// Thirty readings of years inside one angler's records make a line for that
// angler and for nobody else.
func TestALineOfPrivateReadingsIsItsAnglersOwn(t *testing.T) {
	const weeks, quietDays = 31, 60
	b := newBench(t)
	b.putDays(t, quietDays+weeks*7+40)
	asked := b.now
	estimate := func(angler string) model.WaterEstimate {
		p := jobs.Planner{Store: b.db, Now: b.clock}
		c, err := p.ConditionsFor(t.Context(), angler, "reedmere", b.now, b.now.Add(time.Hour))
		done(t, err)
		return c.Hours[0].WaterC
	}
	var sessions []model.Session
	for i := range weeks {
		s := record(quietDays+7*i, "A0", 6)
		b.now = s.Start
		s.WaterTemp = model.Known(model.WaterReading{C: model.Celsius(estimate("").Value + 2), Instrument: true, At: model.Known(s.Start)})
		sessions = append(sessions, s)
	}
	b.now = asked
	plain := estimate("")
	for _, s := range sessions {
		done(t, b.db.AddSession(t.Context(), s))
	}
	b.pull(t)
	if got := estimate("A0"); got.Value < plain.Value+1.6 || got.Value > plain.Value+2 {
		t.Errorf("30 of one's own readings 2 C above the model move the water by %v C", got.Value-plain.Value)
	}
	for _, other := range []string{"", "A1"} {
		if got := estimate(other); got != plain {
			t.Errorf("%q is told %+v, want %+v", other, got, plain)
		}
	}
}
