package metar

import (
	"math"
	"strings"

	"osier/model"
)

// maxTenthsGapC is how far the tenths of the remarks may lie from the body
// before the body is believed. Our choice, as the reference pack has it.
const maxTenthsGapC = 1.0

// readRemarks reads what follows RMK: tenths of temperature, sea-level
// pressure, tendency, the times of thunder, sensors out and maintenance.
// Winds, extremes, peak gusts and other pressures in remarks are not current
// values at the station and are passed over.
func (r *Report) readRemarks(s *scanner) {
	for group := s.next(); group != "" && !isReportWord(group); group = s.next() {
		group, flagged := strings.CutSuffix(group, "$")
		r.Maintenance = r.Maintenance || flagged
		switch {
		case group == "":
		case group == "TSNO":
			r.ThunderSensorOff = true
		case group[0] == 'T' && leadingDigits(group[1:]) >= 4:
			r.readTenths(group[1:])
		case group[0] == 'S' && !r.SeaLevelHPa.Known && len(group) == 6:
			r.SeaLevelHPa = seaLevel(group, r.QNHHPa)
		case group[0] == '5' && !r.Tendency.Known:
			r.Tendency = tendency(group)
		case timesThunder(group):
			r.ThunderInRemarks = true
		}
	}
}

// readTenths reads sTTTsDDD of a T group (FMH-1, 12.7), s being 1 for
// minus. The second half may be slashes or absent.
func (r *Report) readTenths(halves string) {
	if len(halves) != 4 && len(halves) != 8 {
		return
	}
	r.AirC = withTenths(r.AirC, halves[:4])
	r.DewC = withTenths(r.DewC, halves[4:])
}

// withTenths refines a value of the body by a half of a T group.
func withTenths(body model.Maybe[model.Celsius], half string) model.Maybe[model.Celsius] {
	if !allDigits(half, 4) || half[0] > '1' {
		return body
	}
	n := number(half[1:])
	if half[0] == '1' {
		n = -n
	}
	tenths := plausibleC(model.Known(n), 10)
	if !tenths.Known || body.Known && math.Abs(float64(tenths.Value-body.Value)) > maxTenthsGapC+1e-9 {
		return body
	}
	return tenths
}

// timesThunder says whether a remark such as RAB05TSB0159E30 times the
// beginning or the end of thunder within the hour (FMH-1, 12.7). An end
// means that it was heard; so does a beginning.
func timesThunder(group string) bool {
	thunder := false
	for group != "" {
		times := strings.IndexAny(group, "0123456789")
		if times < 3 || !weatherGroup(group[:times-1]) {
			return false
		}
		thunder = thunder || strings.Contains(group[:times-1], "TS")
		rest, ok := cutTimes(group[times-1:])
		if !ok {
			return false
		}
		group = rest
	}
	return thunder
}

// cutTimes takes (B|E)(hh)mm off the front as often as it stands there. An E
// or B that no digit follows belongs to the next weather code.
func cutTimes(s string) (rest string, ok bool) {
	for len(s) > 1 && (s[0] == 'B' || s[0] == 'E') && isDigit(s[1]) {
		n := leadingDigits(s[1:])
		if n != 2 && n != 4 {
			return s, false
		}
		s, ok = s[1+n:], true
	}
	return s, ok
}
