package caution

import (
	"math"
	"time"

	"osier/model"
)

// What a reading that is missing is taken to be at the outside; our choice. The
// air differs from the water by no more than this as a mean over hours, so that
// a missing history asks for nothing in a season that settles the matter.
const (
	hottestAirC     = 45
	airAboveWaterC  = 15
	oldWaterMarginC = 3 // water by an old forecast may be this much warmer or colder
	enoughShare     = 0.75
)

// fact is whether something is so, as far as the readings tell.
type fact int

const (
	no fact = iota
	maybe
	yes
)

func (f fact) and(g fact) fact { return min(f, g) }

func (f fact) or(g fact) fact { return max(f, g) }

// isOr makes a fact of what the readings say and of what they leave open.
func isOr(is, could bool) fact {
	switch {
	case is:
		return yes
	case could:
		return maybe
	}
	return no
}

// waterHigh is the upper end of the water's 80 % interval in C: heat of the
// fish is judged by it, the safer caution.
func waterHigh(h model.ConditionHour) (float64, bool) {
	w := h.WaterC
	high := math.Max(w.High, w.Value)
	if w.Kind == "" || w.Kind == model.Missing || math.IsNaN(high) || math.IsInf(high, 0) || math.IsInf(w.Value, 0) {
		return 0, false
	}
	return high, true
}

// waterMayBe is the highest that the water may be: a water made by an old
// forecast clears nothing near a threshold, and one not known clears nothing.
func (o *outing) waterMayBe(h model.ConditionHour) float64 {
	highC, known := waterHigh(h)
	switch {
	case !known:
		return math.Inf(1)
	case o.outdated(h.Weather):
		return highC + oldWaterMarginC
	}
	return highC
}

// waterMayFallTo is the lowest that the water may be.
func (o *outing) waterMayFallTo(h model.ConditionHour) float64 {
	lowC, known := waterLow(h)
	switch {
	case !known:
		return math.Inf(-1)
	case o.outdated(h.Weather):
		return lowC - oldWaterMarginC
	}
	return lowC
}

// whyWater words why the water of an hour clears nothing.
func whyWater(h model.ConditionHour) string {
	if _, known := waterHigh(h); known {
		return "the water is worked out from an old forecast"
	}
	return "no water temperature known"
}

// airFloor is the coldest that an air temperature nobody gave can have been.
func (o *outing) airFloor(h model.ConditionHour) float64 {
	return math.Max(coldestAirC, o.waterMayFallTo(h)-coldestBelowC)
}

// airMayFallTo is the coldest that the air of an hour may be.
func (o *outing) airMayFallTo(h model.ConditionHour) float64 {
	airC, known := finite(h.AirC)
	if !known || o.outdated(h.Weather) {
		floorC := o.airFloor(h)
		if known {
			return math.Min(airC, floorC)
		}
		return floorC
	}
	return airC
}

// stretch sums up a reading over hours on end: what is known, and what the
// hours that are not, or only by an old forecast, might add.
type stretch struct {
	hours, known, sum float64
	least, most       float64 // sums with the unknown at their outside
}

// over adds up a reading over the hours that begin before the end, at least and
// most bounding what is not known.
func (o *outing) over(end time.Time, hours int, get func(model.ConditionHour) (float64, bool), least, most float64) stretch {
	s := stretch{hours: float64(hours)}
	for at := end.Add(-time.Duration(hours) * time.Hour); at.Before(end); at = at.Add(time.Hour) {
		h := o.hour(at)
		v, known := get(h)
		if known {
			s.known++
			s.sum += v
		}
		if known && !o.outdated(h.Weather) {
			s.least += v
			s.most += v
		} else {
			s.least += least
			s.most += most
		}
	}
	return s
}

// enough says whether so many hours are known that they may speak for all.
func (s stretch) enough() bool { return s.known >= enoughShare*s.hours }

func (s stretch) mean() float64 { return s.sum / math.Max(1, s.known) }

func windOf(h model.ConditionHour) (float64, bool) { return finite(h.WindMps) }

func airOf(h model.ConditionHour) (float64, bool) { return finite(h.AirC) }

func rainOf(h model.ConditionHour) (float64, bool) { return finite(h.RainMm) }

// inSeason says whether an hour falls into months of the northern year, six
// months on where the water lies in the south.
func (o *outing) inSeason(at time.Time, first, last time.Month) bool {
	m := at.In(o.loc).Month()
	if o.Water.LatDeg < 0 {
		m = (m+5)%12 + 1
	}
	return first <= m && m <= last
}
