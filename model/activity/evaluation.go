package activity

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// ScoredForecast is one session, how its forecast fared and how the references'
// forecasts of the same session did.
type ScoredForecast struct {
	ID    string
	Water string
	Start time.Time
	Bites int
	Score CountScore
	// Fish came, where they were counted; BlankProbability was P(no fish).
	Fish             int
	FishKnown        bool
	BlankProbability float64
	// References are by name; one that could not forecast is left out.
	References map[string]CountScore
}

// FewestScored is how many scored sessions it takes before any figure beyond
// counts is given: statistics of fewer say more about luck (our choice).
const FewestScored = 100

// Evaluation is what scored forecasts say of a model.
type Evaluation struct {
	Sessions int `json:"sessions"`
	// NoFish are the sessions without fish among those of which fish were
	// counted.
	NoFish    int `json:"sessions_without_fish"`
	FishKnown int `json:"sessions_fish_counted"`
	// Impossible are the sessions that the forecast gave no chance: their log
	// score is infinite.
	Impossible int `json:"impossible"`
	// Figures are nil below FewestScored sessions.
	Figures *EvaluationFigures `json:"figures"`
	Months  []MonthEvaluation  `json:"months"`
	// Findings are what should worry a reader, in words; none is good.
	Findings []string `json:"findings"`
}

// EvaluationFigures are the figures of many sessions.
type EvaluationFigures struct {
	// LogScore is nil, being infinite, where any session was given no chance.
	LogScore *float64 `json:"log_score"`
	CRPS     float64  `json:"crps"`
	// Cover50 and Cover90 are the shares of counts inside the intervals. Counts
	// are whole, so that a true forecast covers a little more than 0.5 and 0.9.
	Cover50 float64 `json:"cover50"`
	Cover90 float64 `json:"cover90"`
	// PITUniform is the p value of Kolmogorov and Smirnov that the randomised
	// PIT, drawn with PITSeed, is uniform (Czado, Gneiting & Held 2009).
	PITUniform float64 `json:"pit_p"`
	PITSeed    int     `json:"pit_seed"`
	// MeanRatio is the mean count expected over the mean observed; nil where no
	// bite was seen.
	MeanRatio *float64 `json:"mean_expected_over_observed"`
	Blanks    Blanks   `json:"blanks"`
	Skill     []Skill  `json:"skill"`
}

// MonthEvaluation is one month of starts, in UTC; its scores are nil below
// FewestScored sessions, as everything else is.
type MonthEvaluation struct {
	Month    string   `json:"month"`
	Sessions int      `json:"sessions"`
	NoFish   int      `json:"sessions_without_fish"`
	LogScore *float64 `json:"log_score"`
	CRPS     *float64 `json:"crps"`
	Cover90  *float64 `json:"cover90"`
}

// Evaluate sums scored forecasts up, against the named references in their
// order. The order of the sessions changes nothing.
func Evaluate(scored []ScoredForecast, references []string) Evaluation {
	scored = slices.SortedFunc(slices.Values(scored), func(a, b ScoredForecast) int {
		return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.ID, b.ID))
	})
	out := Evaluation{Sessions: len(scored), Months: byMonth(scored), Findings: []string{}}
	for _, s := range scored {
		if s.FishKnown {
			out.FishKnown++
			if s.Fish == 0 {
				out.NoFish++
			}
		}
		if s.Score.Impossible {
			out.Impossible++
		}
	}
	if len(scored) < FewestScored {
		return out
	}
	figures := evaluationFigures(scored)
	for _, reference := range references {
		figures.Skill = append(figures.Skill, skillAgainst(reference, scored))
	}
	out.Figures = &figures
	out.Findings = figures.findings(out.Impossible)
	return out
}

