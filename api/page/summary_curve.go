package page

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"osier/model"
)

// The waiting curve's frame, in the units of its picture. It is as wide as a
// narrow phone, so that its figures stay legible there.
const (
	curveWidth            = 320.0
	curveLeft, curveRight = 38.0, 310.0
	curveTop, curveBottom = 14.0, 200.0
)

// waitingCurve draws the share of casts that still wait: this session's as solid
// steps, what is typical as a dashed line in hatching, the soaks that are nearly
// as good as a bar beneath. It is made of numbers only; no text of a record
// enters.
func waitingCurve(w model.SummaryWaiting) template.HTML {
	longest := math.Max(1, float64(len(w.Typical)-1))
	if n := len(w.Survival); n > 0 {
		longest = math.Max(longest, w.Survival[n-1].TimeMin)
	}
	x := func(minute float64) float64 { return curveLeft + (curveRight-curveLeft)*minute/longest }
	y := func(share float64) float64 { return curveBottom - (curveBottom-curveTop)*share }
	height := curveBottom + 40
	if hasSoakBar(w) {
		height += 26
	}
	var s svg
	s.add(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" role="img" aria-labelledby="curve-title curve-text">`, curveWidth, height)
	s.add(`<title id="curve-title">Casts still waiting for a bite, by minutes</title>`)
	s.add(`<desc id="curve-text">%s</desc>`, template.HTMLEscapeString(curveInWords(w)))
	s.add(`<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><line class="hatch" x1="0" y1="0" x2="0" y2="6"/></pattern></defs>`)
	for _, share := range []float64{0, 0.25, 0.5, 0.75, 1} {
		s.add(`<line class="grid" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, curveLeft, y(share), curveRight, y(share))
		s.add(`<text x="%.1f" y="%.1f" text-anchor="end">%.0f</text>`, curveLeft-5, y(share)+4, 100*share)
	}
	for minute := 0.0; minute <= longest; minute += tickMin(longest) {
		s.add(`<line class="tick" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, x(minute), curveBottom, x(minute), curveBottom+4)
		s.add(`<text x="%.1f" y="%.1f" text-anchor="middle">%.0f</text>`, x(minute), curveBottom+17, minute)
	}
	s.add(`<text x="%.1f" y="%.1f" text-anchor="middle">minutes since the feeder settled</text>`, (curveLeft+curveRight)/2, curveBottom+33)
	drawTypical(&s, w.Typical, x, y)
	drawSession(&s, w.Survival, x, y)
	if hasSoakBar(w) {
		low, high := math.Min(w.Soak.LowMin, longest), math.Min(w.Soak.HighMin, longest)
		s.add(`<rect class="soak" x="%.1f" y="%.1f" width="%.1f" height="8"/>`, x(low), curveBottom+40, math.Max(2, x(high)-x(low)))
		s.add(`<text x="%.1f" y="%.1f" text-anchor="middle">soak %.0f to %.0f min</text>`, soakTextX(x(low), x(high)), curveBottom+60, w.Soak.LowMin, w.Soak.HighMin)
	}
	s.add(`</svg>`)
	return template.HTML(s.String())
}

// hasSoakBar says whether there is a range of soaks to keep to. Where no soak is
// best, a bar would ask for one all the same.
func hasSoakBar(w model.SummaryWaiting) bool {
	return w.Soak != nil && w.Soak.Verdict != model.NoBestSoak
}

// soakTextX keeps the text under the bar inside the picture.
func soakTextX(low, high float64) float64 {
	const half = 58
	return math.Min(math.Max((low+high)/2, half), curveWidth-half)
}

// drawTypical draws the fitted curve inside the limits that hold nine in ten of
// what the casts allow.
func drawTypical(s *svg, typical []model.TypicalPoint, x, y func(float64) float64) {
	if len(typical) < 2 {
		return
	}
	var upper, lower, middle []string
	for i, p := range typical {
		upper = append(upper, fmt.Sprintf("%.1f,%.1f", x(p.TimeMin), y(p.High90)))
		middle = append(middle, fmt.Sprintf("%.1f,%.1f", x(p.TimeMin), y(p.Waiting)))
		back := typical[len(typical)-1-i]
		lower = append(lower, fmt.Sprintf("%.1f,%.1f", x(back.TimeMin), y(back.Low90)))
	}
	s.add(`<polygon class="doubt" fill="url(#hatch)" points="%s %s"/>`, strings.Join(upper, " "), strings.Join(lower, " "))
	s.add(`<polyline class="typical" points="%s"/>`, strings.Join(middle, " "))
}

// drawSession draws the steps of this session, with a whisker of its limits at
// each minute that brought a bite.
func drawSession(s *svg, survival []model.WaitingPoint, x, y func(float64) float64) {
	points := []string{fmt.Sprintf("%.1f,%.1f", x(0), y(1))}
	before := 1.0
	for _, p := range survival {
		points = append(points, fmt.Sprintf("%.1f,%.1f %.1f,%.1f", x(p.TimeMin), y(before), x(p.TimeMin), y(p.Waiting)))
		before = p.Waiting
		if p.Bites > 0 && p.Low95.Known && p.High95.Known {
			s.add(`<line class="whisker" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, x(p.TimeMin), y(p.High95.Value), x(p.TimeMin), y(p.Low95.Value))
		}
	}
	s.add(`<polyline class="here" points="%s"/>`, strings.Join(points, " "))
}

// tickMin is how far apart the minutes under the curve are written.
func tickMin(longest float64) float64 {
	for _, step := range []float64{1, 2, 5, 10, 20, 30, 60} {
		if longest/step <= 8 {
			return step
		}
	}
	return 120
}

// curveInWords says what the curve shows.
func curveInWords(w model.SummaryWaiting) string {
	words := fmt.Sprintf("Of this session's %d casts %d had a true bite.", w.Casts, w.Bites)
	if n := len(w.Survival); n > 0 {
		last := w.Survival[n-1]
		words += fmt.Sprintf(" Of 100 such casts %s would still wait after %.0f minutes, the longest soak of the session.", inHundred(last.Waiting), last.TimeMin)
	}
	if n := len(w.Typical); n > 1 {
		middle, last := w.Typical[n/2], w.Typical[n-1]
		words += fmt.Sprintf(" In a typical session %s would after %.0f minutes and %s after %.0f.", inHundred(middle.Waiting), middle.TimeMin, inHundred(last.Waiting), last.TimeMin)
	}
	return words + " The table that follows holds every figure."
}

// intervalBar draws the plan's interval as a hatched bar and what came as a
// stroke, both with their numbers.
func intervalBar(p model.SummaryPlan) template.HTML {
	const left, right, top, bottom = 14.0, 306.0, 22.0, 40.0
	longest := math.Max(1, math.Max(float64(p.BitesHigh90), float64(p.Bites.Value)))
	x := func(n int) float64 { return left + (right-left)*float64(n)/longest }
	text := func(at float64) float64 { return math.Min(math.Max(at, 24), 296) }
	var s svg
	s.add(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 320 60" role="img" aria-labelledby="bar-title bar-text">`)
	s.add(`<title id="bar-title">Bites planned and bites that came</title>`)
	s.add(`<desc id="bar-text">The plan's interval runs from %d to %d bites; %d came.</desc>`, p.BitesLow90, p.BitesHigh90, p.Bites.Value)
	s.add(`<defs><pattern id="bar-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><line class="hatch" x1="0" y1="0" x2="0" y2="6"/></pattern></defs>`)
	s.add(`<line class="tick" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, left, bottom, right, bottom)
	s.add(`<rect class="range" fill="url(#bar-hatch)" x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`, x(p.BitesLow90), top, math.Max(2, x(p.BitesHigh90)-x(p.BitesLow90)), bottom-top)
	s.add(`<text x="%.1f" y="56" text-anchor="middle">%d</text>`, x(p.BitesLow90), p.BitesLow90)
	if x(p.BitesHigh90)-x(p.BitesLow90) > 20 {
		s.add(`<text x="%.1f" y="56" text-anchor="middle">%d</text>`, x(p.BitesHigh90), p.BitesHigh90)
	}
	s.add(`<line class="came" x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f"/>`, x(p.Bites.Value), top-4, x(p.Bites.Value), bottom+4)
	s.add(`<text class="strong" x="%.1f" y="13" text-anchor="middle">%d came</text>`, text(x(p.Bites.Value)), p.Bites.Value)
	s.add(`</svg>`)
	return template.HTML(s.String())
}
