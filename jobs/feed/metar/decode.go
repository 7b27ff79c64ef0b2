package metar

import (
	"strings"

	"osier/model"
)

// Decode reads one METAR or SPECI. The words METAR and SPECI may be there or
// not. The text ends at the first "=". A group that is not understood is
// skipped. Only a text that is no METAR at all is an error: one that does not
// begin with a station and the day, hour and minute, or a SYNOP.
//
// Sources: WMO-No. 306 FM 15 and FM 16; FMH-1 (1995) chapter 12 for remarks.
func Decode(raw string) (Report, error) {
	text, _, _ := strings.Cut(raw, "=")
	r := Report{Raw: strings.TrimSpace(text)}
	s := scanner{text: r.Raw}
	if err := r.readHeading(&s); err != nil {
		return Report{}, err
	}
	if remarks := r.readBody(&s); remarks {
		r.readRemarks(&s)
	}
	r.markSuspect()
	return r, nil
}

// readHeading reads everything up to the time.
func (r *Report) readHeading(s *scanner) error {
	group := s.next()
	for isReportWord(group) || r.readModifier(group) {
		group = s.next()
	}
	if !isStation(group) {
		return model.Invalidf("station", "a METAR begins with the four characters of its station",
			"%q is no station", shorten(group))
	}
	r.Station = group
	group = s.next()
	for r.readModifier(group) {
		group = s.next()
	}
	return r.readTime(group)
}

// readBody reads the observed groups. It says whether remarks follow.
func (r *Report) readBody(s *scanner) (remarks bool) {
	forecast := false
	for group := s.next(); group != ""; group = s.next() {
		switch {
		case strings.HasPrefix(group, "RMK"):
			return true
		case isReportWord(group):
			return false // a second report stuck to this one
		case group == "TSNO":
			r.ThunderSensorOff = true
		case forecast:
		case isTrendWord(group):
			forecast = true
		default:
			r.readGroup(group)
		}
	}
	return false
}

// readGroup tries the kinds of group until one takes it; none may. Wind,
// weather and cloud stand before temperature and pressure. What looks like
// them after those is a runway's wind, a direction ("RA TO S") or a forecast
// without a word for it, and is passed over.
func (r *Report) readGroup(group string) {
	switch {
	case r.readModifier(group), r.readPressure(group), r.readTemperature(group), r.readRecent(group):
	case r.AirC.Known || r.QNHHPa.Known:
	case r.readWind(group), r.readWeather(group), r.readCloud(group):
	case isDigit(group[0]):
		r.readAfterVisibility(group)
	}
}

// readAfterVisibility reads what a typist left no blank before: 1800HZ,
// 9999FEW023. The visibility itself is not needed.
func (r *Report) readAfterVisibility(group string) {
	digits := leadingDigits(group)
	if digits == 4 && len(group) > digits {
		rest := group[digits:]
		if !r.readWeather(rest) {
			r.readCloud(rest)
		}
	}
	r.observed = r.observed || digits == 4 || strings.HasSuffix(group, "SM")
}

// readModifier takes AUTO, NIL and the marks of a correction.
func (r *Report) readModifier(group string) bool {
	switch {
	case group == "AUTO":
		r.Automatic = true
	case group == "NIL":
		r.Nil = true
	case group == "COR", len(group) == 3 && group[:2] == "CC" && isCapital(group[2]):
		r.Correction = true
	default:
		return false
	}
	return true
}

func isReportWord(group string) bool { return group == "METAR" || group == "SPECI" }

// isStation accepts a capital and three capitals or digits. AAXX heads a
// SYNOP, which has nothing of a METAR but its look.
func isStation(group string) bool {
	if len(group) != 4 || !isCapital(group[0]) || group == "AAXX" {
		return false
	}
	for i := 1; i < len(group); i++ {
		if !isCapital(group[i]) && !isDigit(group[i]) {
			return false
		}
	}
	return true
}

// isTrendWord says whether a group opens the forecast that may follow the
// observed groups. TEMP0, VOSIG and NOISG are seen misspellings.
func isTrendWord(group string) bool {
	switch group[0] {
	case 'N':
		return strings.HasPrefix(group, "NOSIG") || group == "NOISG" || group == "NSW"
	case 'V':
		return group == "VOSIG"
	case 'T':
		return strings.HasPrefix(group, "TEMPO") || group == "TEMP0" || hasHour(group, "TL")
	case 'B':
		return strings.HasPrefix(group, "BECMG")
	case 'I':
		return group == "INTER"
	case 'P':
		return strings.HasPrefix(group, "PROB")
	case 'F':
		return hasHour(group, "FM")
	case 'A':
		return hasHour(group, "AT")
	}
	return false
}

// hasHour says whether the group is the word with at least four digits, as in
// FM1915 and FM090600.
func hasHour(group, word string) bool {
	return strings.HasPrefix(group, word) && leadingDigits(group[len(word):]) >= 4
}

// shorten keeps an error readable whatever was sent.
func shorten(s string) string {
	const most = 40
	if len(s) <= most {
		return s
	}
	return s[:most] + "..."
}
