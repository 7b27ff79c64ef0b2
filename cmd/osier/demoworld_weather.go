package main

import (
	"math"
	"time"

	"osier/model"
)

// The invented weather: trade pack section 7. What the pack leaves open (cloud,
// rain, thunder, dew, gusts, the shape of the wind) is our choice, made to look
// like a lowland in the west of Europe.
const (
	airMeanC      = 10.5
	airAmplitudeC = 7.0
	airNoiseSdC   = 2.4
	airNoiseAR    = 0.8 // a day
	warmestDay    = 205 // of the year

	pressureMeanHPa = 1014.0
	pressureSdHPa   = 10.0
	pressureDayAR   = 0.75
	pressureHourSd  = 0.4
	pressureHourAR  = 0.9

	windMedianMps = 4.0
	windLogSd     = 0.5
	windHourAR    = 0.95
	windFromDeg   = 230.0
	windTurnSdDeg = 90.0
	windTurnAR    = 0.99 // an hour: a slow walk with a weak pull home

	cloudHourAR = 0.93
)

// demoHour is the invented weather at one whole hour.
type demoHour struct {
	at                                       time.Time
	airC, dewC, windMps, fromDeg, gustMps    float64
	seaLevelHPa, rainMm, thunderSoonFraction float64
	oktas                                    int
	thunder                                  model.Thunder
}

// demoSpell is a named run of days that are unlike their season.
type demoSpell struct {
	Name  string    `json:"name"`
	From  time.Time `json:"from"`
	Until time.Time `json:"until"`
	AirC  float64   `json:"air_c"` // added to the air
}

func (s demoSpell) holds(t time.Time) bool { return !t.Before(s.From) && t.Before(s.Until) }

// The spells begin on the same dates each year.
const (
	frostDay, heatDay = 12, 10
	frostDays         = 10
	heatDays          = 12
)

// demoSpells are the ten frosty days of each January and the twelve hot days of
// each July that lie between two instants, in order of time.
func demoSpells(from, until time.Time) []demoSpell {
	var spells []demoSpell
	for year := from.UTC().Year(); year <= until.UTC().Year(); year++ {
		frost := time.Date(year, time.January, frostDay, 0, 0, 0, 0, time.UTC)
		heat := time.Date(year, time.July, heatDay, 0, 0, 0, 0, time.UTC)
		for _, s := range []demoSpell{
			{Name: "ten frosty days", From: frost, Until: frost.AddDate(0, 0, frostDays), AirC: -3},
			{Name: "twelve hot days", From: heat, Until: heat.AddDate(0, 0, heatDays), AirC: 7},
		} {
			if s.Until.After(from) && s.From.Before(until) {
				spells = append(spells, s)
			}
		}
	}
	return spells
}

// lastDate is the latest such day of the year that had begun by now.
func lastDate(now time.Time, month time.Month, day int) time.Time {
	t := time.Date(now.UTC().Year(), month, day, 0, 0, 0, 0, time.UTC)
	if t.After(now) {
		t = t.AddDate(-1, 0, 0)
	}
	return t
}

// dayNumber counts days since 1970, so that a date always draws the same.
func dayNumber(t time.Time) int { return int(math.Floor(float64(t.Unix()) / 86400)) }

func hourNumber(t time.Time) int { return int(math.Floor(float64(t.Unix()) / 3600)) }

// demoDay is what holds for a day; hours are drawn between the noons.
type demoDay struct {
	airC, swingC, dewBelowC, pressureHPa float64
	warm                                 bool // for its season
	storm                                int  // hour of a thunderstorm; 0 for none
}

// makeWeather gives n hours from a whole hour on.
func makeWeather(seed uint64, from time.Time, n int, spells []demoSpell) []demoHour {
	firstDay, firstHour := dayNumber(from)-1, hourNumber(from)
	days := makeDays(seed, firstDay, n/24+4, spells)
	series := func(kind uint64, ar float64) []float64 { return autoregression(seed, kind, 0, ar, firstHour, n) }
	bumps, winds := series(drawPressureHour, pressureHourAR), series(drawWind, windHourAR)
	turns, clouds := series(drawDirection, windTurnAR), series(drawCloud, cloudHourAR)
	hours := make([]demoHour, n)
	for i := range hours {
		h := &hours[i]
		h.at = from.Add(time.Duration(i) * time.Hour)
		calm := inSpell(h.at, spells)
		day, share := fromNoon(h.at, firstDay)
		a, b := days[day], days[day+1]
		draw := func(get func(demoDay) float64) float64 { return get(a) + share*(get(b)-get(a)) }

		swing := draw(func(d demoDay) float64 { return d.swingC })
		mean := draw(func(d demoDay) float64 { return d.airC })
		h.airC = mean + swing*math.Cos(2*math.Pi*float64(h.at.Hour()-15)/24)
		h.dewC = math.Min(h.airC-0.2, mean-swing-draw(func(d demoDay) float64 { return d.dewBelowC }))
		h.seaLevelHPa = draw(func(d demoDay) float64 { return d.pressureHPa }) + pressureHourSd*bumps[i]
		h.oktas = oktas(clouds[i], seasonOf(h.at), calm)
		h.windMps = windMedianMps * math.Exp(windLogSd*winds[i])
		if calm {
			h.windMps *= 0.75
		}
		h.fromDeg = math.Mod(windFromDeg+windTurnSdDeg*turns[i]+3600, 360)
		h.gustMps = h.windMps * (1.45 + 0.1*newDemoStream(seed, drawGust, uint64(hourNumber(h.at))).uniform())
		h.rainMm = rainMm(newDemoStream(seed, drawRain, uint64(hourNumber(h.at))), h.oktas, h.seaLevelHPa)
		h.storms(days[dayNumber(h.at)-firstDay])
		h.round()
	}
	return hours
}

