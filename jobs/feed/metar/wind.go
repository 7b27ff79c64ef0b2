package metar

import (
	"strings"

	"osier/model"
	"osier/model/air"
)

// maxWindMps is above the highest gust on record, 113 m/s (Barrow Island,
// 1996, from memory); a speed above it is a typing error. Our choice.
const maxWindMps = 130.0

// readWind takes dddff(f)(Gff(f)) and its unit, with any part as slashes
// (WMO-No. 306, 15.5). The first such group is the wind. A group with a digit
// or the unit lost gives nothing.
func (r *Report) readWind(group string) bool {
	if r.WindMps.Known || r.WindFromDeg.Known {
		return false
	}
	parts, mpsPerUnit, ok := splitWindUnit(strings.TrimPrefix(group, "E"))
	if !ok {
		return false
	}
	direction, parts, ok := windDirection(parts)
	if !ok {
		return false
	}
	speed, parts, ok := windSpeed(parts, mpsPerUnit)
	if !ok {
		return false
	}
	var gust model.Maybe[model.MetresPerSecond]
	if strings.HasPrefix(parts, "G") {
		if gust, parts, ok = windSpeed(parts[1:], mpsPerUnit); !ok {
			return false
		}
	}
	if parts != "" {
		return false
	}
	if !speed.Known || speed.Value > 0 {
		r.WindFromDeg = direction
	}
	r.WindMps, r.GustMps = speed, gust
	r.observed = r.observed || speed.Known || direction.Known
	return true
}

// splitWindUnit takes the unit off the end.
func splitWindUnit(group string) (parts string, mpsPerUnit float64, ok bool) {
	if parts, ok = strings.CutSuffix(group, "KT"); ok {
		return parts, air.MpsPerKnot, true
	}
	if parts, ok = strings.CutSuffix(group, "MPS"); ok {
		return parts, 1, true
	}
	parts, ok = strings.CutSuffix(group, "KMH")
	return parts, 1 / air.KmhPerMps, ok
}

// windDirection reads ddd, VRB or ///. The code 000 stands for calm and is no
// direction; the caller drops it with the calm. With a speed it is a fault of
// the sender, and the direction stays unknown.
func windDirection(s string) (deg model.Maybe[int], rest string, ok bool) {
	if len(s) < 3 {
		return deg, s, false
	}
	ddd, rest := s[:3], s[3:]
	if ddd == "VRB" || ddd == "///" {
		return deg, rest, true
	}
	if !allDigits(ddd, 3) || number(ddd) > 360 {
		return deg, s, false
	}
	if n := number(ddd); n > 0 {
		deg = model.Known(n)
	}
	return deg, rest, true
}

// windSpeed reads ff, fff, Pff or //.
func windSpeed(s string, mpsPerUnit float64) (speed model.Maybe[model.MetresPerSecond], rest string, ok bool) {
	if rest, ok = strings.CutPrefix(s, "//"); ok {
		return speed, rest, true
	}
	s = strings.TrimPrefix(s, "P")
	n := leadingDigits(s)
	if n != 2 && n != 3 {
		return speed, s, false
	}
	if v := float64(number(s[:n])) * mpsPerUnit; v <= maxWindMps {
		speed = model.Known(model.MetresPerSecond(v))
	}
	return speed, s[n:], true
}
