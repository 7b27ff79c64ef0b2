package activity

// slopes are the derivatives of the Laplace approximation at the mode.
type slopes struct {
	logAlpha float64
	logSDs   []float64 // of each factor
	beta     []float64 // where coefficients are held
	// alphaCore and alphaLeaf are how the gradient moves with alpha.
	alphaCore, alphaLeaf []float64
	// turnCore and turnLeaf are the gradient of log|H| in the effects.
	turnCore, turnLeaf []float64
	// alphaSum collects what sessions add to the derivative in alpha at a fixed
	// mode, leafTrace the inverse curvature's diagonal over the leaf.
	alphaSum, leafTrace float64
}

func newSlopes(m *laplace) slopes {
	return slopes{
		logSDs: make([]float64, m.rows.factors()), beta: make([]float64, m.rows.columns),
		alphaCore: make([]float64, m.size), alphaLeaf: make([]float64, len(m.leaf)),
		turnCore: make([]float64, m.size), turnLeaf: make([]float64, len(m.leaf)),
	}
}

func (s *slopes) reset() {
	for _, of := range [][]float64{s.logSDs, s.beta, s.alphaCore, s.alphaLeaf, s.turnCore, s.turnLeaf} {
		clear(of)
	}
	s.alphaSum, s.leafTrace = 0, 0
}

// slope differentiates objective + log|P|/2 - log|H|/2 in log alpha, the log
// sds and held coefficients: what changes at a fixed mode, and what changes
// because the mode moves. The next call overwrites what it returns.
func (m *laplace) slope() *slopes {
	out := &m.slopes
	out.reset()
	lever := leverage{laplace: m, inverse: m.inverse(), away: make([]float64, m.size)}
	for a := range m.leaf {
		lever.enter(a)
		out.leafTrace += lever.base
		for s := m.rows.leaves[a]; s < m.rows.leaves[a+1]; s++ {
			lever.session(int(s), a, out)
		}
	}
	m.fold(out.turnCore, out.turnLeaf)
	m.solve(out.turnCore, out.turnLeaf)
	_, rising := m.rows.rising(m.alpha)
	implicit := dot(out.turnCore, out.alphaCore) + dot(out.turnLeaf, out.alphaLeaf)
	out.logAlpha = m.alpha * (rising + out.alphaSum - implicit/2)
	m.slopeOfSDs(out, lever.inverse)
	if m.free < m.rows.columns {
		m.slopeOfHeld(out)
	}
	return out
}

// slopeOfSDs fills the derivatives in the log sds: u'u/s^2 - q + trace/s^2, less
// the move of the mode, whose gradient changes by 2 u/s^2.
func (m *laplace) slopeOfSDs(out *slopes, inverse []float64) {
	for c, k := range m.rows.core {
		from, to := m.rows.levels(c)
		for g := from; g < to; g++ {
			at, u := m.free+g, m.effects[g]
			out.logSDs[k] += m.corePrec[g]*(u*u+inverse[at*m.size+at]-u*out.turnCore[at]) - 1
		}
	}
	if k := m.rows.leaf; k >= 0 {
		for a, u := range m.leaf {
			out.logSDs[k] += m.leafPrec*(u*u-u*out.turnLeaf[a]) - 1
		}
		out.logSDs[k] += m.leafPrec * out.leafTrace
	}
}

// slopeOfHeld finishes the derivatives in held coefficients: the mode of the
// effects moves by -H^-1 A' W x with them. turn is solved by now.
func (m *laplace) slopeOfHeld(out *slopes) {
	rows, p, f := m.rows, m.rows.columns, len(m.rows.core)
	for a := range m.leaf {
		for s := rows.leaves[a]; s < rows.leaves[a+1]; s++ {
			from, to := int(rows.sessions[s]), int(rows.sessions[s+1])
			shape := m.shape(int(s))
			moved := make([]float64, to-from)
			var mean float64
			for i := range moved {
				moved[i] = out.turnLeaf[a]
				for _, g := range rows.group[(from+i)*f : (from+i)*f+f] {
					moved[i] += out.turnCore[g]
				}
				mean += m.mu[from+i] * moved[i]
			}
			for i, v := range moved {
				mu := m.mu[from+i]
				turned := mu * (shape.k*v - shape.kappa*mean)
				score := float64(rows.bites[from+i]) - shape.k*mu
				for j, x := range rows.x[(from+i)*p : (from+i)*p+p] {
					out.beta[j] += rows.weightOf(int(s)) * x * (score + turned/2)
				}
			}
		}
	}
}

// curve is the shape of a session's curvature k diag(mu) - kappa mu mu' and
// its derivatives in alpha.
type curve struct {
	one, k, kappa          float64
	kByAlpha, kappaByAlpha float64
}

func (m *laplace) shape(s int) curve {
	t, alpha := m.sums(s), m.alpha
	one := 1 + alpha*t.m
	k := (1 + alpha*t.y) / one
	return curve{
		one: one, k: k, kappa: alpha * k / one,
		kByAlpha:     (t.y - t.m) / (one * one),
		kappaByAlpha: (1 + 2*alpha*t.y - alpha*t.m) / (one * one * one),
	}
}

func dot(a, b []float64) float64 {
	var sum float64
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}
