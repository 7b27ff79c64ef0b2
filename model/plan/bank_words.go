package plan

import (
	"fmt"
	"math"

	"osier/model"
	"osier/model/feeder"
	"osier/model/timing"
)

// worded says one piece of advice in a plain sentence, with its reason and how
// sure it is.
func (in BankInput) worded(p timing.Piece, soak bankSoak) model.AdvicePiece {
	out := model.AdvicePiece{Act: string(p.Act), Reason: string(p.Reason), Text: in.actText(p.Act, soak), Why: reasonTexts[p.Reason]}
	if p.Chance != nil {
		out.Sure = fmt.Sprintf("%.0f in 100 that this holds", 100**p.Chance)
	}
	return out
}

func (in BankInput) actText(act timing.Act, soak bankSoak) string {
	low, high := soak.NearlyAsGood.LowMin, soak.NearlyAsGood.HighMin
	switch act {
	case timing.Hold:
		return fmt.Sprintf("Leave this cast: %.0f to %.0f minutes is the range.", low, high)
	case timing.Recast:
		return "Wind in and cast again."
	case timing.EitherWay:
		return "Leave it or recast, as you like: nothing speaks for either."
	case timing.FeedUp:
		return "Feed one level more: a larger feeder or fuller fills. It cannot be taken back."
	case timing.FeedDown:
		return "Feed one level less: part-fills or a smaller feeder."
	case timing.KeepFeed:
		return "Keep the feed as it is."
	case timing.LeaveLonger:
		return fmt.Sprintf("Leave each cast longer, %.0f to %.0f minutes%s.", low, high, in.feederFor((low+high)/2, soak))
	case timing.RecastSooner:
		return fmt.Sprintf("Recast sooner, after %.0f to %.0f minutes%s.", low, high, in.feederFor((low+high)/2, soak))
	case timing.SoakAsNow:
		return "Keep the rhythm as it is."
	case timing.ChangePlace:
		return "Change line: a few metres shorter or longer, or another angle. Feed left behind stays there, and you can come back to it."
	}
	return "Stay on this line."
}

// feederFor names the feeder that keeps the planned feed rate at another soak:
// rhythm, capacity and rate are one choice.
func (in BankInput) feederFor(soakMin float64, soak bankSoak) string {
	p := in.Plan
	if p.Rhythm.FillsPerH <= 0 || p.Feed.RateGH <= 0 || p.Feeder.CapacityMl <= 0 {
		return ""
	}
	perMl := float64(p.Feed.RateGH) / p.Rhythm.FillsPerH / float64(p.Feeder.CapacityMl)
	needed := float64(p.Feed.RateGH) * (soakMin + soak.handling.BlankMin) / 60
	step, ok := feeder.NearestStep(needed / perMl)
	if !ok || step.CapacityMl == float64(p.Feeder.CapacityMl) {
		return ""
	}
	fill := math.Min(1, needed/perMl/step.CapacityMl)
	return fmt.Sprintf(", with the %s feeder of %.0f ml filled to %.2f of what you fill now, to keep %.0f g an hour", step.Name, step.CapacityMl, fill, float64(p.Feed.RateGH))
}

// reasonTexts say by which rule.
var reasonTexts = map[timing.Reason]string{
	timing.AboveCap:        "A caution caps the feed below the level in use.",
	timing.LinersNoBite:    "Line bites without true bites: fish are there, and the feed may hold them off the hook.",
	timing.FadingAfterFeed: "Bites faded after the feed was raised.",
	timing.QuickBites:      "Bites come quickly, cast after cast, and the rate is above the plan's.",
	timing.NotAbovePlan:    "Bites come quickly, but it is not sure that the rate is above the plan's, and feed cannot be taken back.",
	timing.AtCap:           "More feed would pass the cap that a caution sets, or the scale's end.",
	timing.AtLightest:      "It is the lightest level already.",
	timing.NoTrigger:       "Nothing asks for more or less.",
	timing.OneAtATime:      "One change at a time: give the last one two casts.",
	timing.BeforeBestSoak:  "The cast has not lain as long as casts should here.",
	timing.WithinBestSoak:  "The cast is within the range of soaks that are about as good.",
	timing.BeyondBestSoak:  "The cast has lain longer than any soak that is about as good.",
	timing.SoaksTooShort:   "Your last casts were wound in sooner than the range that is about as good.",
	timing.SoaksTooLong:    "Your last casts lay longer than the range that is about as good.",
	timing.SoaksFit:        "Your casts lie within the range that is about as good.",
	timing.BetterElsewhere: "With the time left, more bites are expected after a change of line, the time it costs counted.",
	timing.BetterHere:      "With the time left, more bites are expected here than after a change, which costs time.",
	timing.WithinPatience:  "It is too soon to judge this line.",
	timing.TooLateToMove:   "Too little time is left for a change to pay.",
	timing.NowhereToGo:     "There is no other line to go to.",
	timing.NoTable:         "Whether a change of line would pay cannot be worked out for so sure a plan.",
}
