package page

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"osier/model"
)

// The frame of the range bars, in the units of their picture.
const (
	barsLeft, barsRight = 8.0, 292.0
	barRowHeight        = 42.0
)

// rangeBars draws what is expected of each group as a lying bar from the low end
// of the interval to the high one, hatched, for it is doubt, with a stroke at the
// mean. All share one scale from 0.
func rangeBars(id, where string, groups []model.OutlookGroup) template.HTML {
	var expected []model.OutlookGroup
	longest := 1.0
	for _, g := range groups {
		if g.Activity != nil && finite(g.Activity.BitesPerH.High90) {
			expected = append(expected, g)
			longest = math.Max(longest, math.Max(g.Activity.BitesPerH.High90, g.Activity.BitesPerH.Mean))
		}
	}
	if len(expected) == 0 {
		return ""
	}
	step := roundStep(longest / 6)
	axis := Axis{To: step * math.Ceil(longest/step)}
	x := scale(axis, barsLeft, barsRight)
	bottom := barRowHeight*float64(len(expected)) + 4
	p := pen{x: x, y: scale(Axis{To: 1}, bottom, 0), hatch: id + "-hatch"}
	p.add(`<svg xmlns="http://www.w3.org/2000/svg" class="chart" viewBox="0 0 %g %g" role="img" aria-labelledby="%s-title %s-text">`, chartWidth, bottom+38, escape(id), escape(id))
	p.add(`<title id="%s-title">Bites an hour expected at %s</title>`, escape(id), escape(where))
	p.add(`<desc id="%s-text">%s</desc>`, escape(id), escape(barsInWords(expected)))
	p.hatching(p.hatch)
	for i := 0.0; i*step <= axis.To+step/1000; i++ {
		at, _ := x(i * step)
		label := fmt.Sprintf("%.*f", decimals(step), i*step)
		p.add(`<line class="grid" x1="%.1f" y1="0" x2="%.1f" y2="%.1f"/>`, at, at, bottom)
		p.add(`<text x="%.1f" y="%.1f" text-anchor="middle">%s</text>`, inside(at, label), bottom+15, label)
	}
	p.add(`<text x="%g" y="%.1f" text-anchor="middle">bites an hour</text>`, chartWidth/2, bottom+31)
	for i, g := range expected {
		p.rangeBar(barRowHeight*float64(i), g)
	}
	p.add(`</svg>`)
	return template.HTML(p.String())
}

func (p *pen) rangeBar(top float64, g model.OutlookGroup) {
	r := g.Activity.BitesPerH
	low, _ := p.x(r.Low90)
	high, _ := p.x(r.High90)
	p.add(`<text x="%g" y="%.1f">%s</text>`, barsLeft, top+15, escape(barLabel(g)))
	p.add(`<rect class="bar" fill="url(#%s)" x="%.1f" y="%.1f" width="%.1f" height="16"/>`, escape(p.hatch), low, top+21, math.Max(2, high-low))
	if middle, ok := p.x(r.Mean); ok {
		p.add(`<line class="middle" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, middle, top+18, middle, top+40)
	}
}

func barLabel(g model.OutlookGroup) string {
	r := g.Activity.BitesPerH
	return fmt.Sprintf("%s: %s (%s to %s)", groupWords(g.Group), halves(r.Mean), bites(r.Low90), bites(r.High90))
}

func barsInWords(groups []model.OutlookGroup) string {
	var said []string
	for _, g := range groups {
		r := g.Activity.BitesPerH
		said = append(said, fmt.Sprintf("%s %s bites an hour, nine in ten sessions between %s and %s", groupWords(g.Group), halves(r.Mean), bites(r.Low90), bites(r.High90)))
	}
	return strings.Join(said, "; ") + ". The table that follows holds the figures."
}
