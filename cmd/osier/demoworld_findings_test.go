package main

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"log/slog"
	"math"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/activity"
	"osier/model/feeder"
	"osier/model/plan"
)

// fitted is what the program's own stages made of the invented club: the
// records imported, joined with their weather, and fitted.
type fitted struct {
	joined []model.JoinedSession
	// fits are the public ones, under an empty handle, and the own ones of each
	// angler who has some, by group.
	fits   map[string]map[model.Group]activity.Fit
	blanks []jobs.AnglerBlanks // whose blanks osier score misses
}

// inForce are the fits that an angler's plans go by.
func (f fitted) inForce(angler string) map[model.Group]activity.Fit {
	if own, ok := f.fits[angler]; ok {
		return own
	}
	return f.fits[""]
}

// asFitted is the club at the date of the findings, fitted once for all tests.
var asFitted = sync.OnceValues(func() (fitted, error) { return fitClub(demoNow) })

// fitClub takes the club of a date through the program's own stages in a folder
// that is gone afterwards.
func fitClub(now time.Time) (out fitted, err error) {
	dir, err := os.MkdirTemp("", "osier-findings")
	if err != nil {
		return out, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	ctx := context.Background()
	a := app{ctx: ctx, stdout: io.Discard, stderr: io.Discard, data: dir, now: func() time.Time { return now }, log: slog.New(slog.DiscardHandler)}
	db, err := a.open()
	if err != nil {
		return out, err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	world, _, err := a.loadDemo(ctx, db)
	if err != nil {
		return out, err
	}
	if out.joined, err = db.Joined(ctx); err != nil {
		return out, err
	}
	if out.blanks, err = jobs.MissingBlanks(ctx, db, now); err != nil {
		return out, err
	}
	out.fits = map[string]map[model.Group]activity.Fit{}
	handles := []string{""}
	for _, angler := range world.Truth.Anglers {
		handles = append(handles, angler.Handle)
	}
	for _, handle := range handles {
		record, err := db.LatestFit(ctx, handle, now)
		if handle != "" && model.CodeOf(err) == model.NotFound {
			continue // all of theirs is in the public fit
		}
		if err != nil {
			return out, err
		}
		fits := map[model.Group]activity.Fit{}
		if err := json.Unmarshal(record.Body, &fits); err != nil {
			return out, err
		}
		out.fits[handle] = fits
	}
	return out, nil
}

func fittedClub(t *testing.T) fitted {
	t.Helper()
	out, err := asFitted()
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// winterHabit is marlo's usual plan in water under 8 C, ln(planned rate over the
// trade's), and winterC a temperature of such water.
const (
	winterHabit = 0.8
	winterC     = 5.0
)

// winterFeed is the log of the ratio of marlo's bites at his winter habit over
// those at the trade's own rate, at one of his waters in winter, all else equal.
func winterFeed(t *testing.T, f fitted, g model.Group) (mean, low, high float64) {
	t.Helper()
	january := time.Date(2026, time.January, 15, 12, 0, 0, 0, time.UTC)
	start, ok := feeder.StartingRateGH(feeder.Group(g), winterC)
	if !ok {
		t.Fatalf("no starting rate for %s at %g C", g, winterC)
	}
	day := plan.OrdinaryDay(model.Water{}, january)
	day.DayOfYear, day.MidHour, day.WaterC = float64(january.YearDay()), 12, model.Known[model.Celsius](winterC)
	day.StartingGH = model.Known(model.GramsPerHour(start))
	log := func(rateGH float64) activity.Covariates {
		day.PlannedGH = model.Known(model.GramsPerHour(rateGH))
		c, err := plan.Covariates(g, day)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	his := activity.Setting{Water: "quillmarsh-pit", Angler: "marlo"}
	mean, sd, err := f.inForce("marlo")[g].Difference(log(start*math.Exp(winterHabit)), his, log(start), his)
	if err != nil {
		t.Fatal(err)
	}
	return mean, mean - normal90*sd, mean + normal90*sd
}

// normal90 is the 95 % point of the standard normal.
const normal90 = 1.6449

// winterSessions is how many of marlo's sessions in cold water, with their feed
// planned beforehand, a fit may read.
func winterSessions(f fitted, g model.Group) int {
	n := 0
	for _, j := range f.joined {
		if j.Angler == "marlo" && j.Group == g && j.Use && j.Drivers.PlannedGH.Known && j.Drivers.WaterC.Known && j.Drivers.WaterC.Value < coldWaterC {
			n++
		}
	}
	return n
}

// Trade pack 7: planted is -0.5 (0.8/0.8)^2 = -0.5. The fits are those that his
// plans go by. Bream is what he fishes for in winter, and there the interval must
// lie below 0; the other groups, with a handful of his winter sessions each, are
// held to the truth alone: at this date silver's interval just reaches 0.
func TestOverfeedingInWinterCostsMarloBites(t *testing.T) {
	f := fittedClub(t)
	planted := demoRules.feed(winterHabit)
	for _, g := range model.Groups() {
		mean, low, high := winterFeed(t, f, g)
		t.Logf("%s: log ratio of bites at his winter habit over the trade's rate %.3f (90 %% interval %.3f to %.3f); %d winter sessions of his, %d in the fit, of %d sessions",
			g, mean, low, high, winterSessions(f, g), len(f.inForce("marlo")[g].Tried.Sessions), f.inForce("marlo")[g].Sessions)
		if low > planted || high < planted {
			t.Errorf("%s: the 90 %% interval is %.3f to %.3f, the truth %.3f", g, low, high, planted)
		}
		if g == model.Bream && high >= 0 {
			t.Errorf("bream: the 90 %% interval is %.3f to %.3f, want it below 0", low, high)
		}
	}
	if bream := winterSessions(f, model.Bream); bream <= winterSessions(f, model.Silver) || bream <= winterSessions(f, model.Carp) {
		t.Errorf("%d of marlo's winter sessions are for bream, %d for silver, %d for carp: bream is not what he fishes for then",
			bream, winterSessions(f, model.Silver), winterSessions(f, model.Carp))
	}
}

// Pressure has coefficient zero, and temperature is the strongest driver there
// is: in the public fit and in each angler's own.
func TestPressureHasNoEffectAndTemperatureHas(t *testing.T) {
	learnt := 0
	for handle, fits := range fittedClub(t).fits {
		for _, g := range model.Groups() {
			if fits[g].Sessions == 0 {
				continue
			}
			effects, err := fits[g].Effects()
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range effects {
				if pressure := strings.HasPrefix(e.Column, "pressure"); pressure || e.Column == "log_appetite" {
					if handle == "" {
						t.Logf("public %s (%d sessions): %s", g, fits[g].Sessions, e.Text)
					}
					if pressure {
						learnt += noEffect(t, e)
					} else if !e.Found || e.Change <= 0 {
						t.Errorf("%q %s: %s; temperature should be found", handle, g, e.Text)
					}
				}
			}
		}
	}
	if learnt < 2 {
		t.Errorf("%d pressure effects were learnt, want two at least", learnt)
	}
}

// noEffect wants the records' own interval to hold no effect, and to be told
// so; it counts the effects of which the records speak at all.
func noEffect(t *testing.T, e activity.Effect) (learnt int) {
	t.Helper()
	says := "the records say too little yet"
	if e.Learnt {
		learnt, says = 1, "no effect found"
	}
	if e.Found || e.Low90 > 0 || e.High90 < 0 || !strings.Contains(e.Text, says) {
		t.Errorf("%s; want it to say %q", e.Text, says)
	}
	return learnt
}

// The flaw planted in quill2's records must be told by the command, against what
// the public fit expects and not a share that the test knows.
func TestScoringTellsWhoseBlanksAreMissing(t *testing.T) {
	var told []string
	for _, m := range fittedClub(t).blanks {
		t.Logf("%s: %.2f expected; %s", m.Angler, m.Expected, m.Text)
		told = append(told, m.Angler)
	}
	if len(told) != 1 || told[0] != "quill2" {
		t.Errorf("blanks of %v seem to be missing, want those of quill2 alone", told)
	}
}
