package activity

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas/blas64"
)

// laplace is the joint mode of coefficients and effects at a given spread, and
// the curvature there. Coefficients come first in the core, then the levels of
// the core factors; the leaf's levels stand apart.
type laplace struct {
	rows *countRows
	// free is how many coefficients move with the effects: all, or none where
	// they are held and only the effects are integrated.
	free          int
	priorMean     []float64
	priorPrec     []float64
	alpha         float64
	corePrec      []float64 // of each core level
	leafPrec      float64
	beta          []float64
	effects, leaf []float64

	mu    []float64 // of each row
	means []float64 // of each session, in all; mu itself where each row is one

	size         int       // of the core
	core         []float64 // lower triangle, row after row
	factor       blas64.Triangular
	gCore, gLeaf []float64
	curvLeaf     []float64 // d, the leaf's block
	// spread of a leaf over the core: start into place and value.
	start   []int32
	place   []int32
	value   []float64
	scratch []float64
	// storage of a step and of the inverse.
	stepCore, stepLeaf, inverted []float64
	slopes                       slopes

	steps int // Newton steps taken
}

// effectsOf is where the effects of a factor are kept, by level.
func (m *laplace) effectsOf(factor int) []float64 {
	for c, k := range m.rows.core {
		if k == factor {
			from, to := m.rows.levels(c)
			return m.effects[from:to]
		}
	}
	return m.leaf
}

// sessionSums are a session's counts and means in all, Y and M.
type sessionSums struct{ y, m float64 }

func (m *laplace) sums(s int) sessionSums {
	var y float64
	for i := m.rows.sessions[s]; i < m.rows.sessions[s+1]; i++ {
		y += float64(m.rows.bites[i])
	}
	return sessionSums{y, m.means[s]}
}

// newLaplace starts at the prior mean, with the intercept at the observed rate
// where nothing else is known.
func newLaplace(rows *countRows, free int, priors CountPriors) *laplace {
	p := rows.columns
	n := len(rows.offset)
	leaves := len(rows.leaves) - 1
	m := &laplace{
		rows: rows, free: free, size: free + rows.groups,
		priorMean: make([]float64, p), priorPrec: make([]float64, p),
		corePrec: make([]float64, rows.groups),
		beta:     make([]float64, p), effects: make([]float64, rows.groups), leaf: make([]float64, leaves),
		mu:    make([]float64, n),
		gLeaf: make([]float64, leaves), curvLeaf: make([]float64, leaves),
	}
	for j := range priors.Mean {
		m.priorMean[j], m.priorPrec[j] = priors.Mean[j], 1/(priors.SD[j]*priors.SD[j])
	}
	copy(m.beta, m.priorMean)
	m.means = m.mu
	if rows.count() < n {
		m.means = make([]float64, rows.count())
	}
	m.core, m.inverted = make([]float64, m.size*m.size), make([]float64, m.size*m.size)
	m.gCore, m.scratch = make([]float64, m.size), make([]float64, m.size)
	m.stepCore, m.stepLeaf = make([]float64, m.size), make([]float64, leaves)
	m.slopes = newSlopes(m)
	m.mapSpread()
	return m
}

// mapSpread lists, for each leaf, the places of the core that its rows touch.
func (m *laplace) mapSpread() {
	rows, f := m.rows, int32(len(m.rows.core))
	for a := range m.leaf {
		m.start = append(m.start, int32(len(m.place)))
		for j := range m.free {
			m.place = append(m.place, int32(j))
		}
		from, to := rows.sessions[rows.leaves[a]], rows.sessions[rows.leaves[a+1]]
		touched := slices.Clone(rows.group[from*f : to*f])
		slices.Sort(touched)
		for _, g := range slices.Compact(touched) {
			m.place = append(m.place, int32(m.free)+g)
		}
	}
	m.start = append(m.start, int32(len(m.place)))
	m.value = make([]float64, len(m.place))
}

// hold sets the spread; factors without any sd, as in a plain regression, are
// allowed.
func (m *laplace) hold(spread CountSpread) {
	m.alpha = spread.Alpha
	for c, k := range m.rows.core {
		from, to := m.rows.levels(c)
		for g := from; g < to; g++ {
			m.corePrec[g] = 1 / (spread.SDs[k] * spread.SDs[k])
		}
	}
	if m.rows.leaf >= 0 {
		m.leafPrec = 1 / (spread.SDs[m.rows.leaf] * spread.SDs[m.rows.leaf])
	}
}

// objective is the log-likelihood less the prior's pull, without the terms that
// counts and spread fix; it leaves the mean of each row behind. The exponent is
// held within -30 to 30, so that no mean overflows.
func (m *laplace) objective() float64 {
	rows, p, f := m.rows, m.rows.columns, len(m.rows.core)
	var total float64
	for a, leaf := range m.leaf {
		for s := rows.leaves[a]; s < rows.leaves[a+1]; s++ {
			var sum, like, bites float64
			for i := int(rows.sessions[s]); i < int(rows.sessions[s+1]); i++ {
				eta := rows.offset[i] + leaf
				x := rows.x[i*p : i*p+p]
				for j, b := range m.beta {
					eta += b * x[j]
				}
				for _, g := range rows.group[i*f : i*f+f] {
					eta += m.effects[g]
				}
				eta = min(max(eta, -30), 30)
				mu := math.Exp(eta)
				m.mu[i] = mu
				sum += mu
				like += float64(rows.bites[i]) * eta
				bites += float64(rows.bites[i])
			}
			m.means[s] = sum
			total += rows.weightOf(int(s)) * (like - sessionSums{bites, sum}.cost(m.alpha))
		}
	}
	return total - m.penalty()
}

