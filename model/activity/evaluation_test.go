package activity_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/stat/distuv"

	"osier/model/activity"
)

// world is an invented truth: sessions of 4 h at eight waters over two years,
// the log rate normal about its water's, one in a session of its own multiplier.
type world struct{ truth activity.ForecastBasis }

var trueWorld = world{activity.ForecastBasis{LogRateVariance: 0.25, Alpha: 0.5, LandedLogitMean: 0.5, LandedLogitVariance: 0.04}}

// worldSession is one draw and the truth's own forecast of it.
type worldSession struct {
	activity.ScoredForecast
	truth      activity.ForecastBasis
	truthScore activity.CountScore
}

const worldHours = 4

func (w world) draw(t *testing.T, n int) []worldSession {
	t.Helper()
	src := rand.New(rand.NewPCG(7, 11))
	out := make([]worldSession, n)
	for i := range out {
		water := i % 8
		truth := w.truth
		truth.LogRateMean = -0.5 + 0.3*float64(water)
		rate := math.Exp(truth.LogRateMean+math.Sqrt(truth.LogRateVariance)*src.NormFloat64()) *
			distuv.Gamma{Alpha: 1 / truth.Alpha, Beta: 1 / truth.Alpha, Src: src}.Rand()
		bites := int(distuv.Poisson{Lambda: max(rate*worldHours, 1e-9), Src: src}.Rand())
		share := 1 / (1 + math.Exp(-truth.LandedLogitMean-math.Sqrt(truth.LandedLogitVariance)*src.NormFloat64()))
		fish := 0
		for range bites {
			if src.Float64() < share {
				fish++
			}
		}
		score, err := truth.Score(worldHours, bites)
		if err != nil {
			t.Fatal(err)
		}
		out[i] = worldSession{truth: truth, truthScore: score, ScoredForecast: activity.ScoredForecast{
			ID: fmt.Sprintf("s-%04d", i), Water: fmt.Sprintf("water-%d", water), Bites: bites, Fish: fish, FishKnown: true,
			Start: time.Date(2024, 3, 1, 7, 0, 0, 0, time.UTC).Add(time.Duration(i) * 17 * time.Hour),
		}}
	}
	return out
}

// scoredBy holds each session against a forecast, and the truth's as the
// reference "truth".
func scoredBy(t *testing.T, sessions []worldSession, forecast func(truth activity.ForecastBasis) activity.ForecastBasis) []activity.ScoredForecast {
	t.Helper()
	var out []activity.ScoredForecast
	for _, s := range sessions {
		basis := forecast(s.truth)
		one := s.ScoredForecast
		var err error
		if one.Score, err = basis.Score(worldHours, one.Bites); err != nil {
			t.Fatal(err)
		}
		if one.BlankProbability, err = basis.Blank(worldHours); err != nil {
			t.Fatal(err)
		}
		one.References = map[string]activity.CountScore{"truth": s.truthScore}
		out = append(out, one)
	}
	return out
}

func same(truth activity.ForecastBasis) activity.ForecastBasis { return truth }

// narrow is sure of the rate, and of counts that vary no more than chance.
func narrow(truth activity.ForecastBasis) activity.ForecastBasis {
	truth.LogRateMean += truth.LogRateVariance / 2
	truth.LogRateVariance, truth.Alpha = 0.01, 0.02
	return truth
}

func wide(truth activity.ForecastBasis) activity.ForecastBasis {
	truth.LogRateMean -= 0.3
	truth.LogRateVariance = 1.6
	return truth
}

func sunny(truth activity.ForecastBasis) activity.ForecastBasis {
	truth.LogRateMean += 0.4
	return truth
}

func gloomy(truth activity.ForecastBasis) activity.ForecastBasis {
	truth.LogRateMean -= 0.4
	return truth
}

