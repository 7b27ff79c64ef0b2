package metar

import "strings"

// weatherGroup says whether a group is present weather: an optional sign, an
// optional VC, then two-letter codes of which at least one says what it is
// (WMO-No. 306, code table 4678; UP and PY from FMH-1).
func weatherGroup(group string) bool {
	codes := strings.TrimLeft(group, "+-")
	if len(group)-len(codes) > 1 {
		return false
	}
	codes = strings.TrimPrefix(codes, "VC")
	if len(codes) == 0 || len(codes)%2 != 0 || len(codes) > maxWeatherLetters {
		return false
	}
	named := false
	for ; codes != ""; codes = codes[2:] {
		switch codes[:2] {
		case "MI", "BC", "PR", "DR", "BL", "FZ":
		case "SH", "TS",
			"DZ", "RA", "SN", "SG", "IC", "PL", "GR", "GS", "UP",
			"BR", "FG", "FU", "VA", "DU", "SA", "HZ", "PY",
			"PO", "SQ", "FC", "SS", "DS":
			named = true
		default:
			return false
		}
	}
	return named
}

// maxWeatherLetters leaves room for two descriptors and three phenomena, as in
// TSSHRASNGR; the longest group the table allows is shorter. Our choice.
const maxWeatherLetters = 10

// maxWeatherGroups is what is kept of a report; the rule is three, real
// reports hold more. Our choice.
const maxWeatherGroups = 8

// readWeather takes present weather, and the slashes of an automatic station
// that cannot tell it.
func (r *Report) readWeather(group string) bool {
	if group == "//" {
		r.WeatherSensorOff = true
		return true
	}
	if !weatherGroup(group) {
		return false
	}
	r.Weather = appendWeather(r.Weather, group)
	r.observed = true
	return true
}

// readRecent takes RExx, the weather since the last report that has stopped
// since (WMO-No. 306, FM 15).
func (r *Report) readRecent(group string) bool {
	recent, ok := strings.CutPrefix(group, "RE")
	if !ok || !weatherGroup(recent) {
		return false
	}
	r.Recent = appendWeather(r.Recent, recent)
	return true
}

// appendWeather makes room once, so that a report costs one allocation.
func appendWeather(list []string, group string) []string {
	if list == nil {
		list = make([]string, 0, 3)
	}
	if len(list) == maxWeatherGroups {
		return list
	}
	return append(list, group)
}
