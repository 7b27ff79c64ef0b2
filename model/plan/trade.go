package plan

import (
	"fmt"
	"math"
	"strings"

	"osier/model"
	"osier/model/air"
	"osier/model/feeder"
)

// putTrade writes the trade's plan into the document. Where every hour is
// struck out nothing is fed.
func (in Input) putTrade(p *model.Plan, t feeder.Plan, open []bool) {
	f := t.Feed
	p.Feed = model.FeedPlan{
		Level: string(f.Level), RateGH: grams[model.GramsPerHour](f.RateGH), WishedRateGH: grams[model.GramsPerHour](f.WishedRateGH),
		OpeningFills: f.OpeningFills, OpeningG: grams[model.Grams](f.OpeningG), OpeningRelease: f.OpeningRelease,
		TotalDampG: grams[model.Grams](f.TotalDampG), TotalDryG: grams[model.Grams](f.TotalDryG), MixDryG: grams[model.Grams](f.MixDryG),
	}
	if f.Capped {
		p.Feed.Cap = fmt.Sprintf("capped at %s (%s)", f.CappedAt, cappedBy(p.Cautions, f.CappedAt))
	}
	p.Feeder = model.FeederPlan{
		Type: t.Feeder.Type, Step: t.Feeder.Step, CapacityMl: model.Millilitres(t.Feeder.CapacityMl),
		FillFactor: air.Round(t.Feeder.FillFactor, 3), NoSafeCast: t.Cast.NoSafeCast,
	}
	if !t.Cast.NoSafeCast {
		p.Feeder.WeightG = model.Known(model.Grams(t.Cast.WeightG))
		p.Feeder.LoadedMassG = model.Known(grams[model.Grams](t.Cast.LoadedMassG))
	} else if t.Cast.LongestM > 0 {
		p.Feeder.LongestM = model.Known(model.Metres(t.Cast.LongestM))
	}
	p.Rhythm = model.RhythmPlan{
		SoakMin: air.Round(t.Rhythm.SoakMin, 2), SoakRange: model.Span{Low: t.Rhythm.SoakLowMin, High: t.Rhythm.SoakHighMin},
		RecastMin: air.Round(t.Rhythm.RecastIntervalMin, 2), FillsPerH: air.Round(t.Rhythm.FillsPerH, 2), Basis: t.Rhythm.Basis,
	}
	p.HookLengthCm = model.Span{Low: t.Hook.LengthLowCm, High: t.Hook.LengthHighCm}
	p.Bait = model.BaitPlan{
		Groundbait: t.Season.Groundbait, HookBaits: t.Season.HookBaits,
		ParticlesShare: model.Span{Low: t.Season.ParticlesShareLow, High: t.Season.ParticlesShareHigh},
	}
	rod := t.Cast.Rod
	p.Tackle = model.TacklePlan{
		RodLengthM: model.Span{Low: rod.LengthLowM, High: rod.LengthHighM},
		RodRatingG: model.Span{Low: rod.RatingLowG, High: rod.RatingHighG},
		TipOz:      model.Span{Low: rod.TipLowOz, High: rod.TipHighOz},
		MainLineLb: model.Span{Low: rod.LineLowLb, High: rod.LineHighLb}, LineText: rod.LineInWords,
		HookLinkLb: model.Span{Low: t.Hook.StrengthLowLb, High: t.Hook.StrengthHighLb},
		HookSizes:  fmt.Sprintf("%d to %d", t.Hook.SmallestSize, t.Hook.LargestSize),
	}
	p.PatienceMin = model.Span{Low: t.Season.PatienceLowMin, High: t.Season.PatienceHighMin}
	p.Take, p.Notes = append([]string{}, t.Take...), notesFor(in.History.Water, t)
	if noneOpen(open) {
		p.Feed.RateGH, p.Feed.OpeningFills, p.Feed.OpeningG, p.Feed.TotalDampG, p.Feed.TotalDryG, p.Feed.MixDryG = 0, 0, 0, 0, 0, 0
		p.Take = []string{}
		p.Notes = []string{"A caution strikes out every hour asked for: do not fish then. The tackle is given for another day; no feed is."}
	}
}

// cappedBy names what capped the feed at a level: a caution, or the trade's own
// limit in cold water.
func cappedBy(cautions []model.Caution, at feeder.Level) string {
	if level, why := levelCap(cautions); level == at {
		return why
	}
	if at == feeder.Even {
		return "the water may be 24 C or more"
	}
	return "the water may be under 3 C"
}

