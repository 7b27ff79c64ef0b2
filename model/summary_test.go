package model_test

import (
	"strings"
	"testing"
	"time"

	"osier/model"
)

func TestThePlanAgainstWhatHappened(t *testing.T) {
	for _, c := range []struct {
		name    string
		bites   model.Maybe[int]
		verdict string
		says    string
	}{
		{"below", model.Known(1), model.BelowInterval, "1 bite in 4.5 rod-hours lies below the plan's interval of 2 to 13"},
		{"the lower end is inside", model.Known(2), model.InsideInterval, "lie inside the plan's interval"},
		{"the upper end is inside", model.Known(13), model.InsideInterval, "lie inside the plan's interval"},
		{"above", model.Known(14), model.AboveInterval, "14 bites in 4.5 rod-hours lie above the plan's interval of 2 to 13"},
		{"not counted", model.Maybe[int]{}, "", "cannot be judged"},
	} {
		p := model.SummaryPlan{RodHours: 4.5, BitesLow90: 2, BitesHigh90: 13, Bites: c.bites, Fish: model.Known(0), BlankProbability: 0.184}.Judged()
		if p.Verdict != c.verdict || !strings.Contains(p.Text, c.says) || !strings.Contains(p.Text, "18 chances in 100; 0 were landed.") {
			t.Errorf("%s: verdict %q, %q", c.name, p.Verdict, p.Text)
		}
		if alone := strings.Contains(p.Text, "One session cannot tell"); alone != (c.verdict == model.BelowInterval || c.verdict == model.AboveInterval) {
			t.Errorf("%s: %q", c.name, p.Text)
		}
	}
}

// castLog is a log of casts from eight: minutes in the water, an outcome and the
// fill for each, with two minutes between.
func castLog(soakMin float64, fillG model.Maybe[model.Grams], outcomes ...model.Outcome) model.Session {
	s := model.Session{Style: model.FullLog, Rods: 1, Start: time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)}
	at := s.Start
	for _, o := range outcomes {
		c := model.Cast{In: at, Out: at.Add(time.Duration(soakMin * float64(time.Minute))), Outcome: o, FillG: fillG}
		s.Casts = append(s.Casts, c)
		at = c.Out.Add(2 * time.Minute)
	}
	s.End = at
	return s
}

func TestWhatTheCastsFed(t *testing.T) {
	weighed, unweighed := model.Known[model.Grams](20), model.Maybe[model.Grams]{}
	planned := model.Known[model.GramsPerHour](90)
	oneMissing := castLog(8, weighed, model.NoBite, model.NoBite, model.NoBite)
	oneMissing.Casts[1].FillG = unweighed
	for _, c := range []struct {
		name    string
		session model.Session
		planned model.Maybe[model.GramsPerHour]
		fed     model.Maybe[model.GramsPerHour]
		says    string
	}{
		// Six casts of 10 min in all are an hour: 6 x 20 g.
		{"every fill weighed", castLog(8, weighed, model.NoBite, model.NoBite, model.FishLanded, model.NoBite, model.LineBite, model.NoBite), planned, model.Known[model.GramsPerHour](120), "fed 120 g/h damp; 90 g/h were planned"},
		{"no plan", castLog(8, weighed, model.NoBite), model.Maybe[model.GramsPerHour]{}, model.Known[model.GramsPerHour](120), "the feed planned is not known"},
		{"one fill not weighed", oneMissing, planned, model.Maybe[model.GramsPerHour]{}, "the fill of 1 of 3 casts was not weighed; 90 g/h were planned"},
		{"no casts", model.Session{Style: model.Summary}, planned, model.Maybe[model.GramsPerHour]{}, "not known: the record has no casts"},
	} {
		f := c.session.FedByCasts(c.planned)
		if f.FedGH.Known != c.fed.Known || (f.FedGH.Value-c.fed.Value) > 1e-9 || (c.fed.Value-f.FedGH.Value) > 1e-9 || f.PlannedGH != c.planned || !strings.Contains(f.Text, c.says) {
			t.Errorf("%s: %+v", c.name, f)
		}
	}
}

func TestFiguresOfCasts(t *testing.T) {
	s := castLog(8, model.Maybe[model.Grams]{}, model.NoBite, model.MissedBite, model.LineBite, model.FishLost, model.NoBite)
	s.Casts[4].In, s.Casts[4].Out = s.Casts[4].In.Add(2*time.Hour), s.Casts[4].Out.Add(2*time.Hour)
	f := s.FiguresOfCasts()
	if f.Bites != 2 || f.Missed != 1 || len(f.EmptySoaksMin) != 3 || f.EmptySoaksMin[0] != 8 {
		t.Errorf("figures %+v: want 2 true bites, 1 missed, 3 soaks of 8 min", f)
	}
	if len(f.EmptyCyclesMin) != 2 || f.EmptyCyclesMin[0] != 10 || f.EmptyCyclesMin[1] != 10 {
		t.Errorf("cycles %v: want two of 10 min, the last cast having none", f.EmptyCyclesMin)
	}
	s.Rods = 2
	if two := s.FiguresOfCasts(); len(two.EmptyCyclesMin) != 0 || len(two.EmptySoaksMin) != 3 {
		t.Errorf("with two rods %+v: the next cast may be the other's", two)
	}
	s.Rods = 1
	s.Casts[2].Outcome = model.FishLanded
	s.Casts[3].Outcome = model.NoBite // its next cast comes two hours later
	if broken := s.FiguresOfCasts(); len(broken.EmptyCyclesMin) != 1 {
		t.Errorf("cycles %v: a break is no cycle", broken.EmptyCyclesMin)
	}
}

func TestWhatAStyleCannotSay(t *testing.T) {
	for style, n := range map[model.Style]int{model.FullLog: 0, model.Hourly: 2, model.Summary: 2} {
		if said := (model.Session{Style: style}).CannotSay(); said == nil || len(said) != n {
			t.Errorf("%s: %v", style, said)
		}
	}
}

func TestQueriesInWords(t *testing.T) {
	s := model.Session{Queries: []model.Query{{Field: "bites", Text: "many"}, {Field: "water_temp", Text: "warm", Excludes: "field"}, {Field: "start", Text: "twice", Excludes: "session"}}}
	want := []string{"bites: many", "water_temp: warm (until it is settled no fit reads this field)", "start: twice (until it is settled no fit reads this session)"}
	got := s.QueriesInWords()
	for i := range want {
		if i >= len(got) || got[i] != want[i] {
			t.Fatalf("%q, want %q", got, want)
		}
	}
}
