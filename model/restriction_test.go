package model_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"osier/model"
)

var decided = time.Date(2026, 7, 14, 9, 0, 0, 0, time.UTC)

func closure() model.Restriction {
	return model.Restriction{
		Club: "quill-club", Water: "reedmere", Kind: model.WaterClosed, From: decided, Until: model.Known(decided.Add(48 * time.Hour)),
		Reason: "fish in distress", DecidedBy: "water-officer",
	}
}

func TestARestrictionSaysWhatIsWrongWithIt(t *testing.T) {
	for _, c := range []struct {
		field  string // empty where nothing is wrong
		change func(*model.Restriction)
	}{
		{"", func(*model.Restriction) {}},
		{"", func(r *model.Restriction) { r.Until = model.Maybe[time.Time]{} }},
		{"", func(r *model.Restriction) { r.Kind, r.FeedLimitDryG = model.FeedLimit, model.Known[model.Grams](500) }},
		{"club", func(r *model.Restriction) { r.Club = "" }},
		{"club", func(r *model.Restriction) { r.Club = "Quill Club" }},
		{"water", func(r *model.Restriction) { r.Water = "" }},
		{"kind", func(r *model.Restriction) { r.Kind = "shut" }},
		{"from", func(r *model.Restriction) { r.From = time.Time{} }},
		{"until", func(r *model.Restriction) { r.Until = model.Known(decided) }},
		{"until", func(r *model.Restriction) { r.Until = model.Known(decided.Add(999 * time.Millisecond)) }},
		{"until", func(r *model.Restriction) { r.Until = model.Known(time.Time{}) }},
		{"until", func(r *model.Restriction) {
			r.Until = model.Known(time.Date(9999, 12, 31, 23, 0, 0, 0, time.FixedZone("", -12*3600)))
		}},
		{"reason", func(r *model.Restriction) { r.Reason = "  " }},
		{"reason", func(r *model.Restriction) { r.Reason = strings.Repeat("a", 201) }},
		{"reason", func(r *model.Restriction) { r.Reason = "two\nlines" }},
		{"decided_by", func(r *model.Restriction) { r.DecidedBy = "" }},
		{"decided_by", func(r *model.Restriction) { r.DecidedBy = "a name of two words" }},
		{"feed_limit_dry_g", func(r *model.Restriction) { r.Kind = model.FeedLimit }},
		{"feed_limit_dry_g", func(r *model.Restriction) { r.FeedLimitDryG = model.Known[model.Grams](500) }},
		{"feed_limit_dry_g", func(r *model.Restriction) { r.Kind, r.FeedLimitDryG = model.FeedLimit, model.Known[model.Grams](0) }},
	} {
		r := closure()
		c.change(&r)
		err := r.Validate()
		var e *model.Error
		if errors.As(err, &e); c.field == "" && err != nil || c.field != "" && (e == nil || e.Field != c.field || e.Right == "") {
			t.Errorf("%+v: got %v, want a complaint about %q", r, err, c.field)
		}
	}
}

func TestTheSameDecisionHasOneName(t *testing.T) {
	name := func(change func(*model.Restriction), at time.Time) string {
		r := closure()
		change(&r)
		made, err := r.AsMade(at)
		if err != nil {
			t.Fatal(err)
		}
		return made.ID
	}
	first := name(func(*model.Restriction) {}, decided)
	if again := name(func(r *model.Restriction) {
		r.ID, r.LiftedBy = "r-mine", "x"
		r.From = r.From.In(time.FixedZone("", 3600))
	}, decided.Add(time.Hour)); again != first {
		t.Errorf("sent again it is %s, was %s", again, first)
	}
	if other := name(func(r *model.Restriction) { r.Reason = "ice" }, decided); other == first {
		t.Error("another reason has the same name")
	}
}

// From counts, until does not, and neither does the instant at which it is lifted.
func TestARestrictionHoldsFromItsBeginningToItsEnd(t *testing.T) {
	lifted := closure()
	lifted.LiftedAt = model.Known(decided.Add(2 * time.Hour))
	neverHeld := closure()
	neverHeld.LiftedAt = model.Known(decided.Add(-time.Hour))
	open := closure()
	open.Until = model.Maybe[time.Time]{}
	hour := func(h int) time.Time { return decided.Add(time.Duration(h) * time.Hour) }
	for _, c := range []struct {
		name        string
		r           model.Restriction
		from, until int
		holds       bool
		start, end  int
	}{
		{"before it", closure(), -4, 0, false, 0, 0},
		{"into it", closure(), -4, 1, true, 0, 1},
		{"within it", closure(), 3, 5, true, 3, 5},
		{"out of it", closure(), 47, 50, true, 47, 48},
		{"after it", closure(), 48, 50, false, 0, 0},
		{"until it is lifted", open, 1000, 1002, true, 1000, 1002},
		{"lifted", lifted, 1, 5, true, 1, 2},
		{"after it was lifted", lifted, 2, 5, false, 0, 0},
		{"lifted before it began", neverHeld, -4, 5, false, 0, 0},
	} {
		start, end, holds := c.r.Within(hour(c.from), hour(c.until))
		if holds != c.holds || holds && (!start.Equal(hour(c.start)) || !end.Equal(hour(c.end))) {
			t.Errorf("%s: %v from %s to %s", c.name, holds, start, end)
		}
	}
}

func TestARestrictionIsLiftedOnce(t *testing.T) {
	r := closure()
	lifted, err := r.Lifted(decided.Add(time.Hour), "water-officer", " fish recovered ")
	if err != nil || !lifted.LiftedAt.Known || lifted.LiftedBy != "water-officer" || lifted.LiftedWhy != "fish recovered" || lifted.Reason != r.Reason {
		t.Fatalf("%+v, %v", lifted, err)
	}
	if r.InForce() != nil || model.CodeOf(lifted.InForce()) != model.Conflict {
		t.Errorf("made again: %v, lifted: %v", r.InForce(), lifted.InForce())
	}
	for _, c := range []struct {
		name, by, why string
		r             model.Restriction
		at            time.Time
		code          model.Code
	}{
		{"again", "x", "y", lifted, decided.Add(2 * time.Hour), model.Conflict},
		{"over", "x", "y", r, decided.Add(48 * time.Hour), model.Conflict},
		{"by nobody", "", "y", r, decided, model.Invalid},
		{"for no reason", "x", " ", r, decided, model.Invalid},
	} {
		if _, err := c.r.Lifted(c.at, c.by, c.why); model.CodeOf(err) != c.code {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}
