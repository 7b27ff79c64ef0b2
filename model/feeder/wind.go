package feeder

import "math"

// Wind is what is known of the wind at the peg.
type Wind struct {
	SpeedMps   float64
	SpeedKnown bool
	FromDeg    float64 // Degrees true that it blows from.
	FromKnown  bool
}

// WindOnCast splits a wind (m/s, degrees true it blows from) by the bearing of
// the cast (degrees true): facing is positive into the angler's face and
// negative from behind, side is positive from the right hand. Bearings outside
// 0-360 wrap. A negative or non-finite figure gives ok false.
func WindOnCast(speedMps, windFromDeg, castBearingDeg float64) (facingMps, sideMps float64, ok bool) {
	turn := windFromDeg - castBearingDeg
	if !(speedMps >= 0) || math.IsInf(speedMps, 0) || math.IsNaN(turn) || math.IsInf(turn, 0) {
		return 0, 0, false
	}
	sin, cos := math.Sincos(math.Mod(turn, 360) * math.Pi / 180)
	return speedMps * cos, speedMps * sin, true
}

// windAcrossMps is the wind that asks for weight: the greater of the facing and
// the side component, wind from behind asking for none. Without both directions
// the whole wind counts as side wind.
func windAcrossMps(in Input) float64 {
	if !in.Wind.SpeedKnown {
		return 0
	}
	if !in.Wind.FromKnown || !in.CastBearingKnown {
		return in.Wind.SpeedMps
	}
	facing, side, _ := WindOnCast(in.Wind.SpeedMps, in.Wind.FromDeg, in.CastBearingDeg)
	return max(facing, math.Abs(side))
}
