package timing

import (
	"fmt"
	"math"
	"slices"
)

// AdviceInput is all that advice goes by at one moment of a session. Times are
// minutes since the session began.
type AdviceInput struct {
	Plan        Belief  // PlanBelief of the plan at this hour
	Events      []Event // in any order; those after NowMin are left out
	NowMin      float64
	EndMin      float64 // planned end
	Level       int     // feed level in use, 0 Trace to 4 Heavy
	CapLevel    int     // the highest level that the cautions allow
	SoakLowMin  float64 // the best soak's range; both 0 where none is known
	SoakHighMin float64
	HandlingMin float64   // from winding in to the next cast
	PatienceMin float64   // the lower end: no change of line before it
	CanMove     bool      // another free line or spot exists
	Moves       *MoveGrid // for Plan.Feeding; nil gives no advice on moving
}

// Act is what a piece of advice says to do.
type Act string

// The acts. Hold, Recast and EitherWay are about the cast that lies in the
// water; Keep, Stay and SoakAsNow change nothing; the rest are changes, of which
// at most one is advised at a time. Whether ChangePlace means another line or
// another peg is for the caller to word.
const (
	Hold         Act = "hold"
	Recast       Act = "recast"
	EitherWay    Act = "either_way"
	FeedUp       Act = "feed_up"
	FeedDown     Act = "feed_down"
	KeepFeed     Act = "keep_feed"
	LeaveLonger  Act = "leave_longer"
	RecastSooner Act = "recast_sooner"
	SoakAsNow    Act = "soak_as_now"
	ChangePlace  Act = "change_place"
	Stay         Act = "stay"
)

// Reason says by which rule.
type Reason string

// The reasons, each with figures of its own.
const (
	AboveCap        Reason = "level_above_cap"
	LinersNoBite    Reason = "liners_without_bites"
	FadingAfterFeed Reason = "bites_fading_after_raise"
	QuickBites      Reason = "quick_bites"
	NotAbovePlan    Reason = "rate_not_surely_above_plan"
	AtCap           Reason = "level_at_cap"
	AtLightest      Reason = "level_at_lightest"
	NoTrigger       Reason = "no_trigger"
	OneAtATime      Reason = "one_change_at_a_time"
	BeforeBestSoak  Reason = "before_best_soak"
	WithinBestSoak  Reason = "within_best_soak"
	BeyondBestSoak  Reason = "beyond_best_soak"
	SoaksTooShort   Reason = "soaks_shorter_than_best"
	SoaksTooLong    Reason = "soaks_longer_than_best"
	SoaksFit        Reason = "soaks_within_best"
	BetterElsewhere Reason = "more_bites_expected_elsewhere"
	BetterHere      Reason = "more_bites_expected_here"
	WithinPatience  Reason = "within_patience"
	TooLateToMove   Reason = "too_late_to_move"
	NowhereToGo     Reason = "no_other_place"
	NoTable         Reason = "no_table"
)

// Figure is a number behind a reason, its unit in its name.
type Figure struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
}

// Piece is one piece of advice. Chance says how sure it is: the probability
// that what it rests on holds (which, the act's own rule says). It is nil where
// there is nothing to be sure of.
type Piece struct {
	Act     Act      `json:"act"`
	Reason  Reason   `json:"reason"`
	Figures []Figure `json:"figures"`
	Chance  *float64 `json:"chance"`
}

// Advice is what to do now, first the one thing that matters most.
type Advice struct {
	First  Piece   `json:"first"`
	Others []Piece `json:"others"`
	State  State   `json:"state"`
}

// State is what the session has taught about the line fished now. Quartiles of
// the next bite are nil where they are too far off to compute.
type State struct {
	FishedMin   float64 `json:"fished_min"` // on this line, pauses left out
	Bites       int     `json:"bites"`
	LineBites   int     `json:"line_bites"`
	Feeding     float64 `json:"feeding_probability"`
	Present     float64 `json:"present_probability"` // feeding or not
	PlanRateH   float64 `json:"plan_bites_per_h"`
	RateH       float64 `json:"bites_per_h"` // feeding or not, as the plan's
	BiteIn10Min float64 `json:"bite_within_10_min_probability"`

	// Given that fish feed.
	IfFeedingH       float64     `json:"bites_per_h_if_feeding"`
	IfFeedingLow90H  float64     `json:"bites_per_h_if_feeding_low90"`
	IfFeedingHigh90H float64     `json:"bites_per_h_if_feeding_high90"`
	NextBiteMin      *[3]float64 `json:"next_bite_if_feeding_quartiles_min"`
}

// longestSessionMin bounds every time in the input; our choice.
const longestSessionMin = 14 * 24 * 60.0

// nextBiteWithinMin is the window of State.BiteIn10Min.
const nextBiteWithinMin = 10

