package activity

import "gonum.org/v1/gonum/stat/distuv"

// What a rate ratio shows.
const (
	FeedNoVisibleDifference = "no_visible_difference"
	FeedNotToldApart        = "not_told_apart"
	FeedDiffers             = "differs"
)

const (
	// tooAlikeLow and tooAlikeHigh bound the ratios nobody would notice; our
	// choice.
	tooAlikeLow  = 0.8
	tooAlikeHigh = 1.25
)

// FeedRatio compares the bite rate at one feed level with that at another.
type FeedRatio struct {
	// AgainstGH is the level compared with, and AgainstUsual tells whether it is
	// the angler's usual one rather than the trade's starting rate before caps.
	AgainstGH    float64 `json:"against_g_h"`
	AgainstUsual bool    `json:"against_usual"`
	// Median of the ratio, the exponential of the mean log ratio, with its 90 %
	// interval; exact for the Gaussian terms, without draws.
	Median float64 `json:"median"`
	Low90  float64 `json:"low_90"`
	High90 float64 `json:"high_90"`
	// ProbabilityMore is the probability that the ratio exceeds 1; 0 where the
	// two levels are the same.
	ProbabilityMore float64 `json:"probability_more"`
	// EValue is that of the median, EValueOfBound that of the interval's end
	// nearer 1, which is 1 where the interval holds 1.
	EValue        float64 `json:"e_value"`
	EValueOfBound float64 `json:"e_value_of_bound"`
	// Finding is no_visible_difference where the interval lies within 0.8 to
	// 1.25, else not_told_apart where it holds 1, else differs.
	Finding string `json:"finding"`
}

// ratio compares rateGH with the question's usual level.
func (q FeedQuestion) ratio(rateGH float64) FeedRatio {
	mean, sd := q.Terms.logRatio(q.row(rateGH), q.row(q.againstGH()))
	out := FeedRatio{
		AgainstGH:    q.againstGH(),
		AgainstUsual: q.UsualGH > 0,
		Median:       boundedExp(mean),
	}
	out.Low90, out.High90 = feedInterval(mean, sd)
	switch {
	case sd > 0:
		out.ProbabilityMore = distuv.UnitNormal.CDF(mean / sd)
	case mean > 0:
		out.ProbabilityMore = 1
	}
	nearer := min(max(1, out.Low90), out.High90)
	// Bounded ratios above 0 always have an E-value.
	out.EValue, _ = EValue(out.Median)
	out.EValueOfBound, _ = EValue(nearer)
	out.Finding = feedFinding(out.Low90, out.High90)
	return out
}

// feedInterval is the 90 % interval of a ratio from its log's mean and sd.
func feedInterval(mean, sd float64) (low, high float64) {
	return boundedExp(mean - normal90*sd), boundedExp(mean + normal90*sd)
}

func feedFinding(low, high float64) string {
	switch {
	case low >= tooAlikeLow && high <= tooAlikeHigh:
		return FeedNoVisibleDifference
	case low <= 1 && high >= 1:
		return FeedNotToldApart
	}
	return FeedDiffers
}
