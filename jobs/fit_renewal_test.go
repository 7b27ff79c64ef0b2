package jobs_test

import (
	"encoding/json"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/activity"
)

// days are sessions of VP, one a day, the last of them on the day given.
func days(daysAgo, n int, bites func(i int) int) []model.Session {
	var out []model.Session
	for i := range n {
		out = append(out, entry(daysAgo+n-1-i, "VP", bites(i)))
	}
	return out
}

func someBites(i int) int { return manyBites[i%len(manyBites)] }

// spreadOf is what a renewal looks for.
func spreadOf(t *testing.T, f model.FitRecord) activity.CountSpread {
	t.Helper()
	return groupFits(t, f)[model.Bream].Count.Spread
}

func TestWhenASpreadIsRenewed(t *testing.T) {
	const had = 20
	for _, c := range []struct {
		name    string
		after   time.Duration
		more    int
		renewed bool
	}{
		{"an hour later, under a tenth more", time.Hour, 1, false},
		{"just under a week later", 7*24*time.Hour - time.Second, 1, false},
		{"a week later", 7 * 24 * time.Hour, 1, true},
		{"a tenth more", time.Hour, 2, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			b.store(t, days(2, had, someBites)...)
			first := ownFit(t, b.refit(t), "VP")
			if !first.RenewedAt.Equal(noon) || first.RenewedSessions != had {
				t.Fatalf("the first fit was renewed at %v over %d sessions, want now over all", first.RenewedAt, first.RenewedSessions)
			}
			b.now = noon.Add(c.after)
			b.store(t, days(0, c.more, func(int) int { return 60 })...)
			fits := b.refit(t)
			next := ownFit(t, fits, "VP")
			if next.Sessions != had+c.more || next.ID == first.ID || fits.Made != 1 {
				t.Errorf("fit %s of %d sessions, want another of %d", next.ID, next.Sessions, had+c.more)
			}
			renewedAt, over := first.RenewedAt, had
			if c.renewed {
				renewedAt, over = b.now, had+c.more
			}
			if !next.RenewedAt.Equal(renewedAt) || next.RenewedSessions != over {
				t.Errorf("renewed at %v over %d sessions, want %v over %d", next.RenewedAt, next.RenewedSessions, renewedAt, over)
			}
			if same := spreadOf(t, first).Alpha == spreadOf(t, next).Alpha; same == c.renewed {
				t.Errorf("alpha %v before and %v after, want them the same: %v", spreadOf(t, first).Alpha, spreadOf(t, next).Alpha, !c.renewed)
			}
		})
	}
}

// The first forty sessions are wild and those since are even. A spread that
// says so forecasts them better than one fitted to all of them, and is what is
// in force here.
func TestARenewalThatForecastsWorseIsTurnedDown(t *testing.T) {
	for _, c := range []struct {
		since      int
		turnedDown bool
	}{{29, false}, {30, true}, {45, true}} {
		b := newBench(t)
		wild := days(2, 40, func(i int) int { return []int{0, 1, 2, 60}[i%4] })
		b.store(t, wild...)
		even := b.inForceWithAlpha(t, ownFit(t, b.refit(t), "VP"), 0.02)

		b.now = noon.AddDate(0, 0, c.since+1)
		b.store(t, days(-c.since, c.since, func(i int) int { return 9 + i%3 })...)
		fits := b.refit(t)
		next := ownFit(t, fits, "VP")
		if next.Sessions != 40+c.since {
			t.Errorf("%d since: %d sessions read, want all", c.since, next.Sessions)
		}
		kept := spreadOf(t, next).Alpha == spreadOf(t, even).Alpha
		if kept != c.turnedDown || (fits.Kept == 1) != c.turnedDown || next.RenewedAt.Equal(noon) != c.turnedDown {
			t.Errorf("%d since: alpha %v after %v, %d turned down, renewed at %v; want it turned down: %v", c.since, spreadOf(t, next).Alpha, spreadOf(t, even).Alpha, fits.Kept, next.RenewedAt, c.turnedDown)
		}
	}
}

// inForceWithAlpha puts a fit in force that is as the one given but for alpha.
func (b *bench) inForceWithAlpha(t *testing.T, f model.FitRecord, alpha float64) model.FitRecord {
	t.Helper()
	fits := groupFits(t, f)
	bream := fits[model.Bream]
	bream.Count.Spread.Alpha = alpha
	fits[model.Bream] = bream
	body, err := json.Marshal(fits)
	done(t, err)
	f.ID, f.Body, f.Data = "fit-even", body, "another"
	done(t, b.db.AddFit(t.Context(), f))
	return f
}

// A fit that this version cannot read is made anew, though no session changed.
func TestAFitOfAnOlderModelIsMadeAnew(t *testing.T) {
	for name, body := range map[string]string{"nothing in it": `{}`, "other columns": `{"bream":{"group":"bream","count":{"columns":["intercept"]}}}`, "no object": `"?"`} {
		t.Run(name, func(t *testing.T) {
			b := newBench(t)
			b.store(t, club(5, 2, 2, 2, 2, 2)...)
			b.refit(t)
			b.store(t, entry(1, "VP", 4))
			now := b.refit(t)
			older := []model.FitRecord{now.Public, ownFit(t, now, "VP")}
			older[0].ID, older[1].ID, older[1].Public = "fit-older", "fit-older-own", "fit-older"
			for _, f := range older {
				f.Body = json.RawMessage(body)
				done(t, b.db.AddFit(t.Context(), f))
			}
			fits := b.fit(t)
			own := ownFit(t, fits, "VP")
			if fits.Made != 2 || fits.Public.Sessions != 10 || own.Sessions != 11 || own.Public != fits.Public.ID {
				t.Errorf("%d made, %d and %d sessions; want both made anew", fits.Made, fits.Public.Sessions, own.Sessions)
			}
			if groupFits(t, fits.Public)[model.Bream].Sessions != 10 || groupFits(t, own)[model.Bream].Sessions != 11 {
				t.Error("the new fits do not hold the sessions")
			}
			b.putWeather(t)
			if p := b.plan(t, tomorrow()); p.Fit != own.ID {
				t.Errorf("the plan rests on %s, want %s", p.Fit, own.ID)
			}
		})
	}
}

func TestARunTellsWhatItFits(t *testing.T) {
	b := newBench(t)
	b.store(t, days(1, 3, someBites)...)
	b.join(t)
	var heard []string
	fits, err := (&jobs.Fitter{Store: b.db, Now: b.clock, Progress: func(what string) { heard = append(heard, what) }}).Run(t.Context())
	done(t, err)
	if counts := fits.Counts(); len(heard) != 2 || counts["own fits"] != 1 || counts["new fits"] != 2 || counts["public sessions"] != 0 {
		t.Errorf("heard %q, counts %v; want the public fit and one own", heard, counts)
	}
}
