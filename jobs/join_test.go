package jobs_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"osier/jobs"
	"osier/model"
)

func (b *bench) join(t *testing.T) map[string]int {
	t.Helper()
	counts, err := (&jobs.Joiner{Store: b.db, Now: b.clock}).Run(t.Context())
	done(t, err)
	return counts
}

func (b *bench) joined(t *testing.T) []model.JoinedSession {
	t.Helper()
	list, err := b.db.Joined(t.Context())
	done(t, err)
	return list
}

func TestJoiningTwiceChangesNothing(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	b.addRecords(t, 3, 5, 0, 8)
	if got := b.join(t); got["sessions"] != 4 || got["joined"] != 4 || got["without weather"] != 0 {
		t.Errorf("counts %v, want four sessions joined with their weather", got)
	}
	first, before := b.joined(t), b.revision(t)
	b.now = noon.Add(3 * time.Hour)
	if got := b.join(t); got["joined"] != 0 {
		t.Errorf("counts %v the second time, want none joined", got)
	}
	if diff := cmp.Diff(first, b.joined(t)); diff != "" || b.revision(t) != before {
		t.Errorf("joining again changed what is stored (-first +second):\n%s", diff)
	}
	j := first[0]
	if !j.Use || j.RodHours != 4 || j.Bites.Value != 8 || !j.Drivers.WaterC.Known || !j.Drivers.WindMps.Known || j.Drivers.PlannedGH.Value == 0 {
		t.Errorf("joined session %+v", j)
	}
	if j.Drivers.WindMps.Value != 3 || first[3].Drivers.PegEffortH.Known {
		t.Errorf("wind %v, effort before the last %+v; want 3 m/s, and nothing of other sessions", j.Drivers.WindMps.Value, first[3].Drivers.PegEffortH)
	}
}

func TestACorrectedReportIsJoinedAnew(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	b.addRecords(t, 3, 5)
	b.join(t)
	before := b.joined(t)
	corrected := report(time.Date(2026, 2, 5, 10, 0, 0, 0, time.UTC)) // within the later of the two
	corrected.WindMps, corrected.Corrected, corrected.Raw = model.Known[model.MetresPerSecond](11), true, corrected.Raw+" COR"
	_, err := b.db.PutObservations(t.Context(), []model.Observation{corrected})
	done(t, err)
	if got := b.join(t); got["joined"] != 1 {
		t.Errorf("counts %v, want the one session joined that the report ruled", got)
	}
	after := b.joined(t)
	if !cmp.Equal(before[0], after[0]) {
		t.Errorf("the other session changed:\n%s", cmp.Diff(before[0], after[0]))
	}
	// Three hours of 3 m/s and one of 11.
	if after[1].Drivers.WindMps.Value != 5 || after[1].Weather == before[1].Weather || after[1].InputsDigest == before[1].InputsDigest {
		t.Errorf("joined anew %+v, want a mean wind of 5 m/s and another version", after[1])
	}
}

func TestAChangedRecordIsJoinedAnew(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	s := b.addRecords(t, 3)[0]
	b.join(t)
	s.Bites = model.Known(9)
	done(t, b.db.ReplaceSession(t.Context(), s, 1))
	if len(b.joined(t)) != 0 {
		t.Error("what was joined from the old record is still there")
	}
	if got := b.join(t); got["joined"] != 1 || b.joined(t)[0].Bites.Value != 9 {
		t.Errorf("counts %v, joined %+v", got, b.joined(t))
	}
}

func TestASessionWithoutWeatherIsKept(t *testing.T) {
	b := newBench(t)
	b.addRecords(t, 3)
	if got := b.join(t); got["joined"] != 1 || got["without weather"] != 1 {
		t.Errorf("counts %v, want one joined without weather", got)
	}
	j := b.joined(t)[0]
	if j.Weather != "no weather" || !j.Use || !j.Drivers.WaterC.Known || j.Drivers.WindMps.Known || j.Drivers.Pressure3hHPa.Known {
		t.Errorf("joined %+v, want it in use, on the climate's water alone", j)
	}
	if got := b.join(t); got["joined"] != 0 || got["without weather"] != 1 {
		t.Errorf("counts %v the second time", got)
	}
	b.putWeather(t)
	if got := b.join(t); got["joined"] != 1 || b.joined(t)[0].Weather == "no weather" {
		t.Errorf("counts %v once the weather is there, joined %+v", got, b.joined(t)[0])
	}
}

