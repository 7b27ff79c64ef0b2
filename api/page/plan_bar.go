package page

import (
	"html/template"
	"math"

	"osier/model"
)

// rateBar draws a rate as a bar that is hatched where nine in ten lie and boxed
// where half do, with a stroke where as many lie over as under, each with its
// number.
func rateBar(r model.RateRange) template.HTML {
	const left, right, top, bottom = 14.0, 286.0, 24.0, 44.0
	longest := roundStep(r.High90/5) * math.Ceil(r.High90/roundStep(r.High90/5))
	x := scale(Axis{From: 0, To: longest}, left, right)
	var s svg
	s.add(`<svg xmlns="http://www.w3.org/2000/svg" class="chart" viewBox="0 0 300 80" role="img" aria-labelledby="rate-title rate-text">`)
	s.add(`<title id="rate-title">Bites an hour to expect</title>`)
	s.add(`<desc id="rate-text">As likely over as under %s; half of such sessions from %s to %s, nine in ten from %s to %s.</desc>`, bites(r.Median), bites(r.Low50), bites(r.High50), bites(r.Low90), bites(r.High90))
	s.hatching("rate-hatch")
	low90, a := x(r.Low90)
	high90, b := x(r.High90)
	low50, c := x(r.Low50)
	high50, d := x(r.High50)
	median, e := x(r.Median)
	if a && b && c && d && e {
		s.add(`<rect class="bar" fill="url(#rate-hatch)" x="%.1f" y="%g" width="%.1f" height="%g"/>`, low90, top, math.Max(2, high90-low90), bottom-top)
		s.add(`<rect class="box" x="%.1f" y="%g" width="%.1f" height="%g"/>`, low50, top, math.Max(2, high50-low50), bottom-top)
		s.add(`<line class="middle" x1="%.1f" y1="%g" x2="%.1f" y2="%g"/>`, median, top-4, median, bottom+4)
		s.add(`<text x="%.1f" y="14" text-anchor="middle">%s</text>`, inside(median, bites(r.Median)), bites(r.Median))
	}
	s.add(`<line class="axis" x1="%g" y1="%g" x2="%g" y2="%g"/>`, left, bottom+6, right, bottom+6)
	for _, share := range []float64{0, 0.5, 1} {
		label := bites(longest * share)
		at := left + (right-left)*share
		s.add(`<line class="axis" x1="%.1f" y1="%g" x2="%.1f" y2="%g"/>`, at, bottom+6, at, bottom+10)
		s.add(`<text x="%.1f" y="%g" text-anchor="middle">%s</text>`, inside(at, label), bottom+24, label)
	}
	s.add(`</svg>`)
	return template.HTML(s.String())
}
