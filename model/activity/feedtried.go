package activity

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

const (
	// feedLogWidth and feedWidthC are the widths of the kernel that says how
	// near two sessions are in log g/h and in C; our choice.
	feedLogWidth = 0.25
	feedWidthC   = 3.0
	// enoughHere and enoughAll are the effective counts of sessions nearby, on
	// the same water or on all, from which a level may be recommended; our choice.
	enoughHere = 8.0
	enoughAll  = 30.0
	// usualSDs is how many residual sds of the plan model a level may lie from
	// what is usually planned; our choice.
	usualSDs = 2.0
)

// NotTriedOften is what is said of a feed level that the records cannot judge.
const NotTriedOften = "not tried often enough to say"

// FeedTried is the feed planned for one session before its first cast. A plan
// entered or changed after the first bite is no plan and does not belong here;
// feed used has no field, because it follows the bites.
type FeedTried struct {
	// Water names the water; a session without a name counts among all waters
	// and on none.
	Water string `json:"water"`
	// WaterC is the modelled water temperature of the session, C; -1 to 45.
	WaterC float64 `json:"water_c"`
	// LogRateGH is the natural log of the planned damp g/h; of 1 to 5000 g/h.
	LogRateGH float64 `json:"log_rate_g_h"`
}

// FeedHistory is what has been tried, and what is usually planned at a water
// temperature. It is made by NewFeedHistory and holds all that it knows in its
// fields, so that it survives JSON.
type FeedHistory struct {
	Sessions []FeedTried   `json:"sessions"`
	Plan     FeedPlanModel `json:"plan"`
}

// FeedSupport says whether a level has been tried often enough near a water
// temperature. Here and All are effective counts of sessions nearby; Usual
// tells whether such a level is planned at such a temperature at all; Why is
// empty where OK.
type FeedSupport struct {
	OK    bool    `json:"ok"`
	Here  float64 `json:"here"`
	All   float64 `json:"all"`
	Usual bool    `json:"usual"`
	Why   string  `json:"why,omitempty"`
}

// NewFeedHistory takes the sessions of known planned feed, in any order; the
// input is copied. No sessions are a history too. With a value outside its range
// among them there is no plan model, so nothing is supported, and whoever asks
// for feed is told which value it was.
func NewFeedHistory(tried []FeedTried) FeedHistory {
	h := FeedHistory{Sessions: slices.Clone(tried)}
	slices.SortFunc(h.Sessions, func(a, b FeedTried) int {
		return cmp.Or(cmp.Compare(a.Water, b.Water), cmp.Compare(a.WaterC, b.WaterC), cmp.Compare(a.LogRateGH, b.LogRateGH))
	})
	if h.check() == nil {
		h.Plan = fitFeedPlan(h.Sessions)
	}
	return h
}

func (h FeedHistory) check() error {
	mostLog := math.Log(5000) // worked out once: a history may be long
	for i := range h.Sessions {
		switch s := &h.Sessions[i]; {
		case !(s.WaterC >= -1 && s.WaterC <= 45):
			return fmt.Errorf("feed tried on %q: water_c is %g; it must be -1 to 45", s.Water, s.WaterC)
		case !(s.LogRateGH >= 0 && s.LogRateGH <= mostLog):
			return fmt.Errorf("feed tried on %q: log_rate_g_h is %g; it must be the natural log of 1 to 5000 g/h", s.Water, s.LogRateGH)
		}
	}
	return h.Plan.check()
}

// Supported tells whether rateGH (damp g/h, above 0) may be recommended at
// waterC: at least 8 sessions nearby on this water or 30 on all, counted as
// (sum k)^2 / sum k^2 (Kish 1965, Survey Sampling, from memory) with the
// Gaussian kernel k of the distance in log g/h and in C, and no more than two
// residual sds from the plan model. A rate or temperature that is no number is
// not supported.
//
// That count does not fall with distance: a heap of sessions far off, all
// weighted alike, would count in full. So the weights themselves must also sum
// to half of the count asked for, which is what records spread evenly over rate
// and temperature give; our choice.
func (h FeedHistory) Supported(water string, waterC, rateGH float64) FeedSupport {
	return h.supported(water, waterC, rateGH, true)
}

// Refused is why a level may not be recommended; empty where it may.
func (h FeedHistory) Refused(water string, waterC, rateGH float64) string {
	return h.supported(water, waterC, rateGH, false).Why
}

// supported counts a level that is not usually planned only where the counts
// are wanted whatever they are: a history may be long.
func (h FeedHistory) supported(water string, waterC, rateGH float64, count bool) FeedSupport {
	logRate := math.Log(rateGH)
	if !isFinite(logRate) || !isFinite(waterC) {
		return FeedSupport{Why: "the rate must be above 0 g/h and the water temperature a number"}
	}
	usual := h.Plan.usual(logRate, waterC)
	if !usual && !count {
		return FeedSupport{Why: NotTriedOften}
	}
	var here, all kernelSum
	for i := range h.Sessions {
		s := &h.Sessions[i]
		rate, warmth := (s.LogRateGH-logRate)/feedLogWidth, (s.WaterC-waterC)/feedWidthC
		k := math.Exp(-(rate*rate + warmth*warmth) / 2)
		all.add(k)
		if s.Water == water && water != "" {
			here.add(k)
		}
	}
	out := FeedSupport{Here: here.count(), All: all.count(), Usual: usual}
	out.OK = out.Usual && (here.enough(enoughHere) || all.enough(enoughAll))
	if !out.OK {
		out.Why = NotTriedOften
	}
	return out
}

// kernelSum gathers weights of 0 to 1.
type kernelSum struct{ sum, squares float64 }

func (s *kernelSum) add(k float64) {
	s.sum += k
	s.squares += k * k
}

// count is the effective count, 0 where the weights are too small for squares.
func (s kernelSum) count() float64 {
	if s.squares == 0 {
		return 0
	}
	return s.sum * s.sum / s.squares
}

// enough bears with rounding: eight sessions at the very level count as eight.
func (s kernelSum) enough(count float64) bool {
	const rounding = 1e-9
	return s.count() >= count-rounding && s.sum >= count/2-rounding
}
