package activity_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/stat/distuv"

	"osier/model/activity"
)

// datedRecords are invented sessions of six waters and five anglers, two days
// apart, whose waters differ much and whose wind slows the bites.
func datedRecords(n int) []activity.DatedRecord {
	src := rand.New(rand.NewPCG(21, 4))
	out := make([]activity.DatedRecord, n)
	for i := range out {
		start := time.Date(2024, 2, 3, 7, 0, 0, 0, time.UTC).Add(time.Duration(i) * 46 * time.Hour)
		water, angler := src.IntN(6), src.IntN(5)
		wind := 10 * src.Float64()
		rate := math.Exp(1 + 0.5*float64(water-2) - 0.1*(wind-5))
		multiplier := distuv.Gamma{Alpha: 1.8, Beta: 1.8, Src: src}.Rand()
		bites := int(distuv.Poisson{Lambda: 4 * rate * multiplier, Src: src}.Rand())
		c := activity.Covariates{DayOfYear: start.YearDay(), MidHour: 9, WindMps: wind}
		c.Known.WindMps = true
		whole := activity.IntervalRecord{Covariates: c, Bites: bites, BitesKnown: true, Fish: bites / 2, FishKnown: true, RodHours: 4}
		out[i] = activity.DatedRecord{
			Record: activity.SessionRecord{
				ID: fmt.Sprintf("s-%04d", i), Water: fmt.Sprintf("w%d", water), Angler: fmt.Sprintf("a%d", angler),
				Weight: 1, Intervals: []activity.IntervalRecord{whole},
			},
			Start: start, End: start.Add(4 * time.Hour), KnownFrom: start.Add(24 * time.Hour), Whole: whole,
		}
	}
	return out
}

func rolled(t *testing.T, sessions []activity.DatedRecord) activity.Backtest {
	t.Helper()
	b, err := activity.RollingOrigin("silver", sessions, nil)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestRollingOriginBeatsTheReferencesThatKnowLess(t *testing.T) {
	sessions := datedRecords(240)
	var heard []int
	b, err := activity.RollingOrigin("silver", sessions, func(done, all int) { heard = append(heard, done, all) })
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Scored) != 240 || b.Climbs < 5 || b.Updates < 1 {
		t.Errorf("%d scored with %d climbs and %d updates", len(b.Scored), b.Climbs, b.Updates)
	}
	if want := []int{16, 16}; !slices.Equal(heard[len(heard)-2:], want) {
		t.Errorf("progress ends with %v, want %v", heard[len(heard)-2:], want)
	}
	e := activity.Evaluate(b.Scored, activity.ReferenceNames())
	for _, s := range e.Figures.Skill {
		t.Logf("%s: %d sessions, log score %+v, CRPS %+v", s.Reference, s.Sessions, s.LogScore, s.CRPS)
	}
	t.Logf("cover %.3f, PIT p %.3f, findings %q", e.Figures.Cover90, e.Figures.PITUniform, e.Findings)
	if one := e.Figures.Skill[0]; one.Reference != activity.OneRate || one.Sessions != 240 || one.LogScore.Verdict != activity.Better {
		t.Errorf("against one rate: %+v %+v", one, one.LogScore)
	}
	if ols := e.Figures.Skill[2]; ols.Reference != activity.PlainOLS || ols.Sessions < 150 || ols.Sessions >= 240 {
		t.Errorf("the plain regression forecast %d sessions: it cannot answer the first months", ols.Sessions)
	}
	if nb := e.Figures.Skill[3]; nb.Reference != activity.NoGroupsNB2 || nb.LogScore.Verdict != activity.Better {
		t.Errorf("against NB2 without groups: %+v", nb.LogScore)
	}
}

