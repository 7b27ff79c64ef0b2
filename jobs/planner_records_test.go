package jobs

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"testing"
	"time"

	"osier/model"
)

// restsOn are the grounds of a plan that may read all of some sessions.
func restsOn(records []model.JoinedSession) *grounds {
	read := make([]*model.JoinedSession, len(records))
	for i := range records {
		read[i] = &records[i]
	}
	return groundsFrom(read)
}

// onRecord is a joined session of bream in water of a temperature, planned at
// twice the trade's rate.
func onRecord(angler string, waterC model.Celsius, dayOfYear float64) model.JoinedSession {
	return model.JoinedSession{Session: angler, Water: "mere", Angler: angler, Group: model.Bream, Use: true, Drivers: model.Drivers{
		WaterC: model.Known(waterC), WindMps: model.Known[model.MetresPerSecond](8), DayOfYear: dayOfYear,
		PlannedGH: model.Known[model.GramsPerHour](400), StartingGH: model.Known[model.GramsPerHour](200),
	}}
}

func several(n int, j model.JoinedSession) []model.JoinedSession {
	out := make([]model.JoinedSession, n)
	for i := range out {
		out[i] = j
	}
	return out
}

func TestTheUsualFeedNeedsFiveOwnSessionsInLikeWater(t *testing.T) {
	unplanned := onRecord("VP", 6, 40)
	unplanned.Drivers.PlannedGH = model.Maybe[model.GramsPerHour]{}
	day := model.Drivers{WaterC: model.Known[model.Celsius](6)}
	for _, c := range []struct {
		name    string
		records []model.JoinedSession
		angler  string
		want    model.Maybe[float64]
	}{
		{"five", several(5, onRecord("VP", 6, 40)), "VP", model.Known(math.Ln2)},
		{"four", several(4, onRecord("VP", 6, 40)), "VP", model.Maybe[float64]{}},
		{"as warm as counts", several(5, onRecord("VP", 9, 40)), "VP", model.Known(math.Ln2)},
		{"warmer", several(5, onRecord("VP", 9.5, 40)), "VP", model.Maybe[float64]{}},
		{"of somebody else", several(5, onRecord("MK", 6, 40)), "VP", model.Maybe[float64]{}},
		{"four and one of somebody else", append(several(4, onRecord("VP", 6, 40)), onRecord("MK", 6, 40)), "VP", model.Maybe[float64]{}},
		{"with no feed planned", append(several(4, onRecord("VP", 6, 40)), unplanned), "VP", model.Maybe[float64]{}},
		{"nobody asks", several(5, onRecord("", 6, 40)), "", model.Maybe[float64]{}},
	} {
		got := usualFeedZ(restsOn(c.records), c.angler, day)
		if got.Known != c.want.Known || math.Abs(got.Value-c.want.Value) > 1e-12 {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
}

func TestTheUsualDayIsOfThisWaterAndSeason(t *testing.T) {
	q := model.Question{Water: "mere", Start: time.Date(2026, 1, 5, 9, 0, 0, 0, time.UTC), Hours: 4, Group: model.Bream}
	w := model.Water{ID: "mere", MeanDepthM: 2, Zone: "Europe/London"}
	elsewhere := onRecord("VP", 6, 5)
	elsewhere.Water = "pool"
	ordinaryMps := usual(restsOn(nil), q, model.Drivers{DayOfYear: 5}, w).WindMps.Value
	for _, c := range []struct {
		name    string
		records []model.JoinedSession
		wantMps model.MetresPerSecond
	}{
		{"five", several(5, onRecord("VP", 6, 5)), 8},
		{"four", several(4, onRecord("VP", 6, 5)), ordinaryMps},
		{"last year's end", several(5, onRecord("MK", 6, 330)), 8},
		{"autumn", several(5, onRecord("MK", 6, 310)), ordinaryMps},
		{"another water", several(5, elsewhere), ordinaryMps},
	} {
		if got := usual(restsOn(c.records), q, model.Drivers{DayOfYear: 5}, w); got.WindMps.Value != c.wantMps || got.DayOfYear != 5 {
			t.Errorf("%s: wind %v on day %v, want %v on day 5", c.name, got.WindMps.Value, got.DayOfYear, c.wantMps)
		}
	}
	if ordinaryMps == 8 {
		t.Error("the ordinary wind is that of the records; the test wants another")
	}
}

// catchOf is a session of bream on record, of so many bites.
func catchOf(session, angler string, bites int) model.JoinedSession {
	return model.JoinedSession{Session: session, Angler: angler, Water: "mere", Group: model.Bream, Use: true, Bites: model.Known(bites)}
}

func TestWhatAPlanMayRead(t *testing.T) {
	left := catchOf("s-left-out", "VP", 9)
	left.Use = false
	carp := catchOf("s-carp", "VP", 9)
	carp.Group = model.Carp
	joined := []model.JoinedSession{catchOf("s-as-it-was", "MK", 1), catchOf("s-corrected", "MK", 2), catchOf("s-private", "MK", 3), catchOf("s-private-of-VP", "VP", 4), catchOf("s-given-to-VP", "VP", 5), left, carp}
	rows := []model.JoinedSession{catchOf("s-corrected", "MK", 20), catchOf("s-waits", "MK", 60), catchOf("s-left-out", "VP", 90), catchOf("s-carp", "VP", 90), catchOf("s-given-to-VP", "MK", 50)}
	admitted := map[string]bool{"s-as-it-was": true, "s-corrected": true, "s-waits": true, "s-left-out": true, "s-carp": true, "s-given-to-VP": true}
	everybodys := map[string]int{"s-as-it-was": 1, "s-corrected": 20, "s-waits": 60}
	for _, c := range []struct {
		asker string
		also  map[string]int
	}{
		{"", map[string]int{"s-left-out": 90, "s-carp": 90, "s-given-to-VP": 50}},
		{"XX", map[string]int{"s-left-out": 90, "s-carp": 90, "s-given-to-VP": 50}},
		{"VP", map[string]int{"s-private-of-VP": 4, "s-given-to-VP": 5}},
		{"MK", map[string]int{"s-as-it-was": 1, "s-corrected": 2, "s-private": 3, "s-left-out": 90, "s-carp": 90}},
	} {
		want := map[string]int{}
		if c.asker != "MK" {
			maps.Copy(want, everybodys)
		}
		maps.Copy(want, c.also)
		got := map[string]int{}
		read := readable(joined, rowsRead(joined, rows, admitted), model.Question{Group: model.Bream, Angler: c.asker}, time.Time{})
		for _, j := range read {
			got[j.Session] = j.Bites.Value
		}
		if !maps.Equal(want, got) || len(read) != len(want) {
			t.Errorf("for %q: bites %v, want %v", c.asker, got, want)
		}
	}
}

// What a fit read of a water counts as long as the rule of disclosure holds for
// what is left of it.
func TestWhatIsLeftAfterADeletion(t *testing.T) {
	var read []*model.JoinedSession
	for _, water := range []string{"mere", "pool"} {
		for i := range 10 {
			j := catchOf(fmt.Sprint(water, i), fmt.Sprint("A", i%5), i)
			j.Water = water
			read = append(read, &j)
		}
	}
	if got := disclosed(slices.Clone(read)); len(got) != 20 {
		t.Errorf("%d of 20 sessions count while none is gone", len(got))
	}
	if got := disclosed(slices.Clone(read[1:])); !slices.Equal(got, read[10:]) {
		t.Errorf("%d sessions count with one of ten at the mere gone, want the ten of the pool", len(got))
	}
}

func TestTheEffortOnThePegAskedFor(t *testing.T) {
	before := time.Date(2026, 2, 8, 12, 0, 0, 0, time.UTC)
	at := func(peg string, endedAgo time.Duration) model.Session {
		end := before.Add(-endedAgo)
		return model.Session{Peg: peg, Start: end.Add(-4 * time.Hour), End: end, Rods: 2, BreaksMin: 30}
	}
	const week = 7 * 24 * time.Hour
	sessions := []model.Session{at("4", 0), at("4", week-time.Minute), at("4", week), at("4", -time.Minute), at("5", time.Hour), at("", time.Hour)}
	if got := pegEffort(sessions, "4", before); got != model.Known(14.0) {
		t.Errorf("effort %+v, want twice 3.5 hours of two rods", got)
	}
	if got := pegEffort(sessions, "", before); got.Known {
		t.Errorf("effort %+v of no peg", got)
	}
}
