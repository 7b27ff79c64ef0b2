package main

import "math"

// demoStream is a stream of random numbers that a seed, a kind of thing and
// the number of the thing fix for ever: SplitMix64 (Steele, Lea and Flood
// 2014, Fast splittable pseudorandom number generators, OOPSLA; the finaliser
// is Stafford's variant 13). Each thing has a stream of its own, so that
// drawing more for one changes nothing for another.
type demoStream struct{ state uint64 }

const (
	goldenGamma = 0x9E3779B97F4A7C15 // 2^64 over the golden ratio, odd
	mostDrawn   = 100_000            // bounds a count, whatever its mean
)

func newDemoStream(seed, kind, index uint64) *demoStream {
	return &demoStream{state: mix64(seed+goldenGamma*kind) ^ mix64(index+1)}
}

func mix64(z uint64) uint64 {
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}

func (s *demoStream) next() uint64 {
	s.state += goldenGamma
	return mix64(s.state)
}

func (s *demoStream) uniform() float64 { return unit(s.next()) }

// unit lies strictly between 0 and 1. The largest draw would round to 1, where
// a quantile is infinite.
func unit(x uint64) float64 { return math.Min((float64(x>>11)+0.5)*0x1p-53, 1-0x1p-53) }

// between is even from low to high.
func (s *demoStream) between(low, high float64) float64 { return low + (high-low)*s.uniform() }

// below is a whole number from 0 up to but not including n.
func (s *demoStream) below(n int) int { return min(int(s.uniform()*float64(n)), n-1) }

// normal is the standard normal quantile of one uniform (Wichura 1988,
// algorithm AS 241, as the standard library has it).
func (s *demoStream) normal() float64 { return math.Sqrt2 * math.Erfinv(2*s.uniform()-1) }

// gamma has the shape given, 1 or more, and scale 1 (Marsaglia and Tsang 2000,
// A simple method for generating gamma variables, ACM TOMS 26).
func (s *demoStream) gamma(shape float64) float64 {
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := s.normal()
		v := math.Pow(1+c*x, 3)
		if v > 0 && math.Log(s.uniform()) < x*x/2+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}

// poisson finds one uniform by upward search; a mean of 0 or less gives 0.
func (s *demoStream) poisson(mean float64) int {
	u := s.uniform()
	p := math.Exp(-max(mean, 0))
	n, below := 0, p
	for u > below && n < mostDrawn {
		n++
		p *= mean / float64(n)
		below += p
	}
	return n
}

// binomial counts the successes of n trials.
func (s *demoStream) binomial(n int, chance float64) int {
	count := 0
	for range n {
		if s.uniform() < chance {
			count++
		}
	}
	return count
}

// pick draws the place of one of the weights, each as likely as it is heavy.
func (s *demoStream) pick(weights []float64) int {
	total := 0.0
	for _, w := range weights {
		total += w
	}
	u := s.uniform() * total
	for i, w := range weights {
		if u -= w; u < 0 {
			return i
		}
	}
	return len(weights) - 1
}

// shuffle puts a list in random order (Durstenfeld 1964).
func shuffle[T any](s *demoStream, list []T) {
	for i := len(list) - 1; i > 0; i-- {
		j := s.below(i + 1)
		list[i], list[j] = list[j], list[i]
	}
}

// The kinds of thing that have streams.
const (
	drawAir uint64 = iota + 1
	drawPressureDay
	drawPressureHour
	drawWind
	drawDirection
	drawGust
	drawCloud
	drawRain
	drawThunder
	drawDew
	drawForecast
	drawWaterError
	drawWaterDay
	drawAngler
	drawOutingDay
	drawMatch
	drawSession
	drawFlaw
)

// autoregression gives the values of an AR(1) series at the numbered steps
// from first on: mean 0, the coefficient given, stationary sd 1. It runs in
// over earlier steps, so that a step has the same value, to a hundredth or so,
// wherever the series begins: yesterday's demo and today's share their past.
func autoregression(seed, kind, index uint64, coefficient float64, first, n int) []float64 {
	runIn := int(math.Ceil(math.Log(0.005) / math.Log(coefficient)))
	innovation := math.Sqrt(1 - coefficient*coefficient)
	value := 0.0
	out := make([]float64, 0, n)
	for step := first - runIn; step < first+n; step++ {
		value = coefficient*value + innovation*newDemoStream(seed, kind, index<<32|uint64(uint32(step))).normal()
		if step >= first {
			out = append(out, value)
		}
	}
	return out
}