// notesFor leaves the note on lead out where another country's rules hold: it is
// the law of England and Wales, and said wherever nobody named a jurisdiction.
func notesFor(w model.Water, t feeder.Plan) []string {
	notes := []string{}
	lead, _ := feeder.NonLeadNote(t.Cast.WeightG)
	elsewhere := w.Jurisdiction != "" && !strings.Contains(w.Jurisdiction, "England") && !strings.Contains(w.Jurisdiction, "Wales")
	for _, n := range t.Notes {
		if n != lead || !elsewhere {
			notes = append(notes, n)
		}
	}
	return notes
}

// grams rounds a mass or a rate to a tenth of a gram: what is below that nobody
// can weigh.
func grams[T ~float64](v float64) T { return T(air.Round(v, 1)) }

func noneOpen(open []bool) bool {
	for _, o := range open {
		if o {
			return false
		}
	}
	return true
}

// wouldChange says what would alter the advice, with the figures.
func (in Input) wouldChange(t feeder.Plan, c model.Conditions) []string {
	var out []string
	group := feeder.Group(in.Question.Group)
	now, ok1 := feeder.StartingRateGH(group, t.FeedTempC)
	warmer, ok2 := feeder.StartingRateGH(group, t.FeedTempC+2)
	colder, ok3 := feeder.StartingRateGH(group, t.FeedTempC-2)
	if ok1 && ok2 && ok3 && (warmer != now || colder != now) {
		out = append(out, fmt.Sprintf("A thermometer: with water at %.0f C the starting rate would be %.0f g/h, at %.0f C %.0f g/h.",
			t.FeedTempC-2, colder, t.FeedTempC+2, warmer))
	}
	if !in.KnownWater {
		out = append(out, "Three sessions of yours here: the opening feed is held down on a water you do not know.")
	}
	if gust := strongestWind(c.Hours); gust.Known && gust.Value < 8 {
		out = append(out, "Wind of 8 m/s or more across the cast: a feeder 20 g heavier than still air asks for.")
	}
	out = append(out, "Thunder, ice, fish in distress or a closure: these come before any plan.")
	if in.Evidence.Basis == "prior" {
		out = append(out, "Records: each session of yours, blanks included, moves the expectation; some twenty with the feed planned beforehand begin to show what feed does.")
	}
	return out
}

func strongestWind(hours []model.ConditionHour) model.Maybe[float64] {
	w := windOver(hours)
	return model.Maybe[float64]{Value: w.SpeedMps, Known: w.SpeedKnown}
}

// oldestMin is how old the oldest air temperature in use is, in minutes: of a
// forecast, how long ago its feed stood by it.
func oldestMin(hours []model.ConditionHour) float64 {
	oldest := 0.0
	for _, h := range hours {
		from := h.Provenance["air_temp_c"]
		oldest = math.Max(oldest, from.ConfirmedMin.Or(from.AgeMin.Value))
	}
	return oldest
}

// noRecords is why an expectation rests on the prior alone.
const noRecords = "no records yet, typical for season"

// confidence says how far to trust the plan and what lowers it.
func (in Input) confidence(c model.Conditions) model.Confidence {
	because := []string{}
	missing, assumed, doubtful := 0, 0, 0
	for _, h := range c.Hours {
		if h.Weather == model.Missing {
			missing++
		}
		if h.Provenance["air_temp_c"].LowTrust || h.Provenance["wind_mps"].LowTrust {
			doubtful++
		}
		if h.WaterC.Kind == model.Assumed {
			assumed++
		}
	}
	if missing > 0 {
		because = append(because, fmt.Sprintf("weather is missing for %d of %d hours", missing, len(c.Hours)))
	}
	if assumed > 0 {
		because = append(because, "the water temperature comes from the climate alone, give or take 4 C")
	}
	switch {
	case !c.AgeMin.Known:
		because = append(because, "neither a report nor a forecast reaches these hours")
	case c.Stale:
		because = append(because, fmt.Sprintf("the oldest weather in use is %.0f h old", oldestMin(c.Hours)/60))
	}
	if doubtful > 0 {
		because = append(because, fmt.Sprintf("in %d of %d hours the station flags its report as doubtful", doubtful, len(c.Hours)))
	}
	if in.Evidence.Basis == "prior" {
		because = append(because, noRecords)
	}
	levels := []string{"usual", "lowered", "low"}
	return model.Confidence{Level: levels[int(math.Min(2, float64(len(because))))], Because: because}
}
