package jobs_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
)

func (b *bench) findings(t *testing.T) model.Findings {
	t.Helper()
	found, err := (&jobs.Finder{Store: b.db, Now: b.clock}).Findings(t.Context())
	done(t, err)
	return found
}

func TestFindingsOfNoRecords(t *testing.T) {
	b := newBench(t)
	found := b.findings(t)
	if found.Fit != jobs.FitZero || found.Sessions != "under 5" || len(found.Groups) != 0 || len(found.Checks) != 0 || found.Planted != nil {
		t.Errorf("found %+v", found)
	}
}

// The findings tell of the public fit in bands, of weather by driver, and of
// feed only where a rate was tried often enough.
func TestFindingsOfThePublicFit(t *testing.T) {
	b := newBench(t)
	b.store(t, club(40, 5, 5, 5, 5, 5, 5)...)
	fits := b.refit(t)
	found := b.findings(t)
	if found.Fit != fits.Public.ID || found.Sessions != "20-49" || found.Anglers != "5-9" || len(found.Groups) != 1 {
		t.Fatalf("found %+v of the fit %s", found, fits.Public.ID)
	}
	g := found.Groups[0]
	if g.Group != model.Bream || g.Sessions != "20-49" {
		t.Errorf("the group is %+v", g)
	}
	var drivers []string
	for _, d := range g.Drivers {
		drivers = append(drivers, d.Driver)
		if d.Learnt && (d.Low90 > d.Change || d.Change > d.High90 || d.Found != (d.Low90 > 0 || d.High90 < 0)) {
			t.Errorf("%+v", d)
		}
		if !d.Learnt && (d.Found || d.Change != 0) {
			t.Errorf("not learnt, and yet %+v", d)
		}
	}
	for _, must := range []string{"appetite at the water temperature fished", "pressure change over 3 h", "wind"} {
		if !slices.Contains(drivers, must) {
			t.Errorf("nothing is said of %s, only of %v", must, drivers)
		}
	}
	if all := strings.Join(drivers, " "); strings.Contains(all, "sine") || strings.Contains(all, "planned feed") {
		t.Errorf("terms that say nothing by themselves are listed: %v", drivers)
	}
	if len(g.Feed) != 4 {
		t.Fatalf("%d feeds are looked at, want less and more in cold and warm water", len(g.Feed))
	}
	for _, f := range g.Feed {
		if f.Ratio != nil || f.Text != "not tried often enough to say" { // none of the records has a plan
			t.Errorf("feed that nobody planned: %+v", f)
		}
	}
}

// Feed that was tried often enough has its interval and what could explain it
// away.
func TestFindingsOfFeed(t *testing.T) {
	b := newBench(t)
	sessions := club(1, 20, 20, 20, 20, 20, 20) // since October
	for i := range sessions {
		sessions[i].Planned.RateGH = model.Known(model.GramsPerHour([]float64{37, 73, 147}[i%3]))
	}
	b.store(t, sessions...)
	b.refit(t)
	told := 0
	for _, f := range b.findings(t).Groups[0].Feed {
		if f.Ratio == nil {
			continue
		}
		told++
		if !(f.Ratio.Low90 <= f.Ratio.Mean && f.Ratio.Mean <= f.Ratio.High90) || !f.EValue.Known || f.EValue.Value < f.EValueOfBound.Value || f.EValueOfBound.Value < 1 || !strings.Contains(f.Text, "Something unrecorded") {
			t.Errorf("%+v", f)
		}
		if apart := f.Ratio.High90 < 1 || f.Ratio.Low90 > 1; apart == strings.Contains(f.Text, "cannot be told apart") {
			t.Errorf("%+v says %q", *f.Ratio, f.Text)
		}
	}
	if told < 2 {
		t.Errorf("%d feeds are told of, want those of cold water", told)
	}
}

// A check is counted only where the rule of disclosure holds, and only over
// records entered before the month began.
func TestChecksOnRecordsAreToldUnderTheRule(t *testing.T) {
	b := newBench(t)
	var sessions []model.Session
	for i := range 12 {
		s := entry(60+i, fmt.Sprintf("A%d", i%6), 3)
		s.Queries = []model.Query{{Field: "planned_feed", Text: "none"}, {Field: "planned_feed", Text: "none again"}}
		if i < 2 {
			s.Queries = append(s.Queries, model.Query{Field: "bites", Text: "loads"})
		}
		sessions = append(sessions, s)
	}
	late := entry(1, "A9", 3) // February
	late.Queries = []model.Query{{Field: "peg", Text: "which"}}
	b.store(t, append(sessions, late)...)
	found := b.findings(t)
	if want := time.Date(2026, 2, 1, 0, 0, 0, 0, time.UTC); !found.CheckedBefore.Equal(want) || found.Checked != "10-19" {
		t.Errorf("checked are %s before %s", found.Checked, found.CheckedBefore)
	}
	if len(found.Checks) != 2 {
		t.Fatalf("checks %+v", found.Checks)
	}
	if c := found.Checks[0]; c.Field != "bites" || c.Sessions != "" || !slices.Contains(c.Withheld, "contributors") {
		t.Errorf("two anglers' queries are told: %+v", c)
	}
	if c := found.Checks[1]; c.Field != "planned_feed" || c.Sessions != "10-19" || len(c.Withheld) != 0 {
		t.Errorf("six anglers' queries: %+v", c)
	}
}
