package page

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"osier/model"
)

// dayConditions are the weather of a day's hours in words and numbers. What is
// not known is said to be so.
func dayConditions(c model.OutlookConditions) []named {
	rows := []named{
		{"Air", dayAir(c)},
		{"Wind", dayWind(c)},
		{"Rain", withUnit(c.RainMm, 1, "mm")},
		{"Pressure", dayPressure(c)},
		{"Water", waterWords(c.WaterC)},
	}
	if c.MissingHours > 0 {
		rows = append(rows, named{"Missing", count(c.MissingHours, "hour") + " without weather"})
	}
	return rows
}

const notKnown = "not known"

func withUnit[T ~float64](m model.Maybe[T], decimals int, unit string) string {
	if !m.Known {
		return notKnown
	}
	return figure(m, decimals) + " " + unit
}

func dayAir(c model.OutlookConditions) string {
	if !c.AirLowC.Known || !c.AirHighC.Known {
		return notKnown
	}
	text := between(float64(c.AirLowC.Value), float64(c.AirHighC.Value), 0) + " C"
	if c.FeelsLikeLowC.Known {
		text += ", feels like " + whole(c.FeelsLikeLowC) + " C at the least"
	}
	return text
}

func dayWind(c model.OutlookConditions) string {
	text := withUnit(c.WindMps, 0, "m/s at the most")
	if c.WindMps.Known && c.GustMps.Known {
		text += ", gusts to " + whole(c.GustMps)
	}
	return text
}

func dayPressure(c model.OutlookConditions) string {
	text := withUnit(c.PressureHPa, 0, "hPa")
	if c.PressureHPa.Known && c.PressureText != "" && c.PressureText != "unknown" {
		text += ", " + c.PressureText
	}
	if c.PressureChange.Known {
		text += fmt.Sprintf("; %+.1f from first hour to last", float64(c.PressureChange.Value))
	}
	return text
}

// groupRow is a row of the table with a cell for each group.
type groupRow struct {
	Name  string
	Cells []string
}

func rowOf(name string, groups []model.OutlookGroup, cell func(model.OutlookGroup) string) groupRow {
	r := groupRow{Name: name}
	for _, g := range groups {
		r.Cells = append(r.Cells, cell(g))
	}
	return r
}

func feedingRows(groups []model.OutlookGroup) []groupRow {
	return []groupRow{
		rowOf("Level", groups, func(g model.OutlookGroup) string { return g.Level }),
		rowOf("Damp, g/h", groups, func(g model.OutlookGroup) string { return fmt.Sprintf("%.0f", float64(g.RateGH)) }),
		rowOf("Feeder", groups, func(g model.OutlookGroup) string { return strings.ReplaceAll(g.FeederType, "_", " ") }),
		rowOf("Size, ml", groups, func(g model.OutlookGroup) string {
			return strings.TrimSpace(fmt.Sprintf("%s, %.0f", g.FeederStep, float64(g.CapacityMl)))
		}),
		rowOf("Weight, g", groups, func(g model.OutlookGroup) string {
			if !g.WeightG.Known {
				return "no safe cast"
			}
			return whole(g.WeightG)
		}),
	}
}

// expectedRows are the figures of the picture. A group of which nothing is
// expected has dashes.
func expectedRows(groups []model.OutlookGroup) []groupRow {
	of := func(say func(model.OutlookActivity) string) func(model.OutlookGroup) string {
		return func(g model.OutlookGroup) string {
			if g.Activity == nil {
				return unknown
			}
			return say(*g.Activity)
		}
	}
	return []groupRow{
		rowOf("Bites an hour", groups, of(func(a model.OutlookActivity) string { return halves(a.BitesPerH.Mean) })),
		rowOf("Over as often as under", groups, of(func(a model.OutlookActivity) string { return halves(a.BitesPerH.Median) })),
		rowOf("Nine in ten", groups, of(func(a model.OutlookActivity) string { return rateSpan(a.BitesPerH.Low90, a.BitesPerH.High90) })),
		rowOf("Half", groups, of(func(a model.OutlookActivity) string { return rateSpan(a.BitesPerH.Low50, a.BitesPerH.High50) })),
		rowOf("No fish", groups, of(func(a model.OutlookActivity) string { return fmt.Sprintf("%.0f in 100", 100*a.BlankProbability) })),
	}
}

// halves writes a rate that was rounded to half a bite: 0 is then not none.
func halves(v float64) string {
	if v < 0.25 {
		return "under 0.5"
	}
	return bites(v)
}

func rateSpan(low, high float64) string { return bites(low) + "\u2013" + bites(high) }

// noHour is what is said where the hours cannot be told apart.
const noHour = "no hour stands out"

// hourRows are the hours in clock order, each with its interval, and what is
// said of them. A group of which no hour stands out adds no hour: a table of
// hours that cannot be told apart would only seem to rank them.
func hourRows(groups []model.OutlookGroup, zone *time.Location) (rows []groupRow, said []named) {
	var hours []time.Time
	for _, g := range groups {
		said = append(said, named{groupWords(g.Group), g.HoursText})
		if g.HoursText == noHour {
			continue
		}
		for _, h := range g.HoursCompared {
			if !slices.ContainsFunc(hours, h.At.Equal) {
				hours = append(hours, h.At)
			}
		}
	}
	slices.SortFunc(hours, time.Time.Compare)
	for _, at := range hours {
		rows = append(rows, rowOf(at.In(zone).Format("15:04"), groups, func(g model.OutlookGroup) string { return hourCell(g, at) }))
	}
	return rows, said
}

func hourCell(g model.OutlookGroup, at time.Time) string {
	for _, h := range g.HoursCompared {
		switch {
		case !h.At.Equal(at):
		case h.Struck || h.BitesPerH == nil:
			return "struck out"
		default:
			return rateSpan(h.BitesPerH.Low90, h.BitesPerH.High90)
		}
	}
	return unknown
}

// scoreView is how an outlook fared, on a day for a group or over a month.
type scoreView struct{ When, Group, Sessions, Expected, Observed, Inside, Withheld string }

func viewScore(s model.OutlookScore) scoreView {
	v := scoreView{
		When: dateText(s.Date), Group: groupWords(s.Group), Sessions: s.Sessions, Withheld: strings.Join(withheldWords(s.Withheld), ", "),
		Expected: tenths(s.Expected), Observed: tenths(s.Observed), Inside: unknown,
	}
	if month, err := time.Parse("2006-01", s.Date); err == nil {
		v.When = month.Format("January 2006")
	}
	if s.Inside90.Known {
		v.Inside = fmt.Sprintf("%.0f in 100", 100*s.Inside90.Value)
	}
	return v
}
