package feeder

import (
	"fmt"
	"math"
)

// Feed amounts that are advised. The 1.3 is common practice, no source; 1.5 kg
// dry a day is the limit proposed by Boros, Mozsar and Specziar (2022).
const (
	mixShare   = 1.3
	mostMixDry = 1500.0
)

// Unhurried is the basis of a rhythm planned without a bite in it.
const Unhurried = "unhurried"

// Plan is a cold-start plan: what the trade would do with no records at all.
type Plan struct {
	Group     Group
	FeedTempC float64 // The temperature the rate was read at.
	Feed      Feed
	Feeder    Feeder
	Rhythm    Rhythm
	Cast      Cast
	Hook      Hook
	Season    Season
	Take      []string
	Notes     []string // Plain sentences: what was reduced and why, and warnings.
}

// Feed is how much goes in, damp unless the name says dry.
type Feed struct {
	Level          Level
	Scale          Scale
	StartingRateGH float64 // Before caps: the trade's, or the one recommended.
	CeilingGH      float64 // What the tightest cap allows; 0 where there is none.
	WishedRateGH   float64 // After caps, before feeder and rhythm bound it.
	RateGH         float64 // What results.
	Capped         bool
	CappedAt       Level  // The level of the cap that bound last; empty for none.
	Clamped        bool   // The resulting rate is not the wished one.
	ClampReason    string // Which limit shaped rhythm or fill; may stand with the rate unmoved.
	OpeningFills   int
	OpeningG       float64
	OpeningRelease string // Empty where there is no opening feed.
	TotalDampG     float64
	TotalDryG      float64
	MixDryG        float64 // To mix, at most.
}

// Feeder is what to tie on, weight apart.
type Feeder struct {
	Type       string
	Step       string
	CapacityMl float64
	FillFactor float64
	DensityGMl float64
	FillG      float64
}

// Rhythm is the pace of casting.
type Rhythm struct {
	SoakMin, SoakLowMin, SoakHighMin float64
	HandlingMin                      float64
	RecastIntervalMin                float64
	FillsPerH                        float64
	Basis                            string
}

// ColdStart makes the plan by the trade's seven steps. Input out of range gives
// a *FieldError; everything in the plan is finite. Where the fill has to shrink
// for the rod, where a cap binds, or where soak or fill meet a limit, the
// resulting rate is reported and a note says why.
func ColdStart(in Input) (Plan, error) {
	if err := in.Check(); err != nil {
		return Plan{}, fmt.Errorf("making a cold-start plan: %w", err)
	}
	p := Plan{Group: in.Group, FeedTempC: in.feedTempC()}
	p.Season, _ = SeasonFor(in.Group, in.WaterC)
	p.Hook, _ = HookFor(in.Group, in.WaterC)

	p.wish(in)
	soak, _ := SoakFor(in.Group, in.WaterC)
	d := demand{
		wishedGH: p.Feed.WishedRateGH, ceilingGH: p.Feed.CeilingGH, capped: p.Feed.CeilingGH > 0,
		densityGMl: in.densityGMl(), handlingMin: HandlingMin(in.DistanceM),
		soak: soak, ownKit: len(in.Kit.planned()) > 0,
	}
	vs := in.Kit.vessels()
	l, cast := d.fit(vs, in)
	p.Cast = cast
	p.settle(in, d, l)
	p.portion(in)
	p.Notes = notesFor(in, p)
	p.Take = takeFor(vs, p)
	return p, nil
}

// wish is steps 1 and 2: the rate before and after caps. A cap named by a
// caution comes last.
func (p *Plan) wish(in Input) {
	p.Feed.StartingRateGH = in.WishedRateGH
	if in.WishedRateGH == 0 {
		p.Feed.StartingRateGH, _ = StartingRateGH(in.Group, p.FeedTempC)
	}
	p.Feed.WishedRateGH = p.Feed.StartingRateGH
	for _, limit := range capsFor(in) {
		cappedGH, level, _ := CapAt(in.Group, p.Feed.WishedRateGH, limit)
		if cappedGH < p.Feed.WishedRateGH {
			p.Feed.WishedRateGH, p.Feed.Capped, p.Feed.CappedAt = cappedGH, true, level
		}
		_, upperGH, _ := LevelRangeGH(in.Group, limit)
		if capGH := capShare * upperGH; p.Feed.CeilingGH == 0 || capGH < p.Feed.CeilingGH {
			p.Feed.CeilingGH = capGH
		}
	}
}

// capsFor lists the caps that apply: heat by the interval's upper end, cold by
// its lower end, then the caution's.
func capsFor(in Input) []Level {
	var caps []Level
	if in.WaterHighC >= heatCapC {
		caps = append(caps, Even)
	}
	if in.WaterLowC < coldCapC {
		caps = append(caps, Lean)
	}
	if in.LevelCap != "" {
		caps = append(caps, in.LevelCap)
	}
	return caps
}

// settle writes down the feeder, the rhythm and the rate that result.
func (p *Plan) settle(in Input, d demand, l load) {
	p.Feeder = Feeder{
		Type: in.Kit.typeOf(l.vessel.capacityMl, p.Cast.WeightG),
		Step: l.vessel.step, CapacityMl: l.vessel.capacityMl,
		FillFactor: l.fillFactor, DensityGMl: d.densityGMl, FillG: l.fillG,
	}
	if p.Feeder.Type == "" {
		p.Feeder.Type = FeederType(in.DistanceM, in.DepthM)
	}
	fills, _ := FillsPerH(l.soakMin, d.handlingMin)
	p.Rhythm = Rhythm{
		SoakMin: l.soakMin, SoakLowMin: d.soak.LowMin, SoakHighMin: d.soak.HighMin,
		HandlingMin: d.handlingMin, RecastIntervalMin: l.soakMin + d.handlingMin,
		FillsPerH: fills, Basis: Unhurried,
	}
	p.Feed.RateGH = l.rateGH
	p.Feed.Clamped, p.Feed.ClampReason = l.rateGH != d.wishedGH, l.why
	p.Feed.Level, p.Feed.Scale, _ = LevelOf(in.Group, l.rateGH)
}

// portion is steps 5 and 6: opening feed, the session's feed and what to mix.
// Opening limits read the temperature the feed was read at, the lighter choice.
func (p *Plan) portion(in Input) {
	f := &p.Feed
	f.OpeningFills, _ = OpeningFills(in.Group, f.RateGH, p.Feeder.FillG, p.FeedTempC, in.KnownWater)
	// Nobody opens for longer than they fish.
	f.OpeningFills = min(f.OpeningFills, int(60*in.Hours/p.Rhythm.HandlingMin))
	f.OpeningG = float64(f.OpeningFills) * p.Feeder.FillG
	if f.OpeningFills > 0 {
		f.OpeningRelease = openingRelease(in, p.Season)
	}
	openingH := float64(f.OpeningFills) * p.Rhythm.HandlingMin / 60
	f.TotalDampG = f.OpeningG + f.RateGH*math.Max(0, in.Hours-openingH)
	f.TotalDryG = f.TotalDampG * DryShare
	f.MixDryG = math.Min(mixShare*f.TotalDryG, mixLimitG(in))
}

// mixLimitG is the most dry feed to mix: 1.5 kg, or the water's own limit where
// that is less.
func mixLimitG(in Input) float64 {
	if in.DryLimitG > 0 {
		return math.Min(in.DryLimitG, mostMixDry)
	}
	return mostMixDry
}