func TestEvaluationTellsGoodForecastsFromBad(t *testing.T) {
	sessions := trueWorld.draw(t, 400)
	for _, c := range []struct {
		name     string
		forecast func(activity.ForecastBasis) activity.ForecastBasis
		findings []string // what must be said; none is good
	}{
		{"the truth", same, nil},
		{"too narrow", narrow, []string{"too narrow", "uniform PIT", "truth forecasts better"}},
		{"too wide", wide, []string{"too wide", "uniform PIT", "truth forecasts better"}},
		{"too many bites", sunny, []string{"uniform PIT", "too many bites", "truth forecasts better"}},
		{"too few bites", gloomy, []string{"uniform PIT", "too few bites", "truth forecasts better"}},
	} {
		e := activity.Evaluate(scoredBy(t, sessions, c.forecast), []string{"truth"})
		if e.Figures == nil {
			t.Fatalf("%s: no figures for %d sessions", c.name, e.Sessions)
		}
		t.Logf("%s: log score %.3f, CRPS %.3f, cover %.3f and %.3f, PIT p %.3g, ratio %.3f, blanks %+v", c.name, *e.Figures.LogScore, e.Figures.CRPS, e.Figures.Cover50, e.Figures.Cover90, e.Figures.PITUniform, *e.Figures.MeanRatio, e.Figures.Blanks)
		said := strings.Join(e.Findings, "; ")
		if c.findings == nil && said != "" {
			t.Errorf("%s: findings %q", c.name, said)
		}
		for _, want := range c.findings {
			if !strings.Contains(said, want) {
				t.Errorf("%s: %q lacks %q", c.name, said, want)
			}
		}
	}
}

func TestBlanksThatNobodyWritesDownAreMissed(t *testing.T) {
	sessions := trueWorld.draw(t, 1000)
	for _, c := range []struct {
		name    string
		dropped int // of ten sessions without fish
		missing bool
	}{{"all written down", 0, false}, {"one in ten left out", 1, false}, {"eight in ten left out", 8, true}, {"none written down", 10, true}} {
		blanks := 0
		kept := slices.DeleteFunc(slices.Clone(sessions), func(s worldSession) bool {
			if s.Fish > 0 {
				return false
			}
			blanks++
			return blanks%10 < c.dropped
		})
		got := activity.Evaluate(scoredBy(t, kept, same), nil)
		if got.Figures.Blanks.Missing != c.missing {
			t.Errorf("%s: %+v, want missing %v", c.name, got.Figures.Blanks, c.missing)
		}
		if said := strings.Contains(strings.Join(got.Findings, ";"), "blanks seem to go unrecorded"); said != c.missing {
			t.Errorf("%s: findings %q", c.name, got.Findings)
		}
	}
	// Fish that were not counted are no blank.
	for i := range sessions {
		sessions[i].FishKnown, sessions[i].Fish = false, 0
	}
	if got := activity.Evaluate(scoredBy(t, sessions, same), nil); got.NoFish != 0 || got.FishKnown != 0 || got.Figures.Blanks != (activity.Blanks{}) {
		t.Errorf("uncounted fish give %+v", got.Figures.Blanks)
	}
}

func TestSkillIsClaimedOnlyWhereItShows(t *testing.T) {
	sessions := trueWorld.draw(t, 600)
	better := scoredBy(t, sessions, same)
	for i := range better {
		poor, err := narrow(sessions[i].truth).Score(worldHours, better[i].Bites)
		if err != nil {
			t.Fatal(err)
		}
		near := sessions[i].truth
		near.LogRateMean += 0.02
		alike, err := near.Score(worldHours, better[i].Bites)
		if err != nil {
			t.Fatal(err)
		}
		better[i].References = map[string]activity.CountScore{"poor": poor, "alike": alike}
		if i%2 == 0 {
			better[i].References["half"] = poor
		}
	}
	e := activity.Evaluate(better, []string{"poor", "alike", "half", "absent"})
	for i, want := range []struct {
		name, verdict string
		sessions      int
	}{{"poor", activity.Better, 600}, {"alike", activity.NotToldApart, 600}, {"half", activity.Better, 300}, {"absent", "", 0}} {
		s := e.Figures.Skill[i]
		if s.Reference != want.name || s.Sessions != want.sessions {
			t.Errorf("skill %d is against %s over %d sessions, want %+v", i, s.Reference, s.Sessions, want)
		}
		if want.verdict == "" {
			if s.LogScore != nil || s.CRPS != nil {
				t.Errorf("against %s there is a comparison", want.name)
			}
			continue
		}
		c := s.LogScore
		if c.Verdict != want.verdict || !(c.Low95 <= c.Gain && c.Gain <= c.High95) || !near(c.Gain, c.Reference-c.Model, 1e-12) || !near(c.Skill, 1-c.Model/c.Reference, 1e-12) {
			t.Errorf("against %s: %+v, want %s", want.name, c, want.verdict)
		}
	}
}