func TestRollingOriginReadsNothingOfTheFuture(t *testing.T) {
	sessions := datedRecords(60)
	want := rolled(t, sessions)
	turn := time.Date(2024, 5, 1, 0, 0, 0, 0, time.UTC)
	before := func(b activity.Backtest) []activity.ScoredForecast {
		return slices.DeleteFunc(slices.Clone(b.Scored), func(s activity.ScoredForecast) bool { return !s.Start.Before(turn) })
	}
	for _, c := range []struct {
		name   string
		change func(s *activity.DatedRecord)
		only   func(s activity.DatedRecord) bool
	}{
		{"what came later", func(s *activity.DatedRecord) {
			s.Whole.Bites += 40
			s.Record.Intervals = []activity.IntervalRecord{s.Whole}
		}, func(s activity.DatedRecord) bool {
			return !s.Start.Before(turn.AddDate(0, -1, 0)) && !s.Start.Before(turn)
		}},
	} {
		changed := slices.Clone(sessions)
		for i := range changed {
			if c.only(changed[i]) {
				c.change(&changed[i])
			}
		}
		if diff := cmp.Diff(before(want), before(rolled(t, changed))); diff != "" {
			t.Errorf("%s changes earlier forecasts:\n%s", c.name, diff)
		}
	}

	// What came to be known late is read late: with every record entered after
	// the last session the prior alone forecasts, and one climb follows another.
	late := slices.Clone(sessions)
	for i := range late {
		late[i].KnownFrom = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	prior, err := activity.PriorFit("silver")
	if err != nil {
		t.Fatal(err)
	}
	byID := map[string]activity.DatedRecord{}
	for _, s := range late {
		byID[s.Record.ID] = s
	}
	for _, got := range rolled(t, late).Scored {
		s := byID[got.ID]
		f, err := prior.Forecast(s.Whole.Covariates, activity.Setting{}, 4)
		if err != nil {
			t.Fatal(err)
		}
		expected, err := f.Basis.Score(4, s.Whole.Bites)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(expected, got.Score); diff != "" {
			t.Fatalf("session %s is forecast by more than the prior:\n%s", got.ID, diff)
		}
	}
}

func TestBacktestsDoNotDependOnOrder(t *testing.T) {
	sessions := datedRecords(50)
	want := activity.Evaluate(rolled(t, sessions).Scored, activity.ReferenceNames())
	slices.Reverse(sessions)
	if diff := cmp.Diff(want, activity.Evaluate(rolled(t, sessions).Scored, activity.ReferenceNames())); diff != "" {
		t.Errorf("reversed (-want +got):\n%s", diff)
	}
}

func TestSessionsWithoutABiteCountAreLearntFromAndNotScored(t *testing.T) {
	sessions := datedRecords(30)
	for i := range sessions {
		if i%3 == 0 {
			sessions[i].Whole.BitesKnown, sessions[i].Whole.Bites = false, 0
			sessions[i].Record.Intervals = []activity.IntervalRecord{sessions[i].Whole}
		}
	}
	if got := len(rolled(t, sessions).Scored); got != 20 {
		t.Errorf("%d sessions scored, want 20", got)
	}
}

func TestLeavingOutSeesNothingOfWhatIsLeftOut(t *testing.T) {
	sessions := datedRecords(60)
	for _, c := range []struct {
		name string
		run  func(string, []activity.DatedRecord, func(int, int)) (activity.Backtest, error)
		of   func(activity.SessionRecord) string
		out  string
		fits int
	}{
		{"water", activity.LeaveOneWaterOut, func(r activity.SessionRecord) string { return r.Water }, "w5", 6},
		{"angler", activity.LeaveOneAnglerOut, func(r activity.SessionRecord) string { return r.Angler }, "a1", 5},
	} {
		want, err := c.run("silver", sessions, nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(want.Scored) != 60 || want.Climbs != c.fits {
			t.Errorf("%s: %d scored with %d fits, want 60 with %d", c.name, len(want.Scored), want.Climbs, c.fits)
		}
		// The bites of the left out change in one session: the forecasts of the
		// others of its group stay.
		changed := slices.Clone(sessions)
		at := slices.IndexFunc(changed, func(s activity.DatedRecord) bool { return c.of(s.Record) == c.out })
		changed[at].Whole.Bites += 30
		changed[at].Record.Intervals = []activity.IntervalRecord{changed[at].Whole}
		got, err := c.run("silver", changed, nil)
		if err != nil {
			t.Fatal(err)
		}
		left := func(b activity.Backtest) (out []activity.ScoredForecast) {
			for _, s := range b.Scored {
				i := slices.IndexFunc(sessions, func(d activity.DatedRecord) bool { return d.Record.ID == s.ID })
				if c.of(sessions[i].Record) == c.out && i != at {
					out = append(out, s)
				}
			}
			return out
		}
		if diff := cmp.Diff(left(want), left(got)); diff != "" || len(left(got)) == 0 {
			t.Errorf("%s: a session of the group left out changes its own forecasts:\n%s", c.name, diff)
		}
	}
}

func TestBacktestOfNothing(t *testing.T) {
	for _, run := range []func(string, []activity.DatedRecord, func(int, int)) (activity.Backtest, error){
		activity.RollingOrigin, activity.LeaveOneWaterOut, activity.LeaveOneAnglerOut,
	} {
		if b, err := run("silver", nil, nil); err != nil || len(b.Scored) != 0 {
			t.Errorf("no sessions give %+v, %v", b, err)
		}
		if _, err := run("pike", datedRecords(3), nil); err == nil {
			t.Error("a group that does not exist was fitted")
		}
	}
}

func TestSimpleReferencesShrinkAWaterOfFewSessions(t *testing.T) {
	sessions := datedRecords(120)
	r, err := activity.FitSimpleReferences("silver", sessions)
	if err != nil {
		t.Fatal(err)
	}
	mean := func(water string) (one, own float64) {
		s, err := r.Score(water, 4, 3)
		if err != nil {
			t.Fatal(err)
		}
		return s[activity.OneRate].Mean, s[activity.WaterMean].Mean
	}
	oneLow, low := mean("w0")
	oneHigh, high := mean("w5")
	if oneLow != oneHigh || !(low < 0.7*oneLow) || !(high > 1.3*oneHigh) {
		t.Errorf("one rate gives %v and %v, the waters %v and %v", oneLow, oneHigh, low, high)
	}
	if _, err := r.Score("w0", 0, 3); err == nil {
		t.Error("no hours were scored")
	}
	if none, err := activity.FitSimpleReferences("silver", nil); err != nil {
		t.Error(err)
	} else if s, err := none.Score("w0", 4, 3); err != nil || !(s[activity.OneRate].Mean > 0) {
		t.Errorf("the prior gives %+v, %v", s, err)
	}
}
