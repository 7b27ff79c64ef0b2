package isd

import (
	"strconv"
	"strings"

	"osier/model"
)

// gust reads OC1: speed 4, mark 1.
func (r *report) gust() model.Maybe[model.MetresPerSecond] {
	parts, ok := r.group("OC1", 4, 1)
	if !ok {
		return model.Maybe[model.MetresPerSecond]{}
	}
	return read[model.MetresPerSecond](r, gustSpeed, parts[0], parts[1])
}

// pressures reads MA1: altimeter setting 5, mark 1, station pressure 5, mark 1.
func (r *report) pressures() (qnh, station model.Maybe[model.Hectopascals]) {
	parts, ok := r.group("MA1", 5, 1, 5, 1)
	if !ok {
		return qnh, station
	}
	return read[model.Hectopascals](r, altimeter, parts[0], parts[1]),
		read[model.Hectopascals](r, stationPressure, parts[2], parts[3])
}

// rain reads AA1 to AA4: hours 2, depth 4, condition 1, mark 1. Of several
// periods the shortest is kept, since it says most about the hour.
func (r *report) rain() model.Maybe[model.Rain] {
	var shortest model.Maybe[model.Rain]
	for _, tag := range []string{"AA1", "AA2", "AA3", "AA4"} {
		parts, ok := r.group(tag, 2, 4, 1, 1)
		if !ok {
			break
		}
		rain := r.rainItem(parts[0], parts[1], parts[2], parts[3])
		if rain.Known && (!shortest.Known || rain.Value.OverH < shortest.Value.OverH) {
			shortest = rain
		}
	}
	return shortest
}

// rainItem reads one period. The condition 2 is a trace: less than can be
// measured, written with or without a depth. Conditions 3 and 4 mark the ends
// of a time over which the depth was gathered; lines of 2016 carry 3 with the
// same depth and period as the raw report beside them (100 of 100 compared), so
// a depth that is given is taken. 9 says nothing, E is an estimate. The others
// are no amounts: not measured, deleted, missing or incomplete.
func (r *report) rainItem(period, depth, condition, mark string) model.Maybe[model.Rain] {
	hours, ok := r.value(rainHours, period, noMark)
	if !ok {
		return model.Maybe[model.Rain]{}
	}
	if usable, _ := trust(mark); condition == "2" && usable {
		return model.Known(model.Rain{Mm: 0, OverH: hours})
	}
	if !strings.Contains("349E", condition) {
		return model.Maybe[model.Rain]{}
	}
	mm, ok := r.value(rainDepth, depth, mark)
	if !ok {
		return model.Maybe[model.Rain]{}
	}
	r.suspect = r.suspect || condition == "E"
	return model.Known(model.Rain{Mm: model.Millimetres(mm), OverH: hours})
}

// cloud reads GF1: total cover 2, opaque cover 2, mark 1, and more. Cover is in
// oktas; 09 (sky not to be seen) and the words of old airfield reports (10 to
// 19) are no amount.
func (r *report) cloud() model.Maybe[int] {
	parts, ok := r.group("GF1", 2, 2, 1)
	if !ok || parts[0] > "08" {
		return model.Maybe[int]{}
	}
	oktas, ok := r.value(cloudCover, parts[0], parts[2])
	if !ok {
		return model.Maybe[int]{}
	}
	return model.Known(int(oktas))
}

// thunder reads the present weather: MW1 to MW7 of observers (WMO code table
// 4677) and AW1 to AW4 of machines (4680), each code 2, mark 1. Only an
// observer who wrote something else can say that there was none; machines may
// have no ear for it.
func (r *report) thunder() model.Thunder {
	observer := r.codes("MW", 7)
	machine := r.codes("AW", 4)
	said := model.ThunderUnknown
	if len(observer) > 0 {
		said = model.ThunderNone
	}
	for _, code := range observer {
		said = stronger(said, observed(code))
	}
	for _, code := range machine {
		said = stronger(said, sensed(code))
	}
	return said
}

// observed reads a code of WMO table 4677 (from memory): 17 and 95 to 99
// thunder at the time, 29 and 91 to 94 within the hour before, 13 lightning
// seen and nothing heard.
func observed(code int) model.Thunder {
	switch {
	case code == 17 || code >= 95:
		return model.ThunderNow
	case code == 29 || code >= 91:
		return model.ThunderRecent
	case code == 13:
		return model.ThunderVicinity
	}
	return model.ThunderUnknown
}

// sensed reads a code of WMO table 4680, as the field table lists it: 90 to 96
// thunder at the time, 26 within the hour before, 12 distant lightning.
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

// stronger is that of two statements which warns more.
func stronger(a, b model.Thunder) model.Thunder {
	for _, t := range []model.Thunder{model.ThunderNow, model.ThunderRecent, model.ThunderVicinity, model.ThunderNone} {
		if a == t || b == t {
			return t
		}
	}
	return model.ThunderUnknown
}

// codes lists the usable codes of a numbered item.
func (r *report) codes(tag string, most int) []int {
	var codes []int
	for i := 1; i <= most; i++ {
		parts, ok := r.group(tag+strconv.Itoa(i), 2, 1)
		if !ok {
			break
		}
		usable, _ := trust(parts[1])
		code, err := strconv.ParseUint(parts[0], 10, 8)
		if err != nil {
			r.note("present weather %q is no number", parts[0])
			continue
		}
		if usable {
			codes = append(codes, int(code))
		}
	}
	return codes
}
