package model

import (
	"fmt"
	"slices"
	"strings"
)

// TryNext is the one thing to try next time, by the first rule that holds. One
// change at a time is all that a session can teach.
type TryNext struct {
	Rule   TryRule `json:"rule"`
	Text   string  `json:"text"`
	Reason string  `json:"reason"`
	// NotJudged are the rules that the record says too little for.
	NotJudged []string `json:"not_judged"`
}

// TryRule names the rule that a suggestion came by.
type TryRule string

// The rules, in their order.
const (
	TrySoak       TryRule = "soak_outside_range"
	TryRhythm     TryRule = "rhythm_off_plan"
	TryHookLength TryRule = "bites_missed"
	TryFeed       TryRule = "feed_off_plan"
	TryNothing    TryRule = "nothing_stands_out"
)

// What makes one thing stand out; our choice but for the first, which is the
// trade pack's for a cluster (3.4).
const (
	tryFewestBites = 4
	tryFewestSoaks = 5    // casts without a bite, before their pace is judged
	tryMissedShare = 0.5  // of the true bites
	tryRhythmOff   = 1.25 // times the plan's interval, or the plan's so many times it
	tryFeedOff     = 1.5  // the same of the feed, about half a level
	tryShorter     = 0.75 // of the hook length
)

// SessionFigures are what the choice of one thing to try rests on. What is not
// known speaks for nothing.
type SessionFigures struct {
	// EmptySoaksMin are the soaks of the casts that were wound in without a true
	// bite, EmptyCyclesMin from when one of them settled to when the next did.
	EmptySoaksMin  []float64
	EmptyCyclesMin []float64
	Soak           *SummarySoak // the range that is nearly as good
	PlanRecastMin  Maybe[float64]
	Bites          int // that the casts tell of
	Missed         int
	HookLengthCm   Maybe[float64]
	LeastHookCm    Maybe[float64] // the plan's shortest
	PlannedGH      Maybe[GramsPerHour]
	FedGH          Maybe[GramsPerHour]
}

// FiguresOfCasts are the figures that the casts of the session tell. The soak
// and the plan are added by whoever knows them. A cast followed by a break is
// no cycle; breaks are not placed in a record, so that a gap over an hour counts
// as one (our choice).
func (s Session) FiguresOfCasts() SessionFigures {
	const mostGapMin = 60
	f := SessionFigures{HookLengthCm: s.HookLengthCm}
	for i, c := range s.Casts {
		if c.Outcome.TrueBite() {
			f.Bites++
			if c.Outcome == MissedBite {
				f.Missed++
			}
			continue
		}
		f.EmptySoaksMin = append(f.EmptySoaksMin, c.Out.Sub(c.In).Minutes())
		if s.Rods > 1 || i+1 == len(s.Casts) { // with two lines the next cast may be the other's
			continue
		}
		next := s.Casts[i+1].In
		if gap := next.Sub(c.Out).Minutes(); gap >= 0 && gap <= mostGapMin {
			f.EmptyCyclesMin = append(f.EmptyCyclesMin, next.Sub(c.In).Minutes())
		}
	}
	return f
}

// ChooseTryNext takes the first rule that holds: a soak outside the range that
// is nearly as good, a rhythm off the plan, most bites missed, a feed off the
// plan. Otherwise nothing stands out.
func ChooseTryNext(f SessionFigures) TryNext {
	var notJudged []string
	for _, rule := range []func(SessionFigures) (TryNext, string){trySoak, tryRhythm, tryHookLength, tryFeed} {
		found, why := rule(f)
		if found.Rule != "" {
			found.NotJudged = append([]string{}, notJudged...)
			return found
		}
		if why != "" {
			notJudged = append(notJudged, why)
		}
	}
	t := TryNext{Rule: TryNothing, Text: "Nothing stands out: do as you did.", NotJudged: append([]string{}, notJudged...)}
	t.Reason = "Soak, rhythm, missed bites and feed are all within what was meant."
	if len(notJudged) > 0 {
		t.Reason = "What the record tells is within what was meant. Not judged: " + strings.Join(notJudged, "; ") + "."
	}
	return t
}

