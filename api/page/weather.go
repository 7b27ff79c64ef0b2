package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"time"

	"osier/model"
)

//go:embed weather/weather.html
var weatherHTML string

var weatherPart = part("weather", weatherHTML)

// WeatherPath is where the weather of the past days at a water is.
func WeatherPath(water string) string { return WaterPath(water) + "/weather" }

// WeatherDays are how many days back the weather may be asked for.
func WeatherDays() []int { return []int{3, 7, 10} }

// weatherEveryH is how far apart the figures of pictures and tables are; our
// choice: what changes over days is in it, and the tables can be read.
const weatherEveryH = 3

// weatherRow is one hour of the past.
type weatherRow struct {
	Day                      string // where a day begins
	Clock                    string
	Air, Water, Interval     string
	Wind, Gust, HPa, Change3 string
}

// readingRow is one reading of a thermometer.
type readingRow struct{ At, C, Depth string }

// Weather is the page of what the weather was at a water from some days back
// until now, with what thermometers showed there. It does not say who read them.
func Weather(w model.Water, c model.Conditions, readings []model.MeterReading, days int, notice string) ([]byte, error) {
	zone, err := w.Location()
	if err != nil {
		return nil, err
	}
	hours := everyThird(c.Hours, zone)
	view := struct {
		Water             model.Water
		Days              int
		Choices           []int
		Heat, Wind, Press template.HTML
		Rows              []weatherRow
		Readings          []readingRow
		Known             string
		Source            string
		Notes             []string
	}{Water: w, Days: days, Choices: WeatherDays(), Source: c.Source + ageWords(c.AgeMin), Known: knownWords(hours), Notes: c.Notes}
	for _, r := range readings {
		if r.WaterC.Known {
			view.Readings = append(view.Readings, readingRow{At: moment(r.At.In(zone)), C: tenths(r.WaterC), Depth: tenths(r.DepthM)})
		}
	}
	if len(hours) > 1 {
		x := dayAxis(hours, zone)
		view.Heat, view.Wind, view.Press = heatOfDays(hours, readings, x), windOfDays(hours, x), pressureOfDays(hours, x)
		view.Rows = weatherRows(hours, zone)
	}
	title := "Weather of the past days at " + w.Name
	return Frame{Title: title, Path: WeatherPath(w.ID), Demo: w.Demo || c.Demo, Notice: notice, Credits: c.Credits}.Page(weatherPart, view)
}

// everyThird keeps the hours that the clock at the water divides by three.
func everyThird(hours []model.ConditionHour, zone *time.Location) []model.ConditionHour {
	var kept []model.ConditionHour
	for _, h := range hours {
		if h.At.In(zone).Hour()%weatherEveryH == 0 {
			kept = append(kept, h)
		}
	}
	return kept
}

// knownWords counts how the hours shown are known.
func knownWords(hours []model.ConditionHour) string {
	n := map[model.Kind]int{}
	for _, h := range hours {
		n[h.Weather]++
	}
	words := ""
	for _, k := range []model.Kind{model.Observed, model.Interpolated, model.Modelled, model.Assumed, model.Forecasted, model.Missing} {
		if n[k] > 0 {
			if words != "" {
				words += ", "
			}
			words += fmt.Sprintf("%d %s", n[k], k)
		}
	}
	return words
}

func weatherRows(hours []model.ConditionHour, zone *time.Location) []weatherRow {
	var rows []weatherRow
	day := ""
	for _, h := range hours {
		at := h.At.In(zone)
		row := weatherRow{
			Clock: at.Format("15:04"), Air: tenths(h.AirC), Water: fmt.Sprintf("%.1f", h.WaterC.Value),
			Interval: fmt.Sprintf("%.1f to %.1f", h.WaterC.Low, h.WaterC.High),
			Wind:     tenths(h.WindMps), Gust: tenths(h.GustMps), HPa: tenths(h.PressureHPa), Change3: tenths(h.Tendency3hHPa),
		}
		if this := at.Format("Monday 2 January"); this != day {
			row.Day, day = this, this
		}
		rows = append(rows, row)
	}
	return rows
}
