package activity

import "math"

// rateNode is a rate per hour, or a share of one, and the probability that it
// stands for.
type rateNode struct{ rate, weight float64 }

const (
	// gridReach is how many sds a grid goes each way; what lies beyond is 2e-9
	// of the whole.
	gridReach = 6
	// finestTheta is the theta from which on the grid grows no finer: at 400
	// the multiplier's log has sd 0.05, and a count of 400 blurs as much.
	finestTheta = 400
	// mostNodesEachWay bounds the work where the variance is absurd.
	mostNodesEachWay = 300
	// shareNodesEachWay are the nodes of the share's logit, a quarter of an sd
	// apart. More of them cost nothing once thinned has merged them.
	shareNodesEachWay = 24
	// narrowSD is the sd of the log rate under which shares and log rates are
	// paired node by node: a grid that fine over all shares would be longer.
	narrowSD = 0.02
	// negligibleWeight is the weight under which a node is left out; all of
	// them together are under 2e-9.
	negligibleWeight = 1e-12
)

// rateGrid stands for a log rate, normal about its mean, by evenly spaced
// points. For smooth functions of a normal the plain sum is right to about
// exp(-2 (pi width/step)^2) where width is that of their narrowest feature
// (Trefethen & Weideman 2014, SIAM Review 56, from memory). Here that is the
// session's multiplier, 1/sqrt(theta) on the log scale: twenty Gauss-Hermite
// nodes step over it once theta passes about ten, and their distribution
// function then is a staircase, wrong by up to 0.04.
type rateGrid struct {
	sd, step float64 // of the log rate; step in sds
	eachWay  int
}

func newRateGrid(sd, theta float64) rateGrid {
	width := 1 / math.Sqrt(min(theta, finestTheta))
	step := min(0.5, width/sd)
	n := min(math.Ceil(gridReach/step), mostNodesEachWay)
	return rateGrid{sd: sd, step: gridReach / n, eachWay: int(n)}
}

// nodes are the rates of the grid about a mean log rate.
func (g rateGrid) nodes(mean float64) []rateNode {
	out := make([]rateNode, 0, 2*g.eachWay+1)
	for i := -g.eachWay; i <= g.eachWay; i++ {
		z := float64(i) * g.step
		out = append(out, rateNode{boundedExp(mean + g.sd*z), math.Exp(-z * z / 2)})
	}
	return normalised(out)
}

// thinned are the rates of what is landed. The log of rate times share is a
// mixture of normals, one about each share, and one grid over it serves them
// all: some thirty nodes for a thousand pairs.
func (g rateGrid) thinned(mean float64, shares []rateNode) []rateNode {
	var out []rateNode
	if g.sd < narrowSD {
		for _, n := range g.nodes(mean) {
			for _, s := range shares {
				out = append(out, rateNode{n.rate * s.rate, n.weight * s.weight})
			}
		}
		return normalised(out)
	}
	logs := make([]float64, len(shares))
	for j, s := range shares {
		logs[j] = math.Log(s.rate)
	}
	step, most := g.sd*g.step, logs[len(logs)-1]
	reach := most - logs[0] + 2*gridReach*g.sd
	low := logs[0] - gridReach*g.sd
	for i := range int(reach/step) + 2 {
		y := low + float64(i)*step
		var density float64
		for j, s := range shares {
			z := (y - logs[j]) / g.sd
			density += s.weight * math.Exp(-z*z/2)
		}
		out = append(out, rateNode{boundedExp(mean+y-most) * shares[len(shares)-1].rate, density})
	}
	return normalised(out)
}

// shareNodes are shares, rising, at evenly spaced points of their logit.
func shareNodes(mean, variance float64) []rateNode {
	out := make([]rateNode, 0, 2*shareNodesEachWay+1)
	for i := -shareNodesEachWay; i <= shareNodesEachWay; i++ {
		z := gridReach * float64(i) / shareNodesEachWay
		out = append(out, rateNode{logistic(mean + math.Sqrt(variance)*z), math.Exp(-z * z / 2)})
	}
	return normalised(out)
}

// normalised makes the weights add up to 1 and leaves the negligible ones out.
func normalised(nodes []rateNode) []rateNode {
	var sum float64
	for _, n := range nodes {
		sum += n.weight
	}
	kept := nodes[:0]
	for _, n := range nodes {
		if n.weight /= sum; n.weight > negligibleWeight {
			kept = append(kept, n)
		}
	}
	return kept
}
