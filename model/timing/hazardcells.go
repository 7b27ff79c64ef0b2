package timing

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// pieceStartsMin are where the hazard may change: fine where bites are many, and
// the whole of the trade's range of soaks. Our choice.
var pieceStartsMin = []float64{0, 3, 6, 10, 15, 20}

// cells hold bites and minutes of exposure by session and piece of the hazard.
// They are all that a piecewise-constant hazard can learn from casts.
type cells struct {
	startsMin  []float64
	longestMin float64
	// sessions are in the order of their names; anglers and waters are theirs.
	sessions, anglers, waters []string
	bites, exposureMin        [][]float64
	// waits are in a fixed order, each with the place of its session.
	waits []Wait
	of    []int
}

// newCells sorts waits into sessions, so that the order in which they came
// changes nothing.
func newCells(waits []Wait) (*cells, error) {
	if len(waits) == 0 {
		return nil, errors.New("there are no casts; give at least one")
	}
	c := &cells{waits: slices.Clone(waits)}
	slices.SortFunc(c.waits, func(a, b Wait) int {
		return cmp.Or(strings.Compare(a.Session, b.Session), cmp.Compare(a.ByMin, b.ByMin), cmp.Compare(a.AfterMin, b.AfterMin),
			strings.Compare(a.Angler+"\x00"+a.Water, b.Angler+"\x00"+b.Water), compareBool(a.Bite, b.Bite))
	})
	for i, w := range c.waits {
		if err := w.check(); err != nil {
			return nil, fmt.Errorf("cast of session %q: %w", w.Session, err)
		}
		if i == 0 || w.Session != c.waits[i-1].Session {
			c.sessions, c.anglers, c.waters = append(c.sessions, w.Session), append(c.anglers, w.Angler), append(c.waters, w.Water)
		} else if w.Angler != c.waits[i-1].Angler || w.Water != c.waits[i-1].Water {
			return nil, fmt.Errorf("session %q has casts of angler %q at water %q and of %q at %q; give each angler's session its own name", w.Session, w.Angler, w.Water, c.waits[i-1].Angler, c.waits[i-1].Water)
		}
		c.of = append(c.of, len(c.sessions)-1)
		c.longestMin = max(c.longestMin, w.ByMin)
	}
	for _, start := range pieceStartsMin {
		if start < c.longestMin {
			c.startsMin = append(c.startsMin, start)
		}
	}
	return c, nil
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

func (c *cells) end(j int) float64 {
	return Hazard{StartsMin: c.startsMin, LongestMin: c.longestMin}.end(j)
}

// uncertain says whether a bite is known only to lie in a stretch of time.
func (c *cells) uncertain() bool {
	return slices.ContainsFunc(c.waits, func(w Wait) bool { return w.AfterMin < w.ByMin })
}

// tally fills the cells. Where a bite lies in a stretch of time it is spread
// over it as the hazards of its session (a row for each, by piece) expect: the
// E step of EM for the likelihood log(S(after) - S(by)).
func (c *cells) tally(hazards [][]float64) {
	c.bites, c.exposureMin = c.empty(), c.empty()
	for i, w := range c.waits {
		s := c.of[i]
		bites, exposure := c.bites[s], c.exposureMin[s]
		for j, start := range c.startsMin {
			end := c.end(j)
			exposure[j] += max(0, min(w.AfterMin, end)-start)
			if w.Bite && w.AfterMin == w.ByMin && w.ByMin <= end && (w.ByMin > start || j == 0) {
				bites[j]++
			}
		}
		if w.AfterMin < w.ByMin {
			c.spread(w, hazards[s], bites, exposure)
		}
	}
}

func (c *cells) empty() [][]float64 {
	out := make([][]float64, len(c.sessions))
	for s := range out {
		out[s] = make([]float64, len(c.startsMin))
	}
	return out
}

// spread adds what is expected of a bite after AfterMin and by ByMin.
func (c *cells) spread(w Wait, hazard, bites, exposure []float64) {
	chance, width := make([]float64, len(c.startsMin)), make([]float64, len(c.startsMin))
	waiting, whole := 1.0, 0.0
	for j, start := range c.startsMin {
		width[j] = max(0, min(w.ByMin, c.end(j))-max(w.AfterMin, start))
		chance[j] = waiting * -math.Expm1(-hazard[j]*width[j])
		waiting *= math.Exp(-hazard[j] * width[j])
		whole += chance[j]
	}
	if whole <= 0 { // no hazard at all: anywhere in the stretch
		copy(chance, width)
		whole = w.ByMin - w.AfterMin
	}
	later := whole
	for j := range chance {
		later -= chance[j]
		bites[j] += chance[j] / whole
		exposure[j] += (chance[j]*meanGivenBite(hazard[j], width[j]) + max(0, later)*width[j]) / whole
	}
}

// meanGivenBite is the mean wait in a stretch at a constant hazard, given that
// the bite came in it: 1/h - w/(e^hw - 1).
func meanGivenBite(perMin, width float64) float64 {
	if x := perMin * width; x < 1e-4 {
		return width * (0.5 - x/12) // the series; the next term is of order x^3
	}
	return 1/perMin - width/math.Expm1(perMin*width)
}

// totals are bites and exposure by piece, over all sessions.
func (c *cells) totals() (bites, exposureMin []float64) {
	bites, exposureMin = make([]float64, len(c.startsMin)), make([]float64, len(c.startsMin))
	for s := range c.sessions {
		for j := range c.startsMin {
			bites[j] += c.bites[s][j]
			exposureMin[j] += c.exposureMin[s][j]
		}
	}
	return bites, exposureMin
}

// oneHazard is a first guess for every session: all bites over all minutes.
func (c *cells) oneHazard() [][]float64 {
	bites, minutes := 0.5, 0.0
	for _, w := range c.waits {
		minutes += (w.AfterMin + w.ByMin) / 2
		if w.Bite {
			bites++
		}
	}
	out := c.empty()
	for s := range out {
		for j := range out[s] {
			out[s][j] = bites / minutes
		}
	}
	return out
}
