package page

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"osier/model"
)

// outlookColumn is one column of an outlook as a table, with the unit in its
// name. A cell that is not known is empty.
type outlookColumn struct {
	name string
	cell func(r outlookRow) string
}

// outlookRow is one water, day and group. A day on which no group is told, such
// as one that is closed, has one row without a group.
type outlookRow struct {
	o     model.Outlook
	water model.OutlookWater
	day   model.OutlookDay
	group model.OutlookGroup
}

var outlookColumns = []outlookColumn{
	{"outlook_id", func(r outlookRow) string { return words(r.o.ID) }},
	{"published_at", func(r outlookRow) string { return stamp(r.o.Publish.At) }},
	{"water", func(r outlookRow) string { return words(r.water.Water) }},
	{"water_name", func(r outlookRow) string { return words(r.water.Name) }},
	{"date", func(r outlookRow) string { return words(r.day.Date) }},
	{"from", func(r outlookRow) string { return stamp(r.day.From) }},
	{"until", func(r outlookRow) string { return stamp(r.day.Until) }},
	{"closed", func(r outlookRow) string { return yes(r.day.Closed) }},
	{"restrictions", func(r outlookRow) string { return words(restrictionsOf(r.water)) }},
	{"decided_since", func(r outlookRow) string { return words(sinceOf(r)) }},
	{"cautions", func(r outlookRow) string { return words(cautionsOf(r.day)) }},
	{"air_temp_low_c", func(r outlookRow) string { return number(r.day.Conditions.AirLowC, 1) }},
	{"air_temp_high_c", func(r outlookRow) string { return number(r.day.Conditions.AirHighC, 1) }},
	{"feels_like_low_c", func(r outlookRow) string { return number(r.day.Conditions.FeelsLikeLowC, 1) }},
	{"wind_mps", func(r outlookRow) string { return number(r.day.Conditions.WindMps, 1) }},
	{"gust_mps", func(r outlookRow) string { return number(r.day.Conditions.GustMps, 1) }},
	{"rain_mm", func(r outlookRow) string { return number(r.day.Conditions.RainMm, 1) }},
	{"pressure_hpa", func(r outlookRow) string { return number(r.day.Conditions.PressureHPa, 1) }},
	{"pressure_change_hpa", func(r outlookRow) string { return number(r.day.Conditions.PressureChange, 1) }},
	{"pressure_text", func(r outlookRow) string { return words(r.day.Conditions.PressureText) }},
	{"water_temp_c", func(r outlookRow) string { return decimal(r.day.Conditions.WaterC.Value, 1) }},
	{"water_temp_low80_c", func(r outlookRow) string { return decimal(r.day.Conditions.WaterC.Low, 1) }},
	{"water_temp_high80_c", func(r outlookRow) string { return decimal(r.day.Conditions.WaterC.High, 1) }},
	{"missing_weather_h", func(r outlookRow) string { return strconv.Itoa(r.day.Conditions.MissingHours) }},
	{"confidence", func(r outlookRow) string { return words(r.day.Confidence.Level) }},
	{"group", func(r outlookRow) string { return words(string(r.group.Group)) }},
	{"session_from", ofGroup(func(g model.OutlookGroup) string { return stamp(g.From) })},
	{"session_h", ofGroup(func(g model.OutlookGroup) string { return decimal(g.Hours, 1) })},
	{"feed_level", func(r outlookRow) string { return words(r.group.Level) }},
	{"feed_rate_g_h", ofGroup(func(g model.OutlookGroup) string { return decimal(float64(g.RateGH), 0) })},
	{"feeder_type", func(r outlookRow) string { return words(r.group.FeederType) }},
	{"feeder_capacity_ml", ofGroup(func(g model.OutlookGroup) string { return decimal(float64(g.CapacityMl), 0) })},
	{"feeder_weight_g", func(r outlookRow) string { return number(r.group.WeightG, 0) }},
	{"bites_per_h_mean", expected(func(a model.OutlookActivity) string { return decimal(a.BitesPerH.Mean, 1) })},
	{"bites_per_h_low90", expected(func(a model.OutlookActivity) string { return decimal(a.BitesPerH.Low90, 1) })},
	{"bites_per_h_high90", expected(func(a model.OutlookActivity) string { return decimal(a.BitesPerH.High90, 1) })},
	{"bites_low90", expected(func(a model.OutlookActivity) string { return strconv.Itoa(a.Bites.Low90) })},
	{"bites_high90", expected(func(a model.OutlookActivity) string { return strconv.Itoa(a.Bites.High90) })},
	{"blank_probability", expected(func(a model.OutlookActivity) string { return decimal(a.BlankProbability, 2) })},
	{"hours_text", func(r outlookRow) string { return words(r.group.HoursText) }},
	{"evidence", func(r outlookRow) string { return words(r.group.Evidence) }},
	{"paragraph", func(r outlookRow) string { return words(r.day.Paragraph) }},
	{"deferral", func(outlookRow) string { return words(model.Deferral) }},
}

