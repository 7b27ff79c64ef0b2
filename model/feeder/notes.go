package feeder

import "fmt"

// notesFor puts into plain sentences what was reduced and why, and what to mind.
func notesFor(in Input, p Plan) []string {
	var notes []string
	say := func(when bool, format string, args ...any) {
		if when {
			notes = append(notes, fmt.Sprintf(format, args...))
		}
	}
	noteRate(in, p, say)
	noteOpening(in, p, say)
	noteCast(in, p, say)
	noteMix(in, p, say)
	return notes
}

type sayer func(when bool, format string, args ...any)

func noteRate(in Input, p Plan, say sayer) {
	say(in.wideInterval() && in.WishedRateGH == 0,
		"The water is only known to lie between %.1f and %.1f C, so the feed is set for the colder end.", in.WaterLowC, in.WaterHighC)
	say(in.WaterHighC >= heatCapC, "The water may be %.1f C; from %g C feed stays at %s or below.", in.WaterHighC, heatCapC, Even)
	say(in.WaterLowC < coldCapC, "The water may be %.1f C; under %g C feed stays at %s or below.", in.WaterLowC, coldCapC, Lean)
	say(in.LevelCap != "", "A caution holds feed at %s or below.", in.LevelCap)
	say(p.Feed.Capped, "The rate was cut from %.0f to %.0f g/h by that limit.", p.Feed.StartingRateGH, p.Feed.WishedRateGH)
	say(p.Feed.Clamped, "The plan gives %.0f g/h where %.0f was wished: %s.", p.Feed.RateGH, p.Feed.WishedRateGH, p.Feed.ClampReason)
	say(!p.Feed.Clamped && p.Feed.ClampReason != "", "For the wished rate, %s.", p.Feed.ClampReason)
	say(p.Feed.Scale == BelowScale, "The rate lies below the scale of levels and counts as %s.", Trace)
	say(p.Feed.Scale == AboveScale, "The rate lies above the scale of levels and counts as %s.", Heavy)
	say(p.Feed.Level == Heavy, "Feed this heavily only while there is clear evidence of a large shoal feeding.")
}

func noteOpening(in Input, p Plan, say sayer) {
	unknownCold := !in.KnownWater && p.FeedTempC < unknownOpeningC
	say(unknownCold, "No opening feed: the water is new to you and may be under %g C, and feed cannot be taken back.", unknownOpeningC)
	say(!in.KnownWater && !unknownCold, "The opening feed is halved because the water is new to you; feed cannot be taken back.")
	say(p.Feed.OpeningFills > 0 && p.Season.OpeningRelease == ReleaseSurface && p.Feed.OpeningRelease == ReleaseBottom,
		"Empty the opening feed on the bottom: in wind or tow, or where the wind was not checked, crumb let go at the surface may drift away.")
}

func noteCast(in Input, p Plan, say sayer) {
	c := p.Cast
	if !c.Named {
		return
	}
	rod := "the strongest rod in the table"
	if c.OwnRod {
		rod = "your rod"
	}
	say(!in.Wind.SpeedKnown, "The wind was not checked, so no weight was added for it.")
	say(in.DepthM == 0, "The depth is not known, so no weight was added for it.")
	say(c.NoStep, "No step: this cast asks for more than the heaviest feeder to be had.")
	if c.NoSafeCast {
		say(c.LongestM > 0, "No safe cast at %g m within %g g on %s; the longest that works is %g m.", in.DistanceM, c.RodMaxG, rod, c.LongestM)
		say(c.LongestM == 0, "No safe cast at any distance within %g g on %s with the feeders to hand.", c.RodMaxG, rod)
		return
	}
	say(c.HeavierRod, "Weight and fill come to %.0f g, so take the rod for %s, rated up to %g g.", c.LoadedMassG, c.Rod.Name, c.RodMaxG)
	say(c.LessFill, "The fill was cut so that weight and fill stay within %g g on %s.", c.RodMaxG, rod)
	say(c.MayCreep, "The feeder may creep: there was no room for the weight that wind and depth ask for.")
	say(in.DepthM > 0 && in.DepthM < softSplashDeepM && in.DistanceM < softSplashRangeM,
		"In water this shallow and near, tie on the lightest feeder that holds, for a softer splash.")
	note, owed := NonLeadNote(c.WeightG)
	say(owed, "%s", note)
}

func noteMix(in Input, p Plan, say sayer) {
	limitG := mixLimitG(in)
	say(p.Feed.TotalDryG > limitG,
		"The hours planned would use %.0f g of dry feed, more than the %.0f g to mix at most; when it is gone, fish on without.", p.Feed.TotalDryG, limitG)
	say(true, "Do not aim to use it all up.")
}
