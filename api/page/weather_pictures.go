package page

import (
	"fmt"
	"html/template"
	"time"

	"osier/model"
)

// hourAt is an instant as a place on an axis of days.
func hourAt(t time.Time) float64 { return float64(t.Unix()) / 3600 }

// dayAxis has a tick at each midnight by the clock at the water, named by the
// day that begins there.
func dayAxis(hours []model.ConditionHour, zone *time.Location) Axis {
	first, last := hours[0].At.In(zone), hours[len(hours)-1].At.In(zone)
	a := Axis{From: hourAt(first), To: hourAt(last), Name: first.Format("Mon 2") + " to " + last.Format("Mon 2 January 2006")}
	for d := time.Date(first.Year(), first.Month(), first.Day(), 0, 0, 0, 0, zone); !d.After(last); d = d.AddDate(0, 0, 1) {
		a.Ticks = append(a.Ticks, Tick{At: hourAt(d), Label: d.Format("Mon")})
	}
	return a
}

// heatOfDays draws air and water, the water's interval, and what thermometers
// showed.
func heatOfDays(hours []model.ConditionHour, readings []model.MeterReading, x Axis) template.HTML {
	c := Chart{ID: "heat", Title: "Water and air temperature", Unit: "C", X: x}
	var water, air []Point
	var band []Interval
	for _, h := range hours {
		at := hourAt(h.At)
		water = append(water, Point{X: at, Y: model.Known(h.WaterC.Value)})
		air = append(air, Point{X: at, Y: numbers(h.AirC)})
		band = append(band, Interval{X: at, Low: model.Known(h.WaterC.Low), High: model.Known(h.WaterC.High)})
	}
	c.Lines, c.Bands = []Line{{Points: air, Thin: true}, {Points: water}}, []Band{{Points: band}}
	for _, r := range readings {
		if r.WaterC.Known {
			c.Marks = append(c.Marks, Mark{X: hourAt(r.At), Y: float64(r.WaterC.Value)})
		}
	}
	c.Text = fmt.Sprintf("The water went from %s C to %s C, the air from %s C to %s C, with %s of the water. The table that follows holds every figure.",
		firstOf(water), lastOf(water), firstOf(air), lastOf(air), count(len(c.Marks), "thermometer reading"))
	return c.SVG()
}

// windOfDays draws mean wind and gusts.
func windOfDays(hours []model.ConditionHour, x Axis) template.HTML {
	c := Chart{ID: "wind", Title: "Wind", Unit: "m/s", X: x}
	var wind, gust []Point
	for _, h := range hours {
		wind = append(wind, Point{X: hourAt(h.At), Y: numbers(h.WindMps)})
		gust = append(gust, Point{X: hourAt(h.At), Y: numbers(h.GustMps)})
	}
	c.Lines = []Line{{Points: gust, Thin: true}, {Points: wind}}
	low, high := c.extent()
	c.Text = fmt.Sprintf("Mean wind and gusts between %.1f and %.1f m/s; the mean is %s m/s at the end. The table that follows holds every figure.", low, high, lastOf(wind))
	return c.SVG()
}

// pressureOfDays draws the trend of pressure.
func pressureOfDays(hours []model.ConditionHour, x Axis) template.HTML {
	c := Chart{ID: "pressure", Title: "Pressure", Unit: "hPa", X: x}
	var pressure []Point
	for _, h := range hours {
		pressure = append(pressure, Point{X: hourAt(h.At), Y: numbers(h.PressureHPa)})
	}
	c.Lines = []Line{{Points: pressure}}
	c.Text = fmt.Sprintf("Pressure went from %s to %s hPa. The table that follows holds every figure.", firstOf(pressure), lastOf(pressure))
	return c.SVG()
}

func numbers[T ~float64](m model.Maybe[T]) model.Maybe[float64] {
	return model.Maybe[float64]{Value: float64(m.Value), Known: m.Known}
}

// firstOf is the first figure that is known, in words.
func firstOf(points []Point) string {
	for _, p := range points {
		if p.Y.Known {
			return tenths(p.Y)
		}
	}
	return "not known"
}

func lastOf(points []Point) string {
	for i := len(points) - 1; i >= 0; i-- {
		if points[i].Y.Known {
			return tenths(points[i].Y)
		}
	}
	return "not known"
}
