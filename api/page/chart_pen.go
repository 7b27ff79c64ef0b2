package page

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// pen draws on a chart.
type pen struct {
	svg
	x, y  func(float64) (float64, bool)
	hatch string
}

// at is a place in the picture, if it lies inside.
func (p *pen) at(x, y float64) (px, py float64, ok bool) {
	px, okX := p.x(x)
	py, okY := p.y(y)
	return px, py, okX && okY
}

func (p *pen) axes(x, y Axis, unit string) {
	p.add(`<text x="2" y="12">%s</text>`, escape(unit))
	for _, t := range y.Ticks {
		if at, ok := p.y(t.At); ok {
			p.add(`<line class="grid" x1="%g" y1="%.1f" x2="%g" y2="%.1f"/>`, chartLeft, at, chartRight, at)
			p.add(`<text x="%g" y="%.1f" text-anchor="end">%s</text>`, chartLeft-5, at+4.5, escape(t.Label))
		}
	}
	p.add(`<line class="axis" x1="%g" y1="%g" x2="%g" y2="%g"/>`, chartLeft, chartBottom, chartRight, chartBottom)
	for _, t := range x.Ticks {
		if at, ok := p.x(t.At); ok {
			p.add(`<line class="axis" x1="%.1f" y1="%g" x2="%.1f" y2="%g"/>`, at, chartBottom, at, chartBottom+4)
			p.add(`<text x="%.1f" y="%g" text-anchor="middle">%s</text>`, inside(at, t.Label), chartBottom+17, escape(t.Label))
		}
	}
	if x.Name != "" {
		p.add(`<text x="%g" y="%g" text-anchor="middle">%s</text>`, (chartLeft+chartRight)/2, chartBottom+33, escape(x.Name))
	}
}

// inside keeps a text that is centred at a place within the picture.
func inside(at float64, text string) float64 {
	half := 3.6 * float64(len([]rune(text)))
	return math.Max(half, math.Min(at, chartWidth-half))
}

// band hatches each stretch whose ends are known.
func (p *pen) band(b Band) {
	var upper, lower []string
	draw := func() {
		if len(upper) > 1 {
			slices.Reverse(lower)
			p.add(`<polygon class="band" fill="url(#%s)" points="%s %s"/>`, escape(p.hatch), strings.Join(upper, " "), strings.Join(lower, " "))
		}
		upper, lower = nil, nil
	}
	for _, i := range b.Points {
		x, low, okLow := p.at(i.X, i.Low.Value)
		_, high, okHigh := p.at(i.X, i.High.Value)
		if !okLow || !okHigh || !i.Low.Known || !i.High.Known {
			draw()
			continue
		}
		upper = append(upper, fmt.Sprintf("%.1f,%.1f", x, high))
		lower = append(lower, fmt.Sprintf("%.1f,%.1f", x, low))
	}
	draw()
}

func (p *pen) bar(b Bar, width float64) {
	x, low, okLow := p.at(b.X, b.Low)
	_, high, okHigh := p.at(b.X, b.High)
	if !okLow || !okHigh {
		return
	}
	p.add(`<rect class="bar" fill="url(#%s)" x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`, escape(p.hatch), x-width/2, high, width, math.Max(1, low-high))
	if _, middle, ok := p.at(b.X, b.Middle.Value); ok && b.Middle.Known {
		p.add(`<line class="middle" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, x-width/2, middle, x+width/2, middle)
	}
	if b.Label != "" {
		p.add(`<text x="%.1f" y="%.1f" text-anchor="middle">%s</text>`, inside(x, b.Label), math.Max(12, high-4), escape(b.Label))
	}
}

// line joins what is known; a gap stays a gap.
func (p *pen) line(l Line) {
	class := "line"
	if l.Dashed {
		class += " dashed"
	}
	if l.Thin {
		class += " thin"
	}
	var points []string
	draw := func() {
		if len(points) > 1 {
			p.add(`<polyline class="%s" points="%s"/>`, class, strings.Join(points, " "))
		}
		points = nil
	}
	for _, q := range l.Points {
		x, y, ok := p.at(q.X, q.Y.Value)
		if !ok || !q.Y.Known {
			draw()
			continue
		}
		points = append(points, fmt.Sprintf("%.1f,%.1f", x, y))
	}
	draw()
}

func (p *pen) mark(m Mark) {
	if x, y, ok := p.at(m.X, m.Y); ok {
		p.add(`<circle class="mark" cx="%.1f" cy="%.1f" r="4"/>`, x, y)
	}
}

// hatching is the pattern of doubt, under an id of its own in the page.
func (s *svg) hatching(id string) {
	s.add(`<defs><pattern id="%s" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><line class="hatch" x1="0" y1="0" x2="0" y2="5"/></pattern></defs>`, escape(id))
}
