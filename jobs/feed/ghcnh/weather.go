package ghcnh

import (
	"strconv"
	"strings"

	"osier/model"
)

// thunder reads the present weather: MW of observers (WMO code table 4677), AW
// (4680) and AU of machines. Only an observer who wrote something else can say
// that there was none; machines may have no ear for it.
func (r *row) thunder() model.Thunder {
	said := model.ThunderUnknown
	for _, column := range []string{"pres_wx_MW1", "pres_wx_MW2", "pres_wx_MW3"} {
		if text, ok := r.weather(column); ok {
			said = stronger(stronger(said, model.ThunderNone), spoken(text, observed))
		}
	}
	for _, column := range []string{"pres_wx_AW1", "pres_wx_AW2", "pres_wx_AW3"} {
		if text, ok := r.weather(column); ok {
			said = stronger(said, spoken(text, sensed))
		}
	}
	for _, column := range []string{"pres_wx_AU1", "pres_wx_AU2", "pres_wx_AU3"} {
		if text, ok := r.weather(column); ok {
			said = stronger(said, spoken(text, unnumbered))
		}
	}
	return said
}

func (r *row) weather(column string) (string, bool) {
	entry := r.entry(column)
	usable, _ := entry.trust()
	return entry.value, usable && entry.value != ""
}

// spoken reads one statement: words as in METAR, a colon and the number of the
// table, such as RA:61, or one of the two (as users of the archive show it). Where the number says
// something of thunder it counts, since the words do not tell the past hour from
// now.
func spoken(text string, table func(code int) model.Thunder) model.Thunder {
	words, number, both := strings.Cut(text, ":")
	if !both {
		number = words
	}
	if code, err := strconv.ParseUint(number, 10, 8); err == nil {
		if said := table(int(code)); said != model.ThunderUnknown {
			return said
		}
	}
	switch {
	case !strings.Contains(words, "TS"):
		return model.ThunderUnknown
	case strings.Contains(words, "VC"):
		return model.ThunderVicinity
	}
	return model.ThunderNow
}

// observed reads a code of WMO table 4677 (from memory): 17 and 95 to 99
// thunder at the time, 29 and 91 to 94 within the hour before, 13 lightning
// seen and nothing heard.
func observed(code int) model.Thunder {
	switch {
	case code == 17 || code >= 95 && code <= 99:
		return model.ThunderNow
	case code == 29 || code >= 91 && code <= 94:
		return model.ThunderRecent
	case code == 13:
		return model.ThunderVicinity
	}
	return model.ThunderUnknown
}

// sensed reads a code of WMO table 4680, as the field table of the Integrated
// Surface Data lists it: 90 to 96 thunder at the time, 26 within the hour
// before, 12 distant lightning.
func sensed(code int) model.Thunder {
	switch {
	case code >= 90 && code <= 96:
		return model.ThunderNow
	case code == 26:
		return model.ThunderRecent
	case code == 12:
		return model.ThunderVicinity
	}
	return model.ThunderUnknown
}

// unnumbered is for statements whose number is no weather of a WMO table.
func unnumbered(int) model.Thunder { return model.ThunderUnknown }

// stronger is that of two statements which warns more.
func stronger(a, b model.Thunder) model.Thunder {
	for _, t := range []model.Thunder{model.ThunderNow, model.ThunderRecent, model.ThunderVicinity, model.ThunderNone} {
		if a == t || b == t {
			return t
		}
	}
	return model.ThunderUnknown
}