// Advise weighs the session so far. It changes one thing at a time: of the
// changes that are called for it puts first the one that is most easily undone
// (less feed and a change of soak at the next cast, a change of line slowly,
// more feed never), and after a change it waits for two casts. A level above
// the cautions' cap is lowered at once. Pure: the same input in any order of
// events gives the same advice.
func Advise(in AdviceInput) (Advice, error) {
	if err := in.check(); err != nil {
		return Advice{}, fmt.Errorf("advise: %w", err)
	}
	s, err := readSession(in)
	if err != nil {
		return Advice{}, fmt.Errorf("advise: %w", err)
	}
	state, err := s.state(in)
	if err != nil {
		return Advice{}, fmt.Errorf("advise: %w", err)
	}
	changes := []Piece{in.feed(s), in.rhythm(s), in.place(s)}
	sortByUndoing(changes)
	oneAtATime(changes, s)
	sortByUndoing(changes)
	pieces := changes
	if cast, ok := in.cast(s); ok {
		at := 0
		if changes[0].Act.IsChange() {
			at = 1
		}
		pieces = slices.Insert(changes, at, cast)
	}
	return Advice{First: pieces[0], Others: pieces[1:], State: state}, nil
}

func (in AdviceInput) check() error {
	for _, f := range []Figure{
		{"now_min", in.NowMin},
		{"end_min", in.EndMin},
		{"soak_low_min", in.SoakLowMin},
		{"soak_high_min", in.SoakHighMin},
		{"handling_min", in.HandlingMin},
		{"patience_min", in.PatienceMin},
	} {
		if !(f.Value >= 0 && f.Value <= longestSessionMin) {
			return fmt.Errorf("%s is %g; it must be from 0 to %g", f.Name, f.Value, longestSessionMin)
		}
	}
	switch {
	case !in.Plan.known() || !(in.Plan.Feeding > 0):
		return fmt.Errorf("the plan's belief is chance %g, shape %g, hours %g; make it with PlanBelief", in.Plan.Feeding, in.Plan.Rate.Shape, in.Plan.Rate.Hours)
	case in.Level < lightest || in.Level > heaviest || in.CapLevel < lightest || in.CapLevel > heaviest:
		return fmt.Errorf("the feed level is %d and its cap %d; both must be from %d to %d", in.Level, in.CapLevel, lightest, heaviest)
	case in.SoakLowMin > in.SoakHighMin:
		return fmt.Errorf("the best soak is from %g to %g minutes; the low end must not be above the high one", in.SoakLowMin, in.SoakHighMin)
	}
	return nil
}

// undoing ranks acts by how easily they are undone.
func undoing(act Act) int {
	switch act {
	case FeedDown:
		return 0
	case LeaveLonger, RecastSooner, ShortenHook, LengthenHook:
		return 1
	case ChangePlace:
		return 2
	case FeedUp:
		return 3
	}
	return 4
}

func sortByUndoing(pieces []Piece) {
	slices.SortStableFunc(pieces, func(a, b Piece) int { return undoing(a.Act) - undoing(b.Act) })
}

// IsChange says whether an act changes something, so that no other may go with it.
func (act Act) IsChange() bool { return undoing(act) < 4 }

// castsBetweenChanges is how long a change is given to show: common practice,
// no source.
const castsBetweenChanges = 2

// oneAtATime keeps the first change, if it may be made now, and turns the
// others into waiting.
func oneAtATime(pieces []Piece, s session) {
	allowed := 1
	if s.changed && s.castsSinceChange() < castsBetweenChanges {
		allowed = 0
	}
	for i := range pieces {
		switch {
		case !pieces[i].Act.IsChange():
		case pieces[i].Reason == AboveCap:
			allowed = 0
		case allowed > 0:
			allowed--
		default:
			pieces[i] = Piece{
				Act: unchanged(pieces[i].Act), Reason: OneAtATime,
				Figures: []Figure{{"casts_since_change", float64(s.castsSinceChange())}},
			}
		}
	}
}

// unchanged is the act of leaving alone what an act would change.
func unchanged(act Act) Act {
	switch act {
	case ChangePlace:
		return Stay
	case LeaveLonger, RecastSooner:
		return SoakAsNow
	}
	return KeepFeed
}

// state sums up the line fished now.
func (s session) state(in AdviceInput) (State, error) {
	present, ok := s.now.Present(s.lineBites, s.fishedMin/60)
	low, okLow := s.now.Rate.QuantileH(0.05)
	high, okHigh := s.now.Rate.QuantileH(0.95)
	if !ok || !okLow || !okHigh {
		return State{}, fmt.Errorf("a rate of shape %g and %g hours has no quantiles", s.now.Rate.Shape, s.now.Rate.Hours)
	}
	state := State{
		FishedMin: s.fishedMin, Bites: s.bites, LineBites: s.lineBites,
		Feeding: s.now.Feeding, Present: present,
		PlanRateH: in.Plan.MeanH(), RateH: s.now.MeanH(), BiteIn10Min: s.now.BiteWithin(nextBiteWithinMin),
		IfFeedingH: s.now.Rate.MeanH(), IfFeedingLow90H: low, IfFeedingHigh90H: high,
	}
	var quartiles [3]float64
	for i := range quartiles {
		if quartiles[i], ok = s.now.Rate.NextBiteMin(float64(i+1) / 4); !ok {
			return state, nil
		}
	}
	state.NextBiteMin = &quartiles
	return state, nil
}

// sure makes a chance of a number that may miss 0 and 1 by rounding.
func sure(chance float64) *float64 {
	chance = math.Max(0, math.Min(1, chance))
	return &chance
}
