package activity_test

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mathext"
)

// drawStream is SplitMix64 (Steele, Lea and Flood, OOPSLA 2014).
type drawStream struct{ state uint64 }

const goldenStep = 0x9E3779B97F4A7C15

func mix64(z uint64) uint64 {
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}

// newStream gives each thing drawn, by kind and index, a stream of its own.
func newStream(seed, kind, index uint64) *drawStream {
	return &drawStream{mix64(seed+goldenStep*kind) ^ mix64(index+1)}
}

func (s *drawStream) next() uint64 {
	s.state += goldenStep
	return mix64(s.state)
}

// uniform is between 0 and 1, both excluded.
func (s *drawStream) uniform() float64 { return (float64(s.next()>>11) + 0.5) / (1 << 53) }

func (s *drawStream) normal(mean, sd float64) float64 {
	return mean + sd*mathext.NormalQuantile(s.uniform())
}

// gamma has the given shape, 1 or more, and scale 1 (Marsaglia and Tsang, ACM
// TOMS 26, 2000).
func (s *drawStream) gamma(shape float64) float64 {
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := s.normal(0, 1)
		v := math.Pow(1+c*x, 3)
		u := s.uniform()
		if v > 0 && math.Log(u) < x*x/2+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}

// poisson takes one uniform and searches upwards.
func (s *drawStream) poisson(mean float64) int {
	u, p := s.uniform(), math.Exp(-mean)
	below, k := p, 0
	for top := int(mean + 40*math.Sqrt(mean) + 100); u > below && k < top; {
		k++
		p *= mean / float64(k)
		below += p
	}
	return k
}

// toStep rounds to a multiple of step, halves upwards.
func toStep(x, step float64) float64 { return math.Floor(x/step+0.5) * step }

func clamp(x, low, high float64) float64 { return min(high, max(low, x)) }

// cumulativeShares turn weights into a distribution function.
func cumulativeShares(n int, weight func(int) float64) []float64 {
	out := make([]float64, n)
	var total float64
	for i := range out {
		total += weight(i)
		out[i] = total
	}
	for i := range out {
		out[i] /= total
	}
	return out
}

func pick(cumulative []float64, u float64) int {
	at, _ := slices.BinarySearch(cumulative, u)
	return min(at, len(cumulative)-1)
}

func TestTheStreamsAreTheSpecifiedOnes(t *testing.T) {
	// The project's statistics notes, section 7; the first is also the published
	// first output of SplitMix64.
	if got := (&drawStream{}).next(); got != 0xe220a8397b1dcdaf {
		t.Errorf("state 0 gives %#x, want 0xe220a8397b1dcdaf", got)
	}
	s := newStream(20250301, 4, 0)
	for _, want := range []float64{0.8842662188488959, 0.6738719222343292} {
		if got := s.uniform(); got != want {
			t.Errorf("the stream gives %v, want %v", got, want)
		}
	}
}