func evaluationFigures(scored []ScoredForecast) EvaluationFigures {
	n := float64(len(scored))
	f := EvaluationFigures{PITSeed: pitSeed, Blanks: compareBlanks(scored), Skill: []Skill{}}
	var expected, observed float64
	pit := make([]float64, len(scored))
	for i, s := range scored {
		f.CRPS += s.Score.CRPS / n
		f.Cover50 += share(s.Score.Cover50) / n
		f.Cover90 += share(s.Score.Cover90) / n
		expected += s.Score.Mean
		observed += float64(s.Bites)
		pit[i] = randomisedPIT(s.ID, s.Score.PIT)
	}
	f.LogScore = meanLogScore(scored)
	f.PITUniform = kolmogorovSmirnov(pit)
	if observed > 0 {
		ratio := expected / observed
		f.MeanRatio = &ratio
	}
	return f
}

func share(in bool) float64 {
	if in {
		return 1
	}
	return 0
}

// meanLogScore is nil where the mean is infinite.
func meanLogScore(scored []ScoredForecast) *float64 {
	var sum float64
	for _, s := range scored {
		if s.Score.Impossible {
			return nil
		}
		sum += s.Score.LogScore
	}
	mean := sum / float64(len(scored))
	return &mean
}

// Bounds of a sound forecast; all our choice. Counts are whole, so that a true
// forecast covers more than nine in ten.
const (
	lowestCover90, highestCover90     = 0.88, 0.98
	lowestPIT                         = 0.01
	lowestMeanRatio, highestMeanRatio = 0.93, 1.07
)

func (f EvaluationFigures) findings(impossible int) []string {
	out := []string{}
	say := func(wrong bool, format string, values ...any) {
		if wrong {
			out = append(out, fmt.Sprintf(format, values...))
		}
	}
	say(impossible > 0, "%d sessions were given no chance at all: the log score is infinite", impossible)
	say(f.Cover90 < lowestCover90, "the 90 %% intervals hold only %.0f in 100 counts: they are too narrow", 100*f.Cover90)
	say(f.Cover90 > highestCover90, "the 90 %% intervals hold %.0f in 100 counts: they are too wide", 100*f.Cover90)
	say(f.PITUniform <= lowestPIT, "counts do not fall where the forecasts say they do (uniform PIT: p = %.2g)", f.PITUniform)
	if f.MeanRatio != nil {
		say(*f.MeanRatio < lowestMeanRatio, "too few bites are expected: %.2f of those that came", *f.MeanRatio)
		say(*f.MeanRatio > highestMeanRatio, "too many bites are expected: %.2f times those that came", *f.MeanRatio)
	}
	say(f.Blanks.Missing, "%d sessions without fish are on record where %.0f were to be expected: blanks seem to go unrecorded, or too many are expected", f.Blanks.Observed, f.Blanks.Expected)
	for _, s := range f.Skill {
		say(s.LogScore != nil && s.LogScore.Verdict == Worse, "%s forecasts better (log score)", s.Reference)
	}
	return out
}

// byMonth parts sessions in order of start.
func byMonth(scored []ScoredForecast) []MonthEvaluation {
	out := []MonthEvaluation{}
	for len(scored) > 0 {
		month := monthOf(scored[0].Start)
		n := slices.IndexFunc(scored, func(s ScoredForecast) bool { return monthOf(s.Start) != month })
		if n < 0 {
			n = len(scored)
		}
		out = append(out, EvaluateMonth(month, scored[:n]))
		scored = scored[n:]
	}
	return out
}

func monthOf(t time.Time) string { return t.UTC().Format("2006-01") }

// EvaluateMonth sums up the sessions of one month, however it was bounded.
func EvaluateMonth(month string, scored []ScoredForecast) MonthEvaluation {
	m := MonthEvaluation{Month: month, Sessions: len(scored)}
	var crps, cover float64
	for _, s := range scored {
		if s.FishKnown && s.Fish == 0 {
			m.NoFish++
		}
		crps += s.Score.CRPS / float64(len(scored))
		cover += share(s.Score.Cover90) / float64(len(scored))
	}
	if len(scored) >= FewestScored {
		m.LogScore, m.CRPS, m.Cover90 = meanLogScore(scored), &crps, &cover
	}
	return m
}
