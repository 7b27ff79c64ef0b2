package activity

import "math"

// countSums is the distribution function of a mixture of NB2 counts, summed from
// none on: for the search of quantiles, which lie where there are few.
type countSums struct {
	theta float64
	nodes []sumNode
	known []float64 // P(count <= k) for k from 0
}

// sumNode is one NB2, its probability of the last count added, and what each count
// brings beside the one before.
type sumNode struct{ weight, ratio, probability, below float64 }

const (
	// mostSummed is up to where counts are summed; our choice.
	mostSummed = 256
	// leastLog is the log of a first probability from which the others can still be
	// reached.
	leastLog = -600
)

// newCountSums is false where some first probability is too small to begin with.
func newCountSums(nodes []rateNode, rodHours, theta float64) (*countSums, bool) {
	s := &countSums{theta: theta, nodes: make([]sumNode, len(nodes))}
	for i, n := range nodes {
		mu := rodHours * n.rate
		first := nb2LogPMF(0, mu, theta)
		if first < leastLog {
			return nil, false
		}
		ratio := mu / (mu + theta) // of P(k + 1) to P(k), times (theta + k)/(k + 1): Hilbe 2011, from memory
		if math.IsInf(theta, 1) {
			ratio = mu
		}
		s.nodes[i] = sumNode{weight: n.weight, ratio: ratio, probability: math.Exp(first)}
	}
	return s, true
}

// atMost is P(count <= k) for k from 0 to mostSummed.
func (s *countSums) atMost(k int) float64 {
	for len(s.known) <= k {
		s.add(float64(len(s.known)))
	}
	return s.known[k]
}

// add adds the next count.
func (s *countSums) add(k float64) {
	total := 0.0
	for i := range s.nodes {
		n := &s.nodes[i]
		switch {
		case k == 0:
		case math.IsInf(s.theta, 1):
			n.probability *= n.ratio / k
		default:
			n.probability *= n.ratio * (s.theta + k - 1) / k
		}
		n.below += n.probability
		total += n.weight * n.below
	}
	s.known = append(s.known, min(total, 1))
}
