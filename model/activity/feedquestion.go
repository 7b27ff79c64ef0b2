package activity

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// What a g/h above the unknown best level costs against one below it: feed
// cannot be taken out again. Our choice, a setting shown to the angler.
const (
	FeedCostOver  = 3.0
	FeedCostUnder = 1.0
)

// feedStream parts the draws for feed from others of the same seed.
const feedStream = 0x66656564

// FeedQuestion asks for the feed of one session to come. Rates are damp g/h on
// one fed line.
type FeedQuestion struct {
	Terms FeedTerms   `json:"terms"`
	Tried FeedHistory `json:"tried"`
	Water string      `json:"water"`
	// WaterC is the water temperature expected, C; -1 to 45.
	WaterC float64 `json:"water_c"`
	// StartingGH is the trade's starting rate before caps; 1 to 5000.
	StartingGH float64 `json:"starting_g_h"`
	// CapGH is what no level may exceed, up to 5000; 0 where there is no cap.
	CapGH float64 `json:"cap_g_h"`
	// UsualGH is what this angler usually plans at this temperature, 1 to 5000;
	// 0 where it is not known.
	UsualGH float64 `json:"usual_g_h"`
	// CostOver and CostUnder are above 0; only their ratio counts. The trial
	// has no use for them.
	CostOver  float64 `json:"cost_over"`
	CostUnder float64 `json:"cost_under"`
	Seed      uint64  `json:"seed"`
}

func (q FeedQuestion) check() error {
	within := func(v, low, high float64) bool { return v >= low && v <= high }
	switch {
	case !within(q.WaterC, -1, 45):
		return fmt.Errorf("water_c is %g; it must be -1 to 45", q.WaterC)
	case !within(q.StartingGH, 1, 5000):
		return fmt.Errorf("starting_g_h is %g; it must be 1 to 5000", q.StartingGH)
	case !within(q.CapGH, 0, 5000):
		return fmt.Errorf("cap_g_h is %g; it must be above 0 and at most 5000, or 0 for no cap", q.CapGH)
	case q.UsualGH != 0 && !within(q.UsualGH, 1, 5000):
		return fmt.Errorf("usual_g_h is %g; it must be 1 to 5000, or 0 where it is not known", q.UsualGH)
	}
	return q.Tried.check()
}

// quantile is the share of draws whose best level may lie below the plan.
func (q FeedQuestion) quantile() (float64, error) {
	share := q.CostUnder / (q.CostUnder + q.CostOver)
	if !(q.CostOver > 0) || !(q.CostUnder > 0) || !(share > 0 && share < 1) {
		return 0, fmt.Errorf("cost_over is %g and cost_under %g; both must be above 0 and of a like size", q.CostOver, q.CostUnder)
	}
	return share, nil
}

// againstGH is the level that others are compared with.
func (q FeedQuestion) againstGH() float64 {
	if q.UsualGH > 0 {
		return q.UsualGH
	}
	return q.StartingGH
}

// allowed tells whether the cap lets a level pass.
func (q FeedQuestion) allowed(rateGH float64) bool { return q.CapGH == 0 || rateGH <= q.CapGH }

func (q FeedQuestion) row(rateGH float64) feedRow {
	return newFeedRow(rateGH, q.StartingGH, q.WaterC)
}

// supported tells whether a level is tried often enough.
func (q FeedQuestion) supported(rateGH float64) bool {
	return q.Tried.Refused(q.Water, q.WaterC, rateGH) == ""
}

func feedRandom(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, feedStream)) }

// startGH is the starting rate under the cap.
func (q FeedQuestion) startGH() float64 {
	if q.CapGH > 0 {
		return math.Min(q.StartingGH, q.CapGH)
	}
	return q.StartingGH
}
