package jobs_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/activity"
)

func (b *bench) fit(t *testing.T) jobs.Fits {
	t.Helper()
	fits, err := (&jobs.Fitter{Store: b.db, Now: b.clock}).Run(t.Context())
	done(t, err)
	return fits
}

// refit joins what was added since, and fits.
func (b *bench) refit(t *testing.T) jobs.Fits {
	t.Helper()
	b.join(t)
	return b.fit(t)
}

// ownFit is the fit of one angler out of a run.
func ownFit(t *testing.T, fits jobs.Fits, angler string) model.FitRecord {
	t.Helper()
	for _, f := range fits.Own {
		if f.Angler == angler {
			return f
		}
	}
	t.Fatalf("%s has no fit among %d own ones", angler, len(fits.Own))
	return model.FitRecord{}
}

// groupFits reads the body of a fit.
func groupFits(t *testing.T, f model.FitRecord) map[model.Group]activity.Fit {
	t.Helper()
	var fits map[model.Group]activity.Fit
	done(t, json.Unmarshal(f.Body, &fits))
	return fits
}

// entry is a summary entered an hour after it ended.
func entry(daysAgo int, angler string, bites int) model.Session {
	s := record(daysAgo, angler, bites)
	s.EnteredAt = s.End.Add(time.Hour)
	return s
}

// of gives a session another group, at another water.
func of(s model.Session, water string, g model.Group) model.Session {
	s.Water, s.Group, s.Fish = water, g, map[model.Group]int{g: s.Bites.Value / 2}
	s.ID = s.DerivedID()
	return s
}

// store keeps sessions together.
func (b *bench) store(t *testing.T, sessions ...model.Session) {
	t.Helper()
	done(t, b.db.AddImport(t.Context(), sessions, model.Import{ID: fmt.Sprintf("i-%d", b.revision(t)), At: b.now}))
}

// club is so many sessions of bream of each angler at Reedmere, A0 and on, the
// last of them on the day given.
func club(daysAgo int, sessions ...int) []model.Session {
	var out []model.Session
	for angler, n := range sessions {
		for i := range n {
			out = append(out, entry(daysAgo+len(sessions)*i+angler, fmt.Sprintf("A%d", angler), manyBites[(3*angler+i)%len(manyBites)]))
		}
	}
	return out
}

func identifiers(sessions []model.Session) []string {
	var out []string
	for _, s := range sessions {
		out = append(out, s.ID)
	}
	return out
}

// wantAdmitted checks which sessions the public fit read, in any order.
func wantAdmitted(t *testing.T, what string, fits jobs.Fits, sessions ...[]model.Session) {
	t.Helper()
	want := identifiers(slices.Concat(sessions...))
	got := slices.Sorted(slices.Values(fits.Public.Admitted))
	if slices.Sort(want); !slices.Equal(want, got) {
		t.Errorf("%s: the public fit read %d sessions, want %d", what, len(got), len(want))
	}
	if fits.Public.Sessions != len(want) || (len(want) == 0) != (fits.Public.ID == jobs.FitZero) {
		t.Errorf("%s: fit %s of %d sessions, want %d", what, fits.Public.ID, fits.Public.Sessions, len(want))
	}
}

var manyBites = []int{3, 5, 0, 8, 2, 2, 11, 4, 6, 1, 7, 3}
