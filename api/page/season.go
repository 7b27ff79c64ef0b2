package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"math"

	"osier/model"
)

//go:embed season/season.html
var seasonHTML string

var seasonPart = part("season", seasonHTML)

// SeasonPath is where the year of a water is.
func SeasonPath(water string) string { return WaterPath(water) + "/season" }

// seasonGroup is the year of one group.
type seasonGroup struct {
	Group  model.Group
	ID     string
	Feed   template.HTML
	Feeder template.HTML
	Months []seasonMonth
}

// seasonMonth is one month of a group, as its tables show it.
type seasonMonth struct {
	Name, Level, Rate, Feeder string
	Soak, Hook, Bites, Blank  string
}

// seasonWater is one month of the water.
type seasonWater struct{ Name, Middle, Range, Day string }

// Season is the page of a water's year: what is usual there, month by month.
func Season(s model.SeasonPlan, notice string) ([]byte, error) {
	view := struct {
		model.SeasonPlan
		Water     string
		Picture   template.HTML
		Waters    []seasonWater
		ByClimate bool
		Groups    []seasonGroup
		Cautions  []monthCautions
	}{SeasonPlan: s, Water: s.Water, Picture: waterOfYear(s), Cautions: cautionsOfYear(s)}
	for _, m := range s.Months {
		row := seasonWater{Name: m.Name, Middle: fmt.Sprintf("%.1f", m.WaterC.Middle), Range: between(m.WaterC.Low, m.WaterC.High, 1), Day: fmt.Sprintf("%.1f", m.Light.DayLengthH)}
		if m.WaterC.Basis == model.ByClimate {
			view.ByClimate = true
			row.Name += "*"
		}
		view.Waters = append(view.Waters, row)
	}
	if len(s.Months) > 0 {
		for i := range s.Months[0].Groups {
			view.Groups = append(view.Groups, groupOfYear(s, i))
		}
	}
	title := "The season at " + s.WaterName
	return Frame{Title: title, Path: SeasonPath(s.Water), Demo: s.Demo, Notice: notice, Credits: s.Credits}.Page(seasonPart, view)
}

// monthCautions are the cautions of a month that ask for something.
type monthCautions struct {
	Month, Worth string
	Cautions     []model.SeasonCaution
}

func cautionsOfYear(s model.SeasonPlan) []monthCautions {
	var months []monthCautions
	for _, m := range s.Months {
		row := monthCautions{Month: m.Name, Worth: m.Light.WorthFishing}
		for _, c := range m.Cautions {
			if c.Level != model.NotChecked { // a note says so once for the year
				row.Cautions = append(row.Cautions, c)
			}
		}
		months = append(months, row)
	}
	return months
}

// groupOfYear is the year of the group that stands at a place in each month.
func groupOfYear(s model.SeasonPlan, at int) seasonGroup {
	first := s.Months[0].Groups[at]
	year := seasonGroup{Group: first.Group, ID: string(first.Group)}
	words := groupWords(first.Group)
	feed := Chart{
		ID: year.ID + "-feed", Title: "Feed for " + words + ", month by month", Unit: "g/h damp", X: monthAxis(s),
		Text: fmt.Sprintf("Bars from the lowest to the highest starting rate that each month's water asks for. %s: %s g/h. %s: %s g/h. The table that follows holds every figure.",
			monthName(s, s.Coldest), rateOf(s, s.Coldest, at), monthName(s, s.Warmest), rateOf(s, s.Warmest, at)),
	}
	feeder := Chart{
		ID: year.ID + "-feeder", Title: "Feeder for " + words + ", month by month", Unit: "ml", X: monthAxis(s),
		Text: "Strokes at the capacity of the feeder that each month begins with, with the name of its size over them. The table that follows holds every figure.",
	}
	highest, largest := 0.0, 0.0
	for _, m := range s.Months {
		g := m.Groups[at]
		feed.Bars = append(feed.Bars, Bar{X: float64(m.Month), Low: g.RateGH.Low, High: g.RateGH.High})
		feeder.Bars = append(feeder.Bars, Bar{X: float64(m.Month), Low: g.CapacityMl, High: g.CapacityMl, Middle: model.Known(g.CapacityMl), Label: g.Step})
		highest, largest = math.Max(highest, g.RateGH.High), math.Max(largest, g.CapacityMl)
		year.Months = append(year.Months, seasonMonth{
			Name: m.Name, Level: g.Level, Rate: between(g.RateGH.Low, g.RateGH.High, 0), Feeder: fmt.Sprintf("%s, %.0f ml", g.Step, g.CapacityMl),
			Soak: between(g.SoakMin.Low, g.SoakMin.High, 0), Hook: between(g.HookLengthCm.Low, g.HookLengthCm.High, 0),
			Bites: fmt.Sprintf("%s (%s to %s)", bites(g.BitesPerH.Median), bites(g.BitesPerH.Low90), bites(g.BitesPerH.High90)),
			Blank: fmt.Sprintf("%.0f", 100*g.Blank),
		})
	}
	feed.Y, feeder.Y = Axis{To: roomOver(highest)}, Axis{To: roomOver(largest)}
	year.Feed, year.Feeder = feed.SVG(), feeder.SVG()
	return year
}

// roomOver is a round figure that leaves room for a label over the highest bar.
func roomOver(highest float64) float64 {
	step := roundStep(highest * 1.15 / 5)
	return step * math.Max(1, math.Ceil(highest*1.15/step))
}

func rateOf(s model.SeasonPlan, month, at int) string {
	for _, m := range s.Months {
		if m.Month == month {
			return between(m.Groups[at].RateGH.Low, m.Groups[at].RateGH.High, 0)
		}
	}
	return "not known"
}

func monthName(s model.SeasonPlan, month int) string {
	for _, m := range s.Months {
		if m.Month == month {
			return m.Name
		}
	}
	return "Not known"
}

// monthAxis has a tick for each month under its first letter.
func monthAxis(s model.SeasonPlan) Axis {
	a := Axis{From: 0.4, To: 12.6, Name: "months, January to December"}
	for _, m := range s.Months {
		if m.Name != "" {
			a.Ticks = append(a.Ticks, Tick{At: float64(m.Month), Label: m.Name[:1]})
		}
	}
	return a
}

// waterOfYear draws how warm the water is.
func waterOfYear(s model.SeasonPlan) template.HTML {
	c := Chart{
		ID: "water", Title: "The water, month by month", Unit: "C", X: monthAxis(s),
		Text: fmt.Sprintf("Hatched: eight in ten hours of a month. Line: their middle. Coldest in %s, warmest in %s. The table that follows holds every figure.", monthName(s, s.Coldest), monthName(s, s.Warmest)),
	}
	var middle []Point
	var band []Interval
	for _, m := range s.Months {
		x := float64(m.Month)
		middle = append(middle, Point{X: x, Y: model.Known(m.WaterC.Middle)})
		band = append(band, Interval{X: x, Low: model.Known(m.WaterC.Low), High: model.Known(m.WaterC.High)})
	}
	c.Lines, c.Bands = []Line{{Points: middle}}, []Band{{Points: band}}
	return c.SVG()
}
