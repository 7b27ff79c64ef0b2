package activity_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// countForecast is a distribution over a session's bites.
type countForecast interface {
	LogScore(y int) (float64, bool)
	CRPS(y int) (float64, error)
	Quantile(p float64) (int, error)
}

// discretised is the plain baseline's forecast: a log-normal rate cut into
// whole counts. The mean and sd are of the log rate, exposure is in hours.
type discretised struct{ mean, sd, hours float64 }

// atMost is P(count <= y).
func (f discretised) atMost(y int) float64 {
	if y < 0 {
		return 0
	}
	return math.Erfc(-(math.Log((float64(y)+1)/f.hours)-f.mean)/f.sd/math.Sqrt2) / 2
}

func (f discretised) LogScore(y int) (float64, bool) {
	score := -math.Log(f.atMost(y) - f.atMost(y-1))
	return score, !math.IsInf(score, 0) && !math.IsNaN(score)
}

func (f discretised) CRPS(y int) (float64, error) {
	var sum float64
	for k := range 1_000_000 {
		distance := f.atMost(k)
		if k >= y {
			distance = 1 - distance
			if distance < 1e-12 {
				return sum, nil
			}
		}
		sum += distance * distance
	}
	return 0, fmt.Errorf("CRPS of %d: the tail is too long to sum", y)
}

func (f discretised) Quantile(p float64) (int, error) {
	for k := range 1_000_000 {
		if f.atMost(k) >= p {
			return k, nil
		}
	}
	return 0, fmt.Errorf("the quantile at %g is beyond a million", p)
}

// scores are the mean scores of one forecaster and each session's log score.
type scores struct {
	name           string
	logScore, crps float64
	cover90        float64
	infinite       int
	each           []float64
}

// scoreForecasts scores one forecast for each count. CRPS sums hundreds of
// probabilities of each, so without -long it is left at 0.
func scoreForecasts(t *testing.T, name string, counts []int, forecast func(i int) (countForecast, error)) scores {
	t.Helper()
	out, n := scores{name: name}, float64(len(counts))
	for i, y := range counts {
		f, err := forecast(i)
		if err != nil {
			t.Fatalf("%s, session %d: %v", name, i+1, err)
		}
		score, ok := f.LogScore(y)
		if !ok {
			out.infinite++
		}
		if *long {
			crps, err := f.CRPS(y)
			if err != nil {
				t.Fatalf("%s, session %d: %v", name, i+1, err)
			}
			out.crps += crps / n
		}
		out.each = append(out.each, score)
		out.logScore += score / n
		if covers90(t, f, y) {
			out.cover90 += 1 / n
		}
	}
	if out.infinite > 0 {
		t.Errorf("%s: %d sessions have an infinite log score", name, out.infinite)
	}
	return out
}

func (s scores) print(t *testing.T) {
	t.Helper()
	crps := "not computed"
	if *long {
		crps = fmt.Sprintf("%.4f", s.crps)
	}
	t.Logf("%-40s log score %.4f  CRPS %s  90 %% cover %.3f", s.name, s.logScore, crps, s.cover90)
}

// covers90 says whether a count lies in the central 90 % interval.
func covers90(t *testing.T, f countForecast, y int) bool {
	t.Helper()
	low, err := f.Quantile(0.05)
	if err != nil {
		t.Fatal(err)
	}
	high, err := f.Quantile(0.95)
	if err != nil {
		t.Fatal(err)
	}
	return low <= y && y <= high
}

// bootstrapResamples and bootstrapSeed fix the intervals of skill.
const (
	bootstrapResamples = 2000
	bootstrapSeed      = 20250301
)

// blockBootstrap is the mean of paired differences with its 95 % interval.
// Whole blocks are drawn again, since sessions of one water and week share their luck.
func blockBootstrap(differences []float64, block func(i int) [2]int) (mean, low, high float64) {
	at := map[[2]int]int{}
	var sums, counts []float64
	for i, d := range differences {
		b, seen := at[block(i)]
		if !seen {
			b = len(sums)
			at[block(i)] = b
			sums, counts = append(sums, 0), append(counts, 0)
		}
		sums[b] += d
		counts[b]++
		mean += d / float64(len(differences))
	}
	random := rand.New(rand.NewPCG(bootstrapSeed, 0))
	means := make([]float64, bootstrapResamples)
	for r := range means {
		var sum, count float64
		for range sums {
			b := random.IntN(len(sums))
			sum, count = sum+sums[b], count+counts[b]
		}
		means[r] = sum / count
	}
	slices.Sort(means)
	return mean, means[bootstrapResamples*25/1000], means[bootstrapResamples*975/1000-1]
}

func TestTheBlockBootstrapSeesSharedLuck(t *testing.T) {
	// 400 differences in 20 blocks that share their value: the interval must be
	// that of 20 draws, sqrt(20) times as wide as that of 400 alone.
	random := rand.New(rand.NewPCG(1, 0))
	shared := make([]float64, 20)
	for b := range shared {
		shared[b] = random.NormFloat64()
	}
	differences := make([]float64, 400)
	for i := range differences {
		differences[i] = shared[i%20]
	}
	_, low, high := blockBootstrap(differences, func(i int) [2]int { return [2]int{i % 20} })
	_, lowAlone, highAlone := blockBootstrap(differences, func(i int) [2]int { return [2]int{i} })
	if ratio := (high - low) / (highAlone - lowAlone); math.Abs(ratio/math.Sqrt(20)-1) > 0.1 {
		t.Errorf("the interval is %v times as wide in blocks, want about %v", ratio, math.Sqrt(20))
	}
	mean, low, high := blockBootstrap([]float64{2, 2, 2}, func(i int) [2]int { return [2]int{i} })
	if mean != 2 || low != 2 || high != 2 {
		t.Errorf("equal differences give %v (%v to %v), want 2", mean, low, high)
	}
}