func TestBlockBootstrapAgreesWithTheNormalInterval(t *testing.T) {
	// 400 independent blocks of one: the percentile interval of the mean is
	// about the mean give or take 1.96 sd/sqrt(n). The same differences in 40
	// blocks of ten alike: sqrt(10) times as wide.
	draw := rand.New(rand.NewPCG(3, 5))
	differences := make([]float64, 400)
	for i := range differences {
		differences[i] = 0.2 + draw.NormFloat64()
	}
	width := func(blocks int) float64 {
		scored := make([]activity.ScoredForecast, len(differences))
		for i := range scored {
			block := i % blocks
			scored[i] = activity.ScoredForecast{
				ID: fmt.Sprint(i), Water: fmt.Sprint("w", block), Start: time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC),
				Score:      activity.CountScore{LogScore: 5},
				References: map[string]activity.CountScore{"r": {LogScore: 5 + differences[block]}},
			}
		}
		c := activity.Evaluate(scored, []string{"r"}).Figures.Skill[0].LogScore
		return c.High95 - c.Low95
	}
	if got, want := width(400), 2*1.96/20; math.Abs(got/want-1) > 0.12 {
		t.Errorf("the interval of independent sessions is %.4f wide, want about %.4f", got, want)
	}
	if got, want := width(40), 2*1.96/math.Sqrt(40); math.Abs(got/want-1) > 0.25 {
		t.Errorf("the interval of sessions alike in blocks is %.4f wide, want about %.4f", got, want)
	}
}

func TestAnImpossibleCountIsReported(t *testing.T) {
	scored := scoredBy(t, trueWorld.draw(t, 200), same)
	// A regression that is sure of a thousandth of a bite, and thirty came.
	baseline := activity.Baseline{Solution: activity.Solution{Coefficients: []float64{-7}, Covariance: [][]float64{{0}}, ResidualSD: 0.05}}
	s, err := activity.ScoreCount(baseline.Predict([]float64{1}, 1), 30)
	if err != nil {
		t.Fatal(err)
	}
	if !s.Impossible || s.LogScore != 0 || s.Cover90 {
		t.Errorf("a count of no chance scored %+v", s)
	}
	scored[3].Score = s
	e := activity.Evaluate(scored, []string{"truth"})
	if e.Impossible != 1 || e.Figures.LogScore != nil || e.Figures.Skill[0].LogScore != nil || e.Figures.Skill[0].ImpossibleModel != 1 || e.Figures.Skill[0].CRPS == nil {
		t.Errorf("impossible %d, figures %+v", e.Impossible, e.Figures)
	}
	if len(e.Findings) == 0 || !strings.Contains(e.Findings[0], "1 sessions were given no chance") {
		t.Errorf("findings %q", e.Findings)
	}
}

func TestFewScoredSessionsGiveCountsOnly(t *testing.T) {
	scored := scoredBy(t, trueWorld.draw(t, 100), narrow)
	few := activity.Evaluate(scored[:99], []string{"truth"})
	if few.Figures != nil || len(few.Findings) != 0 || few.Sessions != 99 || few.NoFish == 0 {
		t.Errorf("99 sessions give %+v", few)
	}
	for _, m := range few.Months {
		if m.LogScore != nil || m.CRPS != nil || m.Cover90 != nil {
			t.Errorf("month %s has figures", m.Month)
		}
	}
	if activity.Evaluate(scored, nil).Figures == nil {
		t.Error("100 sessions give no figures")
	}
	if none := activity.Evaluate(nil, []string{"truth"}); none.Sessions != 0 || none.Figures != nil {
		t.Errorf("no sessions give %+v", none)
	}
}

func TestTheOrderOfSessionsChangesNoFigure(t *testing.T) {
	scored := scoredBy(t, trueWorld.draw(t, 300), sunny)
	want := activity.Evaluate(scored, []string{"truth"})
	for range 3 {
		rand.New(rand.NewPCG(1, 2)).Shuffle(len(scored), func(i, j int) { scored[i], scored[j] = scored[j], scored[i] })
		if diff := cmp.Diff(want, activity.Evaluate(scored, []string{"truth"})); diff != "" {
			t.Fatalf("shuffled (-want +got):\n%s", diff)
		}
	}
	var sessions int
	for _, m := range want.Months {
		sessions += m.Sessions
	}
	if sessions != 300 || want.Months[0].Month != "2024-03" {
		t.Errorf("the months hold %d sessions from %s", sessions, want.Months[0].Month)
	}
}

