package activity

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

const (
	// feedGrid is the ratio of neighbouring levels; our choice, finer than
	// anybody measures feed.
	feedGrid = 1.1
	// feedEnoughRows is from how many rows of known feed the records may be
	// said to show anything of it; our choice.
	feedEnoughRows = 20
)

// FeedCandidate is a level that could be recommended and the share of draws in
// which no other was better.
type FeedCandidate struct {
	RateGH    float64 `json:"rate_g_h"`
	BestShare float64 `json:"best_share"`
}

// FeedRecommendation is the feed to plan, and what speaks for it.
type FeedRecommendation struct {
	RateGH float64 `json:"rate_g_h"`
	// Quantile is the share of draws asked to have their best level at or below
	// QuantileGH, the level before stepping down to one that cannot be told apart.
	Quantile   float64 `json:"quantile"`
	QuantileGH float64 `json:"quantile_g_h"`
	// Candidates rise; the trade's starting rate under the cap is always one.
	Candidates []FeedCandidate `json:"candidates"`
	// Ratio compares RateGH with the angler's usual level.
	Ratio FeedRatio `json:"ratio"`
	// Rows is how many sessions of known planned feed stand behind it, and TooFew
	// says that the records cannot yet show what feed does: there are fewer than 20.
	Rows   int  `json:"rows"`
	TooFew bool `json:"too_few"`
}

// RecommendFeed chooses among the starting rate under the cap and the supported
// levels of a 10 % grid round the starting rate, none above the cap. Each draw
// of the terms has its best candidate (never the vertex of a parabola, which
// runs off where the curvature is near 0); the costUnder/(costUnder + costOver)
// quantile of those best levels, the critical ratio of ChooseFeed, is then
// lowered candidate by candidate while the 90 % interval of the rate ratio lies
// within 0.8 to 1.25.
//
// That ratio is taken against the quantile's level, not against the neighbour
// above: a single 10 % step is hardly ever visible, so comparing neighbours
// would slide to the lowest level whatever the records say. It is our reading.
//
// Without a supported level the answer is the starting rate, to the gram, or
// the cap where that is lower. The same question has the same answer; Seed
// fixes the draws. A value outside its range is an error.
func RecommendFeed(q FeedQuestion) (FeedRecommendation, error) {
	if err := q.check(); err != nil {
		return FeedRecommendation{}, fmt.Errorf("recommend feed: %w", err)
	}
	quantile, err := q.quantile()
	if err != nil {
		return FeedRecommendation{}, fmt.Errorf("recommend feed: %w", err)
	}
	levels := q.candidates()
	if err := q.share(levels); err != nil {
		return FeedRecommendation{}, fmt.Errorf("recommend feed: %w", err)
	}
	dear := atQuantile(levels, quantile)
	chosen := levels[q.lightestLike(levels, dear)]
	return FeedRecommendation{
		RateGH:     chosen.RateGH,
		Quantile:   quantile,
		QuantileGH: levels[dear].RateGH,
		Candidates: levels,
		Ratio:      q.ratio(chosen.RateGH),
		Rows:       len(q.Tried.Sessions),
		TooFew:     len(q.Tried.Sessions) < feedEnoughRows,
	}, nil
}

// candidates are the levels to choose from, rising.
func (q FeedQuestion) candidates() []FeedCandidate {
	start := q.startGH()
	out := []FeedCandidate{{RateGH: start}}
	first, last := q.gridRange()
	for k := first; k <= last; k++ {
		rate := q.StartingGH * math.Pow(feedGrid, float64(k))
		if same := math.Abs(math.Log(rate/start)) < 1e-9; same || !q.allowed(rate) {
			continue
		}
		if q.supported(rate) {
			out = append(out, FeedCandidate{RateGH: rate})
		}
	}
	slices.SortFunc(out, func(a, b FeedCandidate) int { return cmp.Compare(a.RateGH, b.RateGH) })
	return out
}

// gridRange is the range of grid steps that covers all that was tried; an empty
// one where nothing was.
func (q FeedQuestion) gridRange() (first, last int) {
	if len(q.Tried.Sessions) == 0 {
		return 0, -1
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i := range q.Tried.Sessions {
		logRate := q.Tried.Sessions[i].LogRateGH
		low, high = min(low, logRate), max(high, logRate)
	}
	step, start := math.Log(feedGrid), math.Log(q.StartingGH)
	return int(math.Floor((low - start) / step)), int(math.Ceil((high - start) / step))
}

// share notes in how many draws each level was best.
func (q FeedQuestion) share(levels []FeedCandidate) error {
	rows := make([]feedRow, len(levels))
	for i, level := range levels {
		rows[i] = q.row(level.RateGH)
	}
	best, err := q.Terms.bestInDraws(rows, feedRandom(q.Seed))
	if err != nil {
		return err
	}
	for i, count := range tallyBest(best, len(levels)) {
		levels[i].BestShare = float64(count) / feedDraws
	}
	return nil
}

// tallyBest counts how often each place was best.
func tallyBest(best []int, places int) []int {
	counts := make([]int, places)
	for _, i := range best {
		counts[i]++
	}
	return counts
}

// atQuantile is the first level at which the share of draws whose best level
// is no higher reaches the quantile.
func atQuantile(levels []FeedCandidate, quantile float64) int {
	var below float64
	for i, level := range levels {
		below += level.BestShare
		if below >= quantile-1e-9 {
			return i
		}
	}
	return len(levels) - 1
}

// lightestLike steps down from a level while the lower one cannot be told from it.
func (q FeedQuestion) lightestLike(levels []FeedCandidate, from int) int {
	at, row := from, q.row(levels[from].RateGH)
	for at > 0 {
		mean, sd := q.Terms.logRatio(q.row(levels[at-1].RateGH), row)
		if feedFinding(feedInterval(mean, sd)) != FeedNoVisibleDifference {
			break
		}
		at--
	}
	return at
}