// fromNoon finds the day whose noon an hour follows, and how far the hour is
// on the way to the next noon.
func fromNoon(at time.Time, firstDay int) (day int, share float64) {
	sinceNoon := float64(at.Unix())/86400 - 0.5 - float64(firstDay)
	return int(sinceNoon), sinceNoon - math.Floor(sinceNoon)
}

func makeDays(seed uint64, first, n int, spells []demoSpell) []demoDay {
	noise := autoregression(seed, drawAir, 0, airNoiseAR, first, n)
	pressure := autoregression(seed, drawPressureDay, 0, pressureDayAR, first, n)
	days := make([]demoDay, n)
	for i := range days {
		noon := time.Unix(int64(first+i)*86400+43200, 0).UTC()
		season := seasonOf(noon)
		d := demoDay{
			airC:        airMeanC + airAmplitudeC*season + airNoiseSdC*noise[i],
			swingC:      2.8 + 1.2*season,
			dewBelowC:   newDemoStream(seed, drawDew, uint64(first+i)).between(-1.5, 1),
			pressureHPa: pressureMeanHPa + pressureSdHPa*pressure[i],
			warm:        noise[i] > 0.5,
		}
		lastHot := false
		for _, s := range spells {
			if s.holds(noon) {
				// Clear, dry and calm air under high pressure: cold nights, hot
				// afternoons.
				d.airC += s.AirC
				d.swingC++
				d.dewBelowC += 2
				d.pressureHPa += 8
				d.warm = s.AirC > 0
				lastHot = d.warm && !s.holds(noon.AddDate(0, 0, 1))
			}
		}
		s := newDemoStream(seed, drawThunder, uint64(first+i))
		summer := noon.Month() >= time.May && noon.Month() <= time.September
		if chance := s.uniform(); lastHot || summer && d.warm && chance < 0.15 {
			d.storm = 14 + s.below(4)
		}
		days[i] = d
	}
	return days
}

func inSpell(t time.Time, spells []demoSpell) bool {
	for _, s := range spells {
		if s.holds(t) {
			return true
		}
	}
	return false
}

// seasonOf runs from -1 when the air is coldest to 1 when it is warmest.
func seasonOf(t time.Time) float64 {
	return math.Cos(2 * math.Pi * float64(t.YearDay()-warmestDay) / 365.25)
}

// oktas turns a standard normal value into eighths of sky, more of them in
// winter.
func oktas(x, season float64, clearer bool) int {
	x = 1.3*x + 0.6 - 0.4*season
	if clearer {
		x -= 1.8
	}
	return int(math.Round(8 * 0.5 * math.Erfc(-x/math.Sqrt2)))
}

// rainMm is the rain of the hour before: mostly none, more under thick cloud
// and low pressure.
func rainMm(s *demoStream, oktas int, hPa float64) float64 {
	chance := 0.0
	if oktas >= 6 {
		chance = 0.35 / (1 + math.Exp((hPa-1010)/6))
	}
	if s.uniform() >= chance {
		return 0
	}
	return -0.9 * math.Log(s.uniform())
}

// storms adds the thunder of the day to its hours.
func (h *demoHour) storms(d demoDay) {
	h.thunder = model.ThunderNone
	if d.storm == 0 {
		return
	}
	switch since := h.at.Hour() - d.storm; {
	case since == 0 || since == 1:
		h.thunder, h.oktas, h.thunderSoonFraction = model.ThunderNow, 8, 1
		h.rainMm += 4
		h.gustMps += 7
	case since == 2:
		h.thunder, h.thunderSoonFraction = model.ThunderRecent, 0.5
	case since >= -3 && since <= 4:
		h.thunderSoonFraction = 0.35
	}
}

// round leaves what a station would report.
func (h *demoHour) round() {
	h.airC, h.dewC = roundTo(h.airC, 0.1), roundTo(h.dewC, 0.1)
	h.windMps, h.gustMps = roundTo(h.windMps, 0.1), roundTo(h.gustMps, 0.1)
	h.seaLevelHPa, h.rainMm = roundTo(h.seaLevelHPa, 0.1), roundTo(h.rainMm, 0.1)
	h.fromDeg = math.Mod(roundTo(h.fromDeg, 10), 360)
}

// roundTo rounds to a step; dividing by the steps in one keeps 0.1 from
// becoming 0.30000000000000004.
func roundTo(v, step float64) float64 {
	if step < 1 {
		perUnit := math.Round(1 / step)
		return math.Round(v*perUnit) / perUnit
	}
	return math.Round(v/step) * step
}