func TestKolmogorovSmirnov(t *testing.T) {
	// Critical values of the limit: 1.2238, 1.3581 and 1.6276 (Smirnov 1948).
	for x, want := range map[float64]float64{1.2238: 0.10, 1.3581: 0.05, 1.6276: 0.01, 0: 1, 0.1: 1, 5: 0} {
		if got := activity.KolmogorovTail(x); !near(got, want, 3e-4) {
			t.Errorf("tail of %v is %v, want %v", x, got, want)
		}
	}
	even := make([]float64, 1000)
	squared := make([]float64, 1000)
	for i := range even {
		even[i] = (float64(i) + 0.5) / 1000
		squared[i] = even[i] * even[i]
	}
	if p := activity.KolmogorovSmirnov(even); p < 0.999 {
		t.Errorf("even values have p %v", p)
	}
	if p := activity.KolmogorovSmirnov(squared); p > 1e-10 {
		t.Errorf("squares have p %v", p)
	}
	ends := activity.PIT{Lower: 0.2, Upper: 0.6}
	if a, b := activity.RandomisedPIT("s-1", ends), activity.RandomisedPIT("s-2", ends); a == b || a < 0.2 || a > 0.6 || a != activity.RandomisedPIT("s-1", ends) {
		t.Errorf("randomised PIT %v and %v", a, b)
	}
}

func TestScoresOfOneForecast(t *testing.T) {
	// The project's statistics notes, scores by 40-digit arithmetic: NB2 with
	// mean 1.2 and theta 1.8, no count. The 90 % interval is 0 to 4.
	basis := activity.ForecastBasis{LogRateMean: math.Log(0.3), Alpha: 1 / 1.8}
	s, err := basis.Score(4, 0)
	if err != nil {
		t.Fatal(err)
	}
	want := activity.CountScore{
		LogScore: 0.9194861227787832, CRPS: 0.49032276859360674, DSS: 1.4131471805599451,
		PIT: activity.PIT{Upper: 0.3987238835693841}, Cover50: true, Cover90: true, Mean: 1.2,
	}
	if diff := cmp.Diff(want, s, cmp.Comparer(func(a, b float64) bool { return near(a, b, 1e-9) })); diff != "" {
		t.Errorf("score (-want +got):\n%s", diff)
	}
	for bites, in := range map[int]bool{0: true, 4: true, 5: false} {
		if s, err := basis.Score(4, bites); err != nil || s.Cover90 != in {
			t.Errorf("%d bites: inside %v, want %v (%v)", bites, s.Cover90, in, err)
		}
	}
	for _, c := range []struct {
		hours float64
		bites int
	}{{0, 1}, {-1, 1}, {201, 1}, {math.NaN(), 1}, {4, -1}} {
		if _, err := basis.Score(c.hours, c.bites); err == nil {
			t.Errorf("%g hours and %d bites were scored", c.hours, c.bites)
		}
	}
	if _, err := basis.Blank(0); err == nil {
		t.Error("no hours have a chance of a blank")
	}
}

func TestCRPSOfAVeryWideForecast(t *testing.T) {
	// Against E|X-y| - E|X-X'|/2 by direct summing to a million (own check).
	for _, c := range []struct{ logMean, variance, alpha float64 }{{math.Log(3), 1.12, 0.83}, {math.Log(0.5), 0.3, 0.55}, {math.Log(40), 0.5, 0}} {
		p, err := activity.NewCountPrediction(c.logMean, c.variance, 4, c.alpha)
		if err != nil {
			t.Fatal(err)
		}
		const y = 7
		var want, below float64
		for k := range 20_000 {
			below += p.Probability(k)
			d := below
			if k >= y {
				d = 1 - below
			}
			want += d * d
		}
		got, err := p.CRPS(y)
		if err != nil || math.Abs(got-want) > 1e-6*want {
			t.Errorf("%+v: CRPS %v, want %v (%v)", c, got, want, err)
		}
	}
}

func TestBaselineScoresAgreeWithItsProbabilities(t *testing.T) {
	baseline := activity.Baseline{Solution: activity.Solution{Coefficients: []float64{0.7}, Covariance: [][]float64{{0.01}}, ResidualSD: 0.9}}
	p := baseline.Predict([]float64{1}, 4)
	for _, y := range []int{0, 1, 8, 60} {
		score, ok := p.LogScore(y)
		if !ok || !near(score, -math.Log(p.Probability(y)), 1e-9) {
			t.Errorf("log score of %d is %v, want %v", y, score, -math.Log(p.Probability(y)))
		}
		var want float64
		for k := range 50_000 {
			d := p.AtMost(k)
			if k >= y {
				d = 1 - d
			}
			want += d * d
		}
		if got, err := p.CRPS(y); err != nil || math.Abs(got-want) > 1e-6 {
			t.Errorf("CRPS of %d is %v, want %v (%v)", y, got, want, err)
		}
	}
	if score, ok := p.LogScore(20_000); !ok || score < 40 {
		t.Errorf("a count far in the tail scores %v, %v", score, ok)
	}
	if _, ok := p.LogScore(-1); ok {
		t.Error("a count below 0 has a log score")
	}
}