// cost is (Y + 1/alpha) ln(1 + alpha M), which is M at alpha 0.
func (t sessionSums) cost(alpha float64) float64 {
	u := alpha * t.m
	if u < 1e-5 {
		return t.m*(1-u/2+u*u/3) + t.y*math.Log1p(u)
	}
	return (t.y + 1/alpha) * math.Log1p(u)
}

func (m *laplace) penalty() float64 {
	var squares float64
	for j := range m.free {
		d := m.beta[j] - m.priorMean[j]
		squares += m.priorPrec[j] * d * d
	}
	for g, u := range m.effects {
		squares += m.corePrec[g] * u * u
	}
	for _, u := range m.leaf {
		squares += m.leafPrec * u * u
	}
	return squares / 2
}

// assemble builds the gradient and the observed curvature at the means that
// objective left behind, with the leaf eliminated: minus the Hessian of a
// session is k diag(mu) - kappa mu mu', k = (1 + alpha Y)/(1 + alpha M) and
// kappa = alpha k/(1 + alpha M).
func (m *laplace) assemble() {
	rows, p, f := m.rows, m.rows.columns, len(m.rows.core)
	clear(m.core)
	clear(m.gCore)
	for a := range m.leaf {
		clear(m.scratch)
		var d, gLeaf float64
		for s := rows.leaves[a]; s < rows.leaves[a+1]; s++ {
			from, to := int(rows.sessions[s]), int(rows.sessions[s+1])
			c, weight := m.shape(int(s)), rows.weightOf(int(s))
			single := to-from == 1
			for i := from; i < to; i++ {
				x, groups := rows.x[i*p:i*p+m.free], rows.group[i*f:i*f+f]
				kmu := weight * c.k * m.mu[i]
				r, w := weight*float64(rows.bites[i])-kmu, kmu/c.one
				d += w
				gLeaf += r
				for j, v := range x {
					m.gCore[j] += r * v
					m.scratch[j] += w * v
				}
				for _, g := range groups {
					m.gCore[m.free+int(g)] += r
					m.scratch[m.free+int(g)] += w
				}
				if !single {
					w = kmu
				}
				m.addOuter(x, groups, w)
			}
			if !single {
				m.takeSession(int(s), weight*c.kappa)
			}
		}
		m.closeLeaf(a, d, gLeaf)
	}
	for j := range m.size {
		prec, u := m.priorAt(j)
		m.core[j*m.size+j] += prec
		m.gCore[j] -= prec * u
	}
}

// priorAt is the precision of a place in the core and its distance from its mean.
func (m *laplace) priorAt(j int) (precision, distance float64) {
	if j < m.free {
		return m.priorPrec[j], m.beta[j] - m.priorMean[j]
	}
	return m.corePrec[j-m.free], m.effects[j-m.free]
}

// addOuter adds w c c' for a row c of the core.
func (m *laplace) addOuter(x []float64, groups []int32, w float64) {
	for j, v := range x {
		to := m.core[j*m.size : j*m.size+j+1]
		wv := w * v
		for k := range to {
			to[k] += wv * x[k]
		}
	}
	for a, g := range groups {
		to := m.core[(m.free+int(g))*m.size:][:m.size]
		for j, v := range x {
			to[j] += w * v
		}
		for _, h := range groups[:a+1] {
			to[m.free+int(h)] += w
		}
	}
}

// takeSession takes kappa b b' away, b being the session's means over the core.
func (m *laplace) takeSession(s int, kappa float64) {
	rows, p, f := m.rows, m.rows.columns, len(m.rows.core)
	from, to := int(rows.sessions[s]), int(rows.sessions[s+1])
	for i := from; i < to; i++ {
		for l := from; l < to; l++ {
			w := kappa * m.mu[i] * m.mu[l]
			xi, xl := rows.x[i*p:i*p+m.free], rows.x[l*p:l*p+m.free]
			for j, v := range xi {
				for k := range j + 1 {
					m.core[j*m.size+k] -= w * v * xl[k]
				}
			}
			for _, g := range rows.group[i*f : i*f+f] {
				at := (m.free + int(g)) * m.size
				for k, v := range xl {
					m.core[at+k] -= w * v
				}
				for _, h := range rows.group[l*f : l*f+f] {
					if h <= g {
						m.core[at+m.free+int(h)] -= w
					}
				}
			}
		}
	}
}

// closeLeaf takes V V'/d away from the core and V g/d from its gradient. Without
// a leaf factor the one leaf has no effect and nothing is taken.
func (m *laplace) closeLeaf(a int, d, gLeaf float64) {
	places, values := m.spread(a)
	if m.rows.leaf < 0 {
		m.curvLeaf[a], m.gLeaf[a] = math.Inf(1), 0
		clear(values)
		return
	}
	d += m.leafPrec
	gLeaf -= m.leafPrec * m.leaf[a]
	m.curvLeaf[a], m.gLeaf[a] = d, gLeaf
	for i, row := range places {
		values[i] = m.scratch[row]
		share := values[i] / d
		m.gCore[row] -= share * gLeaf
		to := m.core[int(row)*m.size:][:m.size]
		for j, column := range places[:i+1] {
			to[column] -= share * values[j]
		}
	}
}

func (m *laplace) spread(a int) (places []int32, values []float64) {
	return m.place[m.start[a]:m.start[a+1]], m.value[m.start[a]:m.start[a+1]]
}
