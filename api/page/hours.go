package page

import (
	"fmt"
	"time"

	"osier/model"
)

// clockRow is one hour of conditions as a table shows it.
type clockRow struct {
	Day                               string // where a day begins
	Clock                             string
	Air, Feels, Wind, Pressure, Water string
}

// clockRows are hours in clock order by the zone, one in so many.
func clockRows(hours []model.ConditionHour, zone *time.Location, every int) []clockRow {
	var rows []clockRow
	day := ""
	for i, h := range hours {
		if i%every != 0 {
			continue
		}
		at := h.At.In(zone)
		row := clockRow{
			Clock: at.Format("15:04"), Air: tenths(h.AirC), Feels: tenths(h.FeelsLikeC), Wind: tenths(h.WindMps),
			Pressure: whole(h.PressureHPa), Water: fmt.Sprintf("%.1f", h.WaterC.Value),
		}
		if this := at.Format("Monday 2 January"); this != day {
			row.Day, day = this, this
		}
		rows = append(rows, row)
	}
	return rows
}

// waterWords says how warm a water is, how sure that is, and what it rests on.
func waterWords(w model.WaterEstimate) string {
	words := fmt.Sprintf("%.1f C, eight in ten from %.1f to %.1f; %s", w.Value, w.Low, w.High, w.Kind)
	if c := w.CalibratedBy; c.Known && c.Value.Readings > 0 {
		words += fmt.Sprintf(", corrected by %s", count(c.Value.Readings, "thermometer reading"))
	}
	if w.AtBottom.Known {
		b := w.AtBottom.Value
		words += fmt.Sprintf("; at %.1f m %.1f C, from %.1f to %.1f", b.DepthM, b.Value, b.Low, b.High)
	}
	if w.Ice {
		words += "; ice is likely"
	}
	return words
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// compass are the sixteen names of where wind comes from.
var compass = [...]string{"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"}

// windWords says how strong wind is and where it comes from.
func windWords(h model.ConditionHour) string {
	if !h.WindMps.Known {
		return "not known"
	}
	words := tenths(h.WindMps) + " m/s"
	if d := h.WindFromDeg; d.Known && h.WindMps.Value > 0 && d.Value >= 0 && d.Value <= 360 {
		words += " from " + compass[int(float64(d.Value)/22.5+0.5)%len(compass)]
	}
	if h.GustMps.Known {
		words += ", gusts to " + tenths(h.GustMps)
	}
	return words
}

// pressureWords says how high pressure is and how it moves.
func pressureWords(h model.ConditionHour) string {
	if !h.PressureHPa.Known {
		return "not known"
	}
	words := tenths(h.PressureHPa) + " hPa"
	if h.TendencyText != "" {
		words += ", " + h.TendencyText
	}
	return words
}

// ageWords says how old the newest weather is.
func ageWords(ageMin model.Maybe[float64]) string {
	switch {
	case !ageMin.Known:
		return ""
	case ageMin.Value < 1:
		return ", just in"
	case ageMin.Value < 90:
		return fmt.Sprintf(", %.0f minutes old", ageMin.Value)
	}
	return fmt.Sprintf(", %.0f hours old", ageMin.Value/60)
}
