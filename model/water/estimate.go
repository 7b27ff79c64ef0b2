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
// SurfaceC and BottomC are the best figures near the surface and at the bottom;
// with one layer they are equal. In water under 4 C the warmest lies lowest, so
// the bottom may be anything up to BottomHighC, and the best figure keeps to
// the colder end, which feeds less. LowC and HighC are the 80 % interval of
// SurfaceC, reaching up to BottomHighC where that is warmer.
type Estimate struct {
	At          time.Time
	SurfaceC    float64
	BottomC     float64
	BottomHighC float64
	LowC        float64
	HighC       float64
	Ice         bool // ice is likely; how thick is never said
	Basis       Basis
}

func (s *State) estimate(basis Basis) Estimate {
	half := z80 * math.Sqrt(ShortTermSdC*ShortTermSdC+OffsetSdC*OffsetSdC+s.MemorySdC*s.MemorySdC)
	e := Estimate{
		At: s.At, SurfaceC: s.WaterC, BottomC: s.WaterC, BottomHighC: s.WaterC,
		LowC: math.Max(0, s.WaterC-half), HighC: s.WaterC + half,
		Ice: s.IceM > 0, Basis: basis,
	}
	if e.Ice {
		e.SurfaceC, e.BottomC = underIceC, underIceC
	}
	if s.WaterC < densestC {
		e.BottomHighC = densestC
		e.HighC = math.Max(e.HighC, densestC)
	}
	return e
}