// Feed follows bites, so what was really fed must never reach the regression
// (design, section 5.1).
func TestDriversNeverReadWhatWasFed(t *testing.T) {
	drivers := func(change func(s *model.Session)) (model.Drivers, bool) {
		b := newBench(t)
		b.putWeather(t)
		s := record(1, "VP", 6)
		change(&s)
		done(t, b.db.AddSession(t.Context(), s))
		b.join(t)
		return b.joined(t)[0].Drivers, b.joined(t)[0].Use
	}
	plain, _ := drivers(func(*model.Session) {})
	for name, change := range map[string]func(s *model.Session){
		"mixed and left": func(s *model.Session) {
			s.FeedUsed = model.FeedUsed{MixedDryG: model.Known[model.Grams](1500), LeftDryG: model.Known[model.Grams](100)}
		},
		"fills":   func(s *model.Session) { s.FeedUsed.Fills = model.Known(60) },
		"opening": func(s *model.Session) { s.Opening = model.Opening{Fills: model.Known(12), Release: "surface"} },
		"casts":   func(s *model.Session) { s.CastCount, s.RecastMin = model.Known(60), model.Known(4.0) },
		"bites":   func(s *model.Session) { s.Bites = model.Known(40) },
		"fish":    func(s *model.Session) { s.Fish = map[model.Group]int{model.Bream: 3} },
	} {
		if got, _ := drivers(change); !cmp.Equal(plain, got) {
			t.Errorf("%s changed the drivers (-plain +got):\n%s", name, cmp.Diff(plain, got))
		}
	}
	late, use := drivers(func(s *model.Session) { s.Planned.DecidedAt = model.Known(s.Start.Add(time.Minute)) })
	if late.PlannedGH.Known || !use {
		t.Errorf("feed decided after the first cast is %+v, want it missing and the session in use", late.PlannedGH)
	}
	if diff := cmp.Diff(plain, late, cmpopts.IgnoreFields(model.Drivers{}, "PlannedGH")); diff != "" {
		t.Errorf("more than the plan went missing:\n%s", diff)
	}
}

func TestWhichSessionsAFitMayRead(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(s *model.Session)
		use    bool
		why    string
	}{
		{"a blank", func(s *model.Session) { s.Bites, s.Fish = model.Known(0), map[model.Group]int{model.Bream: 0} }, true, ""},
		{"a blank said outright", func(s *model.Session) { s.Bites, s.Fish, s.Blank = model.Maybe[int]{}, nil, true }, true, ""},
		{"fish counted and bites not", func(s *model.Session) { s.Bites = model.Maybe[int]{} }, true, ""},
		{"bites in words", func(s *model.Session) { s.Bites, s.BitesText = model.Maybe[int]{}, "loads" }, true, ""},
		{"bites counted and fish not", func(s *model.Session) { s.Fish = nil }, true, ""},
		{"neither counted", func(s *model.Session) { s.Bites, s.Fish = model.Maybe[int]{}, nil }, false, "neither bites nor fish were counted"},
		{"bites in doubt", func(s *model.Session) { s.Queries = []model.Query{{Field: "bites", Excludes: "field"}} }, true, ""},
		{"bites in doubt, fish not counted", func(s *model.Session) { s.Fish, s.Queries = nil, []model.Query{{Field: "bites", Excludes: "field"}} }, false, "neither bites nor fish were counted"},
		{"another field in doubt", func(s *model.Session) { s.Queries = []model.Query{{Field: "peg", Excludes: "field"}} }, true, ""},
		{"a doubt that keeps nothing out", func(s *model.Session) { s.Queries = []model.Query{{Field: "end"}} }, true, ""},
		{"the record in doubt", func(s *model.Session) { s.Queries = []model.Query{{Field: "start", Excludes: "session"}} }, false, "a query about the record keeps it out"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			s := record(1, "VP", 6)
			c.change(&s)
			done(t, b.db.AddSession(t.Context(), s))
			b.join(t)
			j := b.joined(t)[0]
			if j.Use != c.use || j.Why != c.why {
				t.Errorf("use %v, why %q; want %v, %q", j.Use, j.Why, c.use, c.why)
			}
			if s.Excluded("bites") && j.Bites.Known {
				t.Errorf("%d bites in doubt, want them not known", j.Bites.Value)
			}
		})
	}
}
