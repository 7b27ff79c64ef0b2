package activity

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
)

// Skill holds the model against one reference over the sessions that both
// forecast.
type Skill struct {
	Reference string `json:"reference"`
	Sessions  int    `json:"sessions"`
	// ImpossibleModel and ImpossibleReference count sessions that were given no
	// chance. With any, LogScore is nil: a mean that holds an infinite score is
	// infinite, and neither is made up for.
	ImpossibleModel     int         `json:"impossible_model"`
	ImpossibleReference int         `json:"impossible_reference"`
	LogScore            *Comparison `json:"log_score"`
	CRPS                *Comparison `json:"crps"`
}

// Comparison is of one score, the smaller the better.
type Comparison struct {
	Model     float64 `json:"model"`
	Reference float64 `json:"reference"`
	// Skill is 1 - Model/Reference.
	Skill float64 `json:"skill"`
	// Gain is the mean paired difference, reference less model, with the 95 %
	// interval of a bootstrap over blocks of one water and one week.
	Gain   float64 `json:"gain"`
	Low95  float64 `json:"low95"`
	High95 float64 `json:"high95"`
	// Verdict is better or worse where the interval excludes 0, and otherwise
	// "cannot be told apart": no skill is claimed.
	Verdict string `json:"verdict"`
}

// The verdicts of a comparison.
const (
	Better       = "better"
	Worse        = "worse"
	NotToldApart = "cannot be told apart"
)

// Resampling: 2,000 draws, and a fixed seed so that the same record gives the
// same interval.
const (
	resamples     = 2000
	bootstrapSeed = 20250302
)

// skillAgainst compares over the sessions that have the reference's score; nil
// comparisons where there is none.
func skillAgainst(reference string, scored []ScoredForecast) Skill {
	out := Skill{Reference: reference}
	var pairs []pair
	for _, s := range scored {
		r, ok := s.References[reference]
		if !ok {
			continue
		}
		out.Sessions++
		if s.Score.Impossible {
			out.ImpossibleModel++
		}
		if r.Impossible {
			out.ImpossibleReference++
		}
		pairs = append(pairs, pair{block: s.block(), model: s.Score, reference: r})
	}
	if out.ImpossibleModel+out.ImpossibleReference == 0 {
		out.LogScore = compareScores(pairs, func(s CountScore) float64 { return s.LogScore })
	}
	out.CRPS = compareScores(pairs, func(s CountScore) float64 { return s.CRPS })
	return out
}

type pair struct {
	block            string
	model, reference CountScore
}

// block is a water's week: sessions of one share the day's weather and the
// water's mood, and are not independent.
func (s ScoredForecast) block() string {
	year, week := s.Start.UTC().ISOWeek()
	return fmt.Sprintf("%d-%02d/%s", year, week, s.Water)
}

func compareScores(pairs []pair, read func(CountScore) float64) *Comparison {
	if len(pairs) == 0 {
		return nil
	}
	var c Comparison
	differences := map[string]*blockSum{}
	for _, p := range pairs {
		model, reference := read(p.model), read(p.reference)
		c.Model += model / float64(len(pairs))
		c.Reference += reference / float64(len(pairs))
		sum := differences[p.block]
		if sum == nil {
			sum = &blockSum{name: p.block}
			differences[p.block] = sum
		}
		sum.total += reference - model
		sum.sessions++
	}
	c.Gain = c.Reference - c.Model
	if c.Reference > 0 {
		c.Skill = 1 - c.Model/c.Reference
	}
	blocks := make([]blockSum, 0, len(differences))
	for _, sum := range differences {
		blocks = append(blocks, *sum)
	}
	slices.SortFunc(blocks, func(a, b blockSum) int { return strings.Compare(a.name, b.name) })
	c.Low95, c.High95 = bootstrapMean(blocks)
	switch {
	case c.Low95 > 0:
		c.Verdict = Better
	case c.High95 < 0:
		c.Verdict = Worse
	default:
		c.Verdict = NotToldApart
	}
	return &c
}

type blockSum struct {
	name     string
	total    float64
	sessions int
}

// bootstrapMean is the 95 % percentile interval of the mean over sessions when
// whole blocks are drawn with replacement. One block says nothing about its own
// spread, and gets an interval around 0.
func bootstrapMean(blocks []blockSum) (low, high float64) {
	if len(blocks) == 1 {
		width := max(blocks[0].total, -blocks[0].total) / float64(blocks[0].sessions)
		return -width, width
	}
	draw := rand.New(rand.NewPCG(bootstrapSeed, uint64(len(blocks))))
	means := make([]float64, resamples)
	for i := range means {
		var total float64
		var sessions int
		for range blocks {
			b := blocks[draw.IntN(len(blocks))]
			total += b.total
			sessions += b.sessions
		}
		means[i] = total / float64(sessions)
	}
	slices.SortFunc(means, cmp.Compare[float64])
	return means[resamples*25/1000], means[resamples*975/1000-1]
}
