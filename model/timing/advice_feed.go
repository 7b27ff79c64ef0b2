package timing

// The feed levels' ranks.
const lightest, heaviest = 0, 4

// Feed cannot be taken back: a step too much costs three times a step too
// little, so that more feed must be right with probability 3/4 before it is
// given, the critical ratio of the newsvendor problem (from memory); the ratio
// is our choice.
const (
	costOver, costUnder = 3.0, 1.0
	sureEnoughToRaise   = costOver / (costOver + costUnder)
)

// The triggers of a change of feed. Common practice, no source.
const (
	raiseCasts     = 3 // that many casts running with a bite each
	linerCasts     = 4 // that many running with line bites and no bite
	fadeMin        = 40.0
	fadeLeastBites = 2 // in the earlier half; our choice
)

// A bite is quick in the first half of the best soak's range end, or where none
// is known within 3 minutes; our choice.
const (
	quickShare       = 0.5
	quickWhateverMin = 3.0
)

// jeffreys is what is thought of a rate before it is seen (Jeffreys's prior of
// a Poisson rate, from memory), to compare two halves of a spell by.
var jeffreys = Rate{Shape: 0.5, Hours: 1e-3}

// feed says whether to feed up, keep or feed down. Triggers look at the casts
// since the last change of feed alone, so that nothing is answered twice.
//
// Up needs both the trigger and 3 chances in 4 that the line's rate is above
// the plan's; down needs the trigger and merely 1 in 4 that it is not. Chance
// is, for up, that the rate is above the plan's; for down after liners, that
// nothing feeds; for down after a raise, that bites have really slowed.
func (in AdviceInput) feed(s session) Piece {
	recent := s.casts[s.feedChangedCast:]
	above := s.chanceAbovePlan(in)
	if in.Level > in.CapLevel {
		return Piece{Act: FeedDown, Reason: AboveCap, Figures: []Figure{{"level", float64(in.Level)}, {"cap_level", float64(in.CapLevel)}}, Chance: sure(1)}
	}
	if down, ok := in.feedDown(s, recent); ok && above < sureEnoughToRaise {
		if in.Level == lightest {
			return Piece{Act: KeepFeed, Reason: AtLightest, Figures: down.Figures, Chance: down.Chance}
		}
		return down
	}
	casts, slowestMin := in.quickBites(recent)
	if casts < raiseCasts {
		return Piece{Act: KeepFeed, Reason: NoTrigger, Figures: []Figure{{"chance_rate_above_plan", above}}}
	}
	up := Piece{Act: FeedUp, Reason: QuickBites, Figures: []Figure{
		{"casts_with_quick_bites", float64(casts)}, {"slowest_bite_min", slowestMin}, {"chance_rate_above_plan", above},
	}, Chance: sure(above)}
	switch {
	case above < sureEnoughToRaise:
		up.Act, up.Reason = KeepFeed, NotAbovePlan
	case in.Level >= in.CapLevel:
		up.Act, up.Reason = KeepFeed, AtCap
	}
	return up
}

// chanceAbovePlan is the chance that this line gives more than the plan's mean.
func (s session) chanceAbovePlan(in AdviceInput) float64 {
	above, ok := s.now.Rate.ChanceAbove(in.Plan.MeanH())
	if !ok {
		return 0
	}
	return s.now.Feeding * above
}

func (in AdviceInput) feedDown(s session, recent []lineCast) (Piece, bool) {
	if casts, liners := linersOnly(recent); casts >= linerCasts {
		return Piece{Act: FeedDown, Reason: LinersNoBite, Figures: []Figure{
			{"casts_without_bite", float64(casts)}, {"line_bites", float64(liners)},
		}, Chance: sure(1 - s.now.Feeding)}, true
	}
	earlier, later, ok := s.sinceRaise()
	if !ok || earlier < fadeLeastBites || later >= earlier {
		return Piece{}, false
	}
	first, errFirst := jeffreys.After(earlier, fadeMin/120)
	second, errSecond := jeffreys.After(later, fadeMin/120)
	slowed, known := first.ChanceLarger(second)
	if errFirst != nil || errSecond != nil || !known || slowed < sureEnoughToRaise {
		return Piece{}, false
	}
	return Piece{Act: FeedDown, Reason: FadingAfterFeed, Figures: []Figure{
		{"bites_first_20_min", float64(earlier)}, {"bites_last_20_min", float64(later)}, {"since_raise_min", s.fishedMin - s.raisedMin},
	}, Chance: sure(slowed)}, true
}

// linersOnly counts, back from the last cast, those with line bites and no bite.
func linersOnly(casts []lineCast) (n, liners int) {
	for i := len(casts) - 1; i >= 0; i-- {
		c := casts[i]
		if !c.finished && c.trueBites() == 0 {
			continue // it may still bring a bite
		}
		if c.trueBites() > 0 || c.lineBites == 0 {
			break
		}
		n++
		liners += c.lineBites
	}
	return n, liners
}

// quickBites counts, back from the last cast, those with a quick bite, and
// finds the slowest of the last three.
func (in AdviceInput) quickBites(casts []lineCast) (n int, slowestMin float64) {
	quickMin := quickShare * in.SoakHighMin
	if in.SoakHighMin == 0 {
		quickMin = quickWhateverMin
	}
	for i := len(casts) - 1; i >= 0 && n < raiseCasts; i-- {
		c := casts[i]
		if !c.over() {
			continue
		}
		waitMin := c.biteMin - c.fromMin
		if c.trueBites() == 0 || waitMin > quickMin {
			break
		}
		n++
		slowestMin = max(slowestMin, waitMin)
	}
	return n, slowestMin
}

// sinceRaise counts the casts' first bites in the two halves of the last 40
// minutes, where the feed was raised before them and not changed since.
func (s session) sinceRaise() (earlier, later int, ok bool) {
	if !s.raised || s.fishedMin-s.raisedMin < fadeMin {
		return 0, 0, false
	}
	for _, c := range s.casts {
		ageMin := s.fishedMin - c.biteMin
		switch {
		case c.trueBites() == 0 || ageMin > fadeMin:
		case ageMin > fadeMin/2:
			earlier++
		default:
			later++
		}
	}
	return earlier, later, true
}