// trySoak holds the soaks that the angler chose, those without a bite, against
// the range. Where there is no best soak every length is right, and the feed
// decides.
func trySoak(f SessionFigures) (TryNext, string) {
	switch {
	case f.Soak == nil:
		return TryNext{}, "the soak (no range is known to hold it against)"
	case len(f.EmptySoaksMin) < tryFewestSoaks:
		return TryNext{}, fmt.Sprintf("the soak (%d casts without a bite, %d are needed)", len(f.EmptySoaksMin), tryFewestSoaks)
	case f.Soak.Verdict == NoBestSoak:
		return TryNext{}, ""
	}
	soak := median(f.EmptySoaksMin)
	way := ""
	switch {
	case soak < f.Soak.LowMin:
		way = "longer"
	case soak > f.Soak.HighMin:
		way = "shorter"
	default:
		return TryNext{}, ""
	}
	low, high := fmt.Sprintf("%.0f", f.Soak.LowMin), fmt.Sprintf("%.0f", f.Soak.HighMin)
	span := low + " to " + high
	if low == high {
		span = low
	}
	why := "by your own casts bites per minute hardly differ inside that range and fall off outside it"
	if f.Soak.Verdict == TradeSoak {
		why = "that is the trade's usual range for the group in such water; your own casts say too little to move it"
	}
	return TryNext{
		Rule: TrySoak,
		Text: fmt.Sprintf("Leave a cast without a bite %s: %s min, by the clock.", way, span),
		Reason: fmt.Sprintf("You wound in after %.1f min in the middle of %d casts without a bite; %s. With another rhythm take the feeder that keeps the feed the same.",
			soak, len(f.EmptySoaksMin), why),
	}, ""
}

func tryRhythm(f SessionFigures) (TryNext, string) {
	switch {
	case !f.PlanRecastMin.Known:
		return TryNext{}, "the rhythm (no plan to hold it against)"
	case len(f.EmptyCyclesMin) < tryFewestSoaks:
		return TryNext{}, fmt.Sprintf("the rhythm (%d whole cycles without a bite, %d are needed)", len(f.EmptyCyclesMin), tryFewestSoaks)
	}
	cycle, plan := median(f.EmptyCyclesMin), f.PlanRecastMin.Value
	if !off(cycle, plan, tryRhythmOff) {
		return TryNext{}, ""
	}
	feeds := "less"
	if cycle < plan {
		feeds = "more"
	}
	return TryNext{
		Rule:   TryRhythm,
		Text:   fmt.Sprintf("Cast by the clock: every %.1f min, as planned, while no bite comes.", plan),
		Reason: fmt.Sprintf("Your casts without a bite came every %.1f min, in the middle of %d. Each cast feeds, so that pace gives %s feed than was meant.", cycle, len(f.EmptyCyclesMin), feeds),
	}, ""
}

// tryHookLength answers missed bites as the trade does: shorter (trade pack 3.6).
func tryHookLength(f SessionFigures) (TryNext, string) {
	if f.Bites < tryFewestBites {
		return TryNext{}, fmt.Sprintf("missed bites (%d true bites in the casts, %d are needed)", f.Bites, tryFewestBites)
	}
	if float64(f.Missed) < tryMissedShare*float64(f.Bites) {
		return TryNext{}, ""
	}
	t := TryNext{Rule: TryHookLength, Text: "Shorten the hook length by a quarter.", Reason: fmt.Sprintf("%d of %d true bites were missed, and missed bites ask for a shorter one.", f.Missed, f.Bites)}
	if !f.HookLengthCm.Known {
		return t, ""
	}
	now := f.HookLengthCm.Value
	shorter := max(tryShorter*now, f.LeastHookCm.Or(0))
	if shorter >= 0.95*now { // no change that anybody could see
		t.Text = "Try a smaller hook bait."
		t.Reason = fmt.Sprintf("%d of %d true bites were missed, and the hook length, %.0f cm, is at the short end already.", f.Missed, f.Bites, now)
		return t, ""
	}
	t.Text = fmt.Sprintf("Shorten the hook length from %.0f to about %.0f cm.", now, shorter)
	return t, ""
}

// tryFeed never asks for more feed: what is given cannot be taken back.
func tryFeed(f SessionFigures) (TryNext, string) {
	switch {
	case !f.PlannedGH.Known || !(f.PlannedGH.Value > 0):
		return TryNext{}, "feed (none was planned)"
	case !f.FedGH.Known:
		return TryNext{}, "feed (what was fed is not known)"
	}
	fed, planned := float64(f.FedGH.Value), float64(f.PlannedGH.Value)
	if !off(fed, planned, tryFeedOff) {
		return TryNext{}, ""
	}
	t := TryNext{Rule: TryFeed, Text: fmt.Sprintf("Feed what was planned, with part-fills or a smaller feeder: %.0f g/h.", planned)}
	t.Reason = fmt.Sprintf("The casts fed %.0f g/h, over the plan, and feed cannot be taken back.", fed)
	if fed < planned {
		t.Text = fmt.Sprintf("Plan the feed that you mean to give: about %.0f g/h.", fed)
		t.Reason = fmt.Sprintf("The casts fed %.0f of %.0f g/h planned. Only feed decided before the first cast teaches what feed does, and the lighter is the safe one.", fed, planned)
	}
	return t, ""
}

// off says whether a figure and the one it is held against differ by a factor.
func off(got, meant, factor float64) bool {
	return meant > 0 && (got > factor*meant || got*factor < meant)
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := slices.Sorted(slices.Values(v))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}
