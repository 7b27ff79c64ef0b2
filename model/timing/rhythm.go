package timing

import (
	"fmt"
	"math"
)

// CastsPerH is how many casts, and so fills of feed, an hour holds when a cast
// without a bite is wound in at soakMin: 60 over the mean cycle. Bites cut cycles
// short or, by their handling, draw them out. Not known past LongestMin.
func (h Hazard) CastsPerH(soakMin float64, handling Handling) (castsPerH float64, ok bool) {
	survival, soaked, ok := h.At(soakMin)
	if !ok || handling.check() != nil {
		return 0, false
	}
	return 60 / handling.CycleMin(survival, soaked), true
}

// SoakForFeed is the soak at which fills of fillG deliver planGH: the mean cycle
// must be 60 fillG / planGH. ok is false where no soak up to LongestMin does: the
// fill is too small for the plan even without soaking, or too large even for the
// longest soak; and for figures that are not above 0. The mean cycle rises with the soak,
// since handling with a bite is no shorter than without.
func (h Hazard) SoakForFeed(fillG, planGH float64, handling Handling) (soakMin float64, ok bool) {
	if !positive(fillG, planGH) || handling.check() != nil {
		return 0, false
	}
	cycle := 60 * fillG / planGH
	short := func(t float64) bool {
		survival, soaked, _ := h.At(t)
		return handling.CycleMin(survival, soaked) <= cycle
	}
	if !short(0) || short(h.LongestMin) {
		return 0, false
	}
	return boundary(short, 0, h.LongestMin), true
}

// Fill is one feeder and what it holds as it is filled.
type Fill struct {
	CapacityMl float64 `json:"capacity_ml"`
	FillG      float64 `json:"fill_g"`
}

// Rhythm is a feeder with the soak that makes it deliver the planned feed.
type Rhythm struct {
	CapacityMl float64 `json:"capacity_ml"`
	FillG      float64 `json:"fill_g"`
	SoakMin    float64 `json:"soak_min"`
	FillsPerH  float64 `json:"fills_per_h"`
	RateGH     float64 `json:"rate_g_h"`
	// Meets tells whether RateGH is the plan's. Where it is not, no feeder meets
	// it inside the soaks allowed, and this comes nearest.
	Meets       bool    `json:"meets"`
	BitesPerMin float64 `json:"bites_per_min"`
	// LostShare is the share of bites per minute lost against the best soak of
	// the range, by this curve. The curve holds the feed fixed: it cannot say what
	// the feed itself brings.
	LostShare float64 `json:"lost_share"`
}

// RhythmCaveat must stand wherever LostShare is shown.
const RhythmCaveat = "By the waiting times alone: they cannot say what more or less feed brings."

// ChooseRhythm picks among fills the feeder and soak that deliver planGH inside a
// range of soaks with the most bites per minute; of equals the smaller feeder.
// Where none delivers it, the one whose rate at an end of the range is nearest
// in log terms, of equals the lighter. The range lies between 0 and LongestMin.
// No fills, or figures out of range, are an error.
func (h Hazard) ChooseRhythm(fills []Fill, planGH float64, handling Handling, within SoakRange) (Rhythm, error) {
	best, err := h.BestSoakWithin(handling, within)
	if err != nil {
		return Rhythm{}, fmt.Errorf("choose rhythm: %w", err)
	}
	if len(fills) == 0 || !positive(planGH) {
		return Rhythm{}, fmt.Errorf("choose rhythm: there are %d feeders for a plan of %g g/h; give at least one feeder and a plan above 0", len(fills), planGH)
	}
	var chosen Rhythm
	for i, fill := range fills {
		if !positive(fill.CapacityMl, fill.FillG) {
			return Rhythm{}, fmt.Errorf("choose rhythm: feeder %d holds %g ml and %g g; give numbers above 0", i+1, fill.CapacityMl, fill.FillG)
		}
		r := h.rhythm(fill, planGH, handling, within)
		if best.BitesPerMin > 0 {
			r.LostShare = 1 - r.BitesPerMin/best.BitesPerMin
		}
		if i == 0 || r.before(chosen, planGH) {
			chosen = r
		}
	}
	return chosen, nil
}

// rhythm is a feeder with the soak that comes nearest to the plan.
func (h Hazard) rhythm(fill Fill, planGH float64, handling Handling, within SoakRange) Rhythm {
	r := Rhythm{CapacityMl: fill.CapacityMl, FillG: fill.FillG}
	soak, ok := h.SoakForFeed(fill.FillG, planGH, handling)
	if !ok { // 60 / cycle falls with the soak, so an end is nearest
		soak = within.LowMin
		if casts, _ := h.CastsPerH(within.LowMin, handling); casts*fill.FillG > planGH {
			soak = within.HighMin
		}
	}
	r.SoakMin = min(max(soak, within.LowMin), within.HighMin)
	r.Meets = ok && r.SoakMin == soak
	r.FillsPerH, _ = h.CastsPerH(r.SoakMin, handling)
	r.RateGH = fill.FillG * r.FillsPerH
	r.BitesPerMin, _ = h.BitesPerMin(r.SoakMin, handling)
	return r
}

// before says whether r is to be taken rather than another.
func (r Rhythm) before(other Rhythm, planGH float64) bool {
	const equal = 1e-9
	if r.Meets != other.Meets {
		return r.Meets
	}
	gain := r.BitesPerMin - other.BitesPerMin
	if !r.Meets {
		gain = math.Abs(math.Log(other.RateGH/planGH)) - math.Abs(math.Log(r.RateGH/planGH))
		if math.Abs(gain) <= equal {
			gain = other.RateGH - r.RateGH
		}
	}
	if math.Abs(gain) <= equal {
		return r.CapacityMl < other.CapacityMl
	}
	return gain > 0
}