// inventedColumn stands first in the demonstration, so that a table that was
// saved still says what it is.
var inventedColumn = outlookColumn{"everything_here_is_invented", func(outlookRow) string { return "yes" }}

// OutlookCSV is a published outlook as a table (RFC 4180): one row a water, day
// and group. What clubs decided since stands in a column, and what a closure made
// since withdraws is left out. Words that a spreadsheet would take for a formula have an
// apostrophe before them. A draft is refused.
func OutlookCSV(o model.Outlook) ([]byte, error) {
	if o.Publish == nil {
		return nil, fmt.Errorf("write outlook %s as a table: it is not published", o.ID)
	}
	columns := outlookColumns
	if o.Demo {
		columns = append([]outlookColumn{inventedColumn}, columns...)
	}
	head := make([]string, len(columns))
	for i, c := range columns {
		head[i] = c.name
	}
	rows := [][]string{head}
	for _, r := range outlookRows(o.AsNow()) {
		cells := make([]string, len(columns))
		for i, c := range columns {
			cells[i] = c.cell(r)
		}
		rows = append(rows, cells)
	}
	var b bytes.Buffer
	table := csv.NewWriter(&b)
	table.UseCRLF = true
	if err := table.WriteAll(rows); err != nil {
		return nil, fmt.Errorf("write outlook %s as a table: %w", o.ID, err)
	}
	return b.Bytes(), nil
}

func outlookRows(o model.Outlook) (rows []outlookRow) {
	for _, water := range o.Waters {
		for _, day := range water.Days {
			if len(day.Groups) == 0 {
				rows = append(rows, outlookRow{o: o, water: water, day: day})
			}
			for _, group := range day.Groups {
				rows = append(rows, outlookRow{o, water, day, group})
			}
		}
	}
	return rows
}

func restrictionsOf(w model.OutlookWater) string {
	var all []string
	for _, r := range w.Restrictions {
		all = append(all, r.What()+" "+spanOf(r, w.Zone))
	}
	return strings.Join(all, "; ")
}

func sinceOf(r outlookRow) string {
	var all []string
	for _, since := range r.o.SincePublished {
		if since.Water == r.water.Water {
			all = append(all, since.Text)
		}
	}
	return strings.Join(all, "; ")
}

func cautionsOf(d model.OutlookDay) string {
	var all []string
	for _, c := range d.Cautions {
		all = append(all, string(c.Level)+": "+line(c.Text))
	}
	return strings.Join(all, "; ")
}

// words are text on one line that no spreadsheet takes for a formula: whatever
// begins as one does has an apostrophe before it (common practice, no source).
func words(s string) string {
	s = line(s)
	if strings.HasPrefix(s, "=") || strings.HasPrefix(s, "+") || strings.HasPrefix(s, "-") || strings.HasPrefix(s, "@") {
		return "'" + s
	}
	return s
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func decimal(v float64, places int) string { return strconv.FormatFloat(v, 'f', places, 64) }

func number[T ~float64](m model.Maybe[T], places int) string {
	if !m.Known {
		return ""
	}
	return decimal(float64(m.Value), places)
}

func ofGroup(cell func(model.OutlookGroup) string) func(outlookRow) string {
	return func(r outlookRow) string {
		if r.group.Group == "" {
			return ""
		}
		return cell(r.group)
	}
}

func expected(cell func(model.OutlookActivity) string) func(outlookRow) string {
	return func(r outlookRow) string {
		if r.group.Activity == nil {
			return ""
		}
		return cell(*r.group.Activity)
	}
}
