package page

import (
	"fmt"
	"html/template"
	"math"

	"osier/model"
)

// Chart is a picture of figures over time or any other scale, drawn by the
// server: lines, hatched bands and bars for intervals, rings for readings. It is
// as wide as a narrow phone, and takes its colours from the page. The page that
// shows one gives the same figures as a table.
type Chart struct {
	ID    string // unique in the page: small letters, digits and hyphens
	Title string
	Text  string // what it shows in words, for those who do not see it
	Unit  string // of what is drawn, written over the upright axis
	X     Axis
	Y     Axis // found from what is drawn where both ends are 0
	Bands []Band
	Bars  []Bar
	Lines []Line
	Marks []Mark
}

// Axis is a scale from one end to the other. An upright axis makes its own
// ticks where none are given.
type Axis struct {
	From, To float64
	Ticks    []Tick
	Name     string // written under a lying axis
}

// Tick is a place on an axis and what is written there.
type Tick struct {
	At    float64
	Label string
}

// Point is one figure. One that is not known breaks the line.
type Point struct {
	X float64
	Y model.Maybe[float64]
}

// Line joins figures.
type Line struct {
	Points []Point
	Dashed bool // not measured: forecast, or expected
	Thin   bool // the second of two
}

// Band is an interval that goes along with x, hatched.
type Band struct{ Points []Interval }

// Interval is the two ends of what is likely at one place.
type Interval struct {
	X         float64
	Low, High model.Maybe[float64]
}

// Bar is an interval at one place that stands by itself, hatched, with a stroke
// at what is most likely and a label over it.
type Bar struct {
	X, Low, High float64
	Middle       model.Maybe[float64]
	Label        string
}

// Mark is one reading, a ring.
type Mark struct{ X, Y float64 }

// The frame of a chart, in the units of its picture.
const (
	chartWidth, chartHeight = 300.0, 210.0
	chartLeft, chartRight   = 36.0, 290.0
	chartTop, chartBottom   = 22.0, 174.0
)

// SVG is the picture. It is made of numbers and of escaped text, and is well
// formed as XML. What lies outside an axis is left out; figures that are not
// finite are not drawn.
func (c Chart) SVG() template.HTML {
	y := c.upright()
	p := pen{x: scale(c.X, chartLeft, chartRight), y: scale(y, chartBottom, chartTop), hatch: c.ID + "-hatch"}
	height := chartHeight
	if c.X.Name == "" {
		height -= 16
	}
	p.add(`<svg xmlns="http://www.w3.org/2000/svg" class="chart" viewBox="0 0 %g %g" role="img" aria-labelledby="%s-title %s-text">`, chartWidth, height, escape(c.ID), escape(c.ID))
	p.add(`<title id="%s-title">%s</title>`, escape(c.ID), escape(c.Title))
	p.add(`<desc id="%s-text">%s</desc>`, escape(c.ID), escape(c.Text))
	p.hatching(p.hatch)
	p.axes(c.X, y, c.Unit)
	for _, b := range c.Bands {
		p.band(b)
	}
	width := math.Min(16, 0.6*(chartRight-chartLeft)/math.Max(1, float64(len(c.Bars))))
	for _, b := range c.Bars {
		p.bar(b, width)
	}
	for _, l := range c.Lines {
		p.line(l)
	}
	for _, m := range c.Marks {
		p.mark(m)
	}
	p.add(`</svg>`)
	return template.HTML(p.String())
}

func escape(s string) string { return template.HTMLEscapeString(s) }

// upright is the y axis: as given, or round figures that hold all that is drawn.
func (c Chart) upright() Axis {
	a := c.Y
	if a.From == 0 && a.To == 0 {
		a.From, a.To = c.extent()
	}
	if len(a.Ticks) > 0 {
		return a
	}
	step := roundStep((a.To - a.From) / 5)
	if c.Y.From == 0 && c.Y.To == 0 {
		a.From, a.To = step*math.Floor(a.From/step), step*math.Ceil(a.To/step)
	}
	for i := math.Ceil(a.From / step); i*step <= a.To+step/1000 && len(a.Ticks) < 20; i++ {
		a.Ticks = append(a.Ticks, Tick{At: i * step, Label: fmt.Sprintf("%.*f", decimals(step), i*step+0)})
	}
	return a
}

// extent is the lowest and the highest figure drawn, apart from each other.
func (c Chart) extent() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	see := func(values ...model.Maybe[float64]) {
		for _, v := range values {
			if v.Known && finite(v.Value) {
				low, high = math.Min(low, v.Value), math.Max(high, v.Value)
			}
		}
	}
	for _, l := range c.Lines {
		for _, p := range l.Points {
			see(p.Y)
		}
	}
	for _, b := range c.Bands {
		for _, p := range b.Points {
			see(p.Low, p.High)
		}
	}
	for _, b := range c.Bars {
		see(model.Known(b.Low), model.Known(b.High), b.Middle)
	}
	for _, m := range c.Marks {
		see(model.Known(m.Y))
	}
	if low > high {
		return 0, 1
	}
	if high-low < 1 {
		return low - 0.5, high + 0.5
	}
	return low, high
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// roundStep is the next of 1, 2 and 5 times a power of ten from a step on.
func roundStep(at float64) float64 {
	if !(at > 1e-9) || math.IsInf(at, 0) {
		return 1
	}
	power := math.Pow(10, math.Floor(math.Log10(at)))
	for _, times := range []float64{1, 2, 5} {
		if times*power >= at*0.999 {
			return times * power
		}
	}
	return 10 * power
}

func decimals(step float64) int {
	if step >= 1 {
		return 0
	}
	return int(math.Ceil(-math.Log10(step) - 1e-9))
}

// scale maps an axis to the picture. A place outside it is not ok.
func scale(a Axis, from, to float64) func(float64) (at float64, ok bool) {
	span := a.To - a.From
	return func(v float64) (float64, bool) {
		if !finite(v) || !finite(span) || span <= 0 || v < a.From-span/1e6 || v > a.To+span/1e6 {
			return 0, false
		}
		share := (v - a.From) / span
		return from + (to-from)*share, finite(share)
	}
}
