package page

import (
	"fmt"
	"html/template"
	"strings"

	"osier/model"
)

// againstByMonth draws, for each month, the bites that plans expected, with their
// interval, and those that came.
func againstByMonth(months []model.TrackMonth) template.HTML {
	c := Chart{
		ID: "against", Title: "Bites expected against bites that came, by month", Unit: "bites",
		X: trackAxis(months),
	}
	highest := 1.0
	var said []string
	for i, m := range months {
		x := float64(i + 1)
		if e := m.Expected; e != nil {
			c.Bars = append(c.Bars, Bar{X: x, Low: float64(e.Low90), High: float64(e.High90), Middle: model.Known(e.Mean)})
			said = append(said, fmt.Sprintf("%s %s expected, %d to %d, and %d came", monthText(m.Month), wholeBites(e.Mean), e.Low90, e.High90, m.Bites))
			highest = max(highest, e.Mean, float64(e.High90))
		} else {
			said = append(said, fmt.Sprintf("%s %d came", monthText(m.Month), m.Bites))
		}
		c.Marks = append(c.Marks, Mark{X: x, Y: float64(m.Bites)})
		highest = max(highest, float64(m.Bites))
	}
	if len(c.Bars) == 0 {
		return ""
	}
	step := roundStep(highest / 5)
	for c.Y.To < highest {
		c.Y.To += step
	}
	c.Text = strings.Join(said, "; ") + ". The table that follows holds the figures."
	return c.SVG()
}

func wholeBites(v float64) string { return fmt.Sprintf("%.0f", v) }

// againstRow is one month of the picture.
type againstRow struct{ Month, Counts, NoFish, Expected, Range, Came string }

func againstRows(months []model.TrackMonth) []againstRow {
	var rows []againstRow
	for _, m := range months {
		row := againstRow{Month: monthText(m.Month), Counts: fmt.Sprint(m.Sessions), NoFish: fmt.Sprint(m.NoFish), Expected: unknown, Range: unknown, Came: fmt.Sprint(m.Bites)}
		if e := m.Expected; e != nil {
			row.Expected, row.Range = wholeBites(e.Mean), fmt.Sprintf("%d to %d", e.Low90, e.High90)
		}
		rows = append(rows, row)
	}
	return rows
}

// coverageByMonth draws how many of 100 counts fell inside the 90 % interval in
// each month that has sessions enough, against the 90 that should.
func coverageByMonth(months []model.TrackMonth) template.HTML {
	last := float64(len(months))
	c := Chart{
		ID: "coverage", Title: "Counts inside the 90 % interval, by month", Unit: "of 100 counts",
		X: trackAxis(months), Y: Axis{From: 0, To: 100},
		Lines: []Line{{Dashed: true, Points: []Point{{X: 0.5, Y: model.Known(90.0)}, {X: last + 0.5, Y: model.Known(90.0)}}}},
	}
	for i, m := range months {
		if m.Cover90.Known {
			c.Marks = append(c.Marks, Mark{X: float64(i + 1), Y: 100 * m.Cover90.Value})
			c.Text += fmt.Sprintf("%s %.0f of 100; ", monthText(m.Month), 100*m.Cover90.Value)
		}
	}
	if len(c.Marks) == 0 {
		return ""
	}
	c.Text += "90 should. The table that follows holds the figures."
	return c.SVG()
}

// trackAxis has a place for each month, and as many labels as there is room for.
func trackAxis(months []model.TrackMonth) Axis {
	a := Axis{From: 0.5, To: float64(len(months)) + 0.5}
	every := (len(months) + 4) / 5
	for i, m := range months {
		if i%every == 0 {
			a.Ticks = append(a.Ticks, Tick{At: float64(i + 1), Label: shortMonth(m.Month)})
		}
	}
	return a
}
