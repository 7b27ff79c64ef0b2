package water

import (
	"math"
	"time"
)

// The error model. The slab's error has a part that changes within days, a part
// that stays for weeks at one water, and what is left of the error of the
// start. They are taken as independent and normal.
const (
	// ShortTermSdC is about the model's own short-term error (reference pack 2.2).
	ShortTermSdC = 1.0
	// OffsetSdC is the persistent error of a water without thermometer readings:
	// the prior of the reference pack 2.2.
	OffsetSdC = 1.0
	// z80 is the standard normal quantile that leaves a tenth on either side.
	z80 = 1.2815515655446004
)

// climateMemorySdC is the third part for a water known by its climate only,
// such that the interval comes out at ClimateHalfWidthC.
var climateMemorySdC = math.Sqrt(ClimateHalfWidthC*ClimateHalfWidthC/(z80*z80) - ShortTermSdC*ShortTermSdC - OffsetSdC*OffsetSdC)

const (
	densestC  = 4.0 // water is heaviest here, so colder water floats
	underIceC = 0.5 // reported near the surface under ice (reference pack 2.1)
)

// Basis says what an estimate rests on.
type Basis string

// The bases.
const (
	Modelled    Basis = "modelled" // stepped with the weather of the hour
	Carried     Basis = "carried"  // the air was missing, the last day's mean was carried on
	FromClimate Basis = "climate"  // nothing was known for too long: the climate curve
)

// Estimate is the temperature of a water at an instant.
//
// SurfaceC and BottomC are the best figures for SurfaceDepthM and BottomDepthM
// below the surface. In water under 4 C the warmest lies lowest, so the bottom
// may be anything up to BottomHighC, and the best figure keeps to the colder
// end, which feeds less. LowC and HighC are the 80 % interval of SurfaceC,
// reaching up to BottomHighC where that is warmer; BottomLowC is the low end of
// the bottom's.
type Estimate struct {
	At            time.Time
	SurfaceC      float64
	SurfaceDepthM float64
	BottomC       float64
	BottomDepthM  float64
	BottomLowC    float64
	BottomHighC   float64
	LowC          float64
	HighC         float64
	MemorySdC     float64 // the part of the error left of a start or a gap
	Ice           bool    // ice is likely; how thick is never said
	Basis         Basis
}

// surfaceDepthM is the depth that the figure near the surface is for: within
// the 0.25 to 0.9 m at which the lakes behind the constants were measured.
const surfaceDepthM = 0.5

// stratifiedC is how much cooler the bottom of a sheltered or stained pond may
// stand than its top: 4.1 to 4.6 C in the summers of two ponds (reference pack
// 2.1). No form tried tells from the weather which pond does so.
const stratifiedC = 4.6

// estimate is the mean of the heat balance and of the lag of air and sun, which
// err in different ways. Under ice the two are weighed as well, since the ice
// itself is a guess, but never come to less than water under ice has.
func (s *State) estimate(site *Site, basis Basis) Estimate {
	e := Estimate{
		At: s.At, SurfaceDepthM: math.Min(surfaceDepthM, site.MeanDepthM/2),
		MemorySdC: s.MemorySdC, Ice: s.IceM > 0, Basis: basis,
	}
	balanceC := s.WaterC
	if e.Ice {
		balanceC = underIceC
	}
	e.SurfaceC = fade(balanceC, math.Max(0, s.LagSunC), 1-site.lagSunWeight())
	if e.Ice {
		e.SurfaceC = math.Max(underIceC, e.SurfaceC)
	}
	e.BottomC, e.BottomDepthM = e.SurfaceC, e.SurfaceDepthM
	if site.layered() {
		e.BottomC = math.Max(0, e.SurfaceC-(s.WaterC-s.LowerC))
		e.BottomDepthM = math.Min(site.MeanDepthM, (site.upperM()+site.MeanDepthM)/2)
	}
	e.setInterval(OffsetSdC)
	return e
}

// setInterval puts the 80 % interval about the best figures for a persistent
// error of the standard deviation.
func (e *Estimate) setInterval(offsetSdC float64) {
	half := z80 * math.Sqrt(ShortTermSdC*ShortTermSdC+offsetSdC*offsetSdC+e.MemorySdC*e.MemorySdC)
	e.LowC, e.HighC = math.Max(0, e.SurfaceC-half), e.SurfaceC+half
	lowC := math.Max(0, e.BottomC-half)
	e.BottomLowC, e.BottomHighC = math.Max(math.Min(lowC, densestC), lowC-stratifiedC), e.BottomC
	if e.SurfaceC < densestC {
		e.BottomHighC = densestC
		e.HighC = math.Max(e.HighC, densestC)
	}
}
