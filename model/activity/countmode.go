package activity

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

const (
	modeRounds = 200
	// modeTolerance is the squared length, in the curvature's own measure, of
	// the Newton step at which the mode is taken as reached; our choice.
	modeTolerance = 1e-10
	// pivotTolerance is the share of a column's curvature that must be left
	// once the columns before it are taken out; our choice.
	pivotTolerance = 1e-11
)

var errNoMode = errors.New("the mode was not reached")

// findMode takes Newton steps with the observed curvature, halved while the
// objective falls. The objective is concave, so there is one mode. It leaves
// gradient, curvature and factor of the mode behind and returns the objective.
func (m *laplace) findMode(tolerance float64) (float64, error) {
	value := m.objective()
	for range modeRounds {
		m.assemble()
		if err := m.factorise(); err != nil {
			return 0, err
		}
		core, leaf := m.stepCore, m.stepLeaf
		copy(core, m.gCore)
		copy(leaf, m.gLeaf)
		m.solve(core, leaf)
		gain := m.length(core, leaf)
		if gain < tolerance {
			return value, nil
		}
		next, ok := m.walk(value, core, leaf)
		if !ok {
			return 0, errNoMode
		}
		m.steps++
		value = next
	}
	return 0, errNoMode
}

// length is g' step: gCore has the leaf's part taken out, so the two parts of
// the squared length are apart.
func (m *laplace) length(core, leaf []float64) float64 {
	var gain float64
	for j, v := range core {
		gain += v * m.gCore[j]
	}
	for a, g := range m.gLeaf {
		gain += g * g / m.curvLeaf[a]
	}
	return gain
}

// walk moves along the step, halving it until the objective does not fall.
func (m *laplace) walk(value float64, core, leaf []float64) (float64, bool) {
	slack := 1e-10 * math.Abs(value)
	m.move(1, core, leaf)
	for share := 1.0; share > 1e-12; share /= 2 {
		if next := m.objective(); next >= value-slack {
			return next, true
		}
		m.move(-share/2, core, leaf)
	}
	return 0, false
}

// move adds share times the step to coefficients and effects.
func (m *laplace) move(share float64, core, leaf []float64) {
	for j := range m.free {
		m.beta[j] += share * core[j]
	}
	for g := range m.effects {
		m.effects[g] += share * core[m.free+g]
	}
	for a := range m.leaf {
		m.leaf[a] += share * leaf[a]
	}
}

// factorise makes the Cholesky factor of the core in place. A coefficient
// without curvature of its own is an error that names its place.
func (m *laplace) factorise() error {
	if m.size == 0 {
		return nil
	}
	before := make([]float64, m.free)
	for j := range before {
		before[j] = m.core[j*m.size+j]
	}
	t, ok := lapack64.Potrf(blas64.Symmetric{Uplo: blas.Lower, N: m.size, Stride: m.size, Data: m.core})
	for j, b := range before {
		if pivot := m.core[j*m.size+j]; !(pivot*pivot > pivotTolerance*b) {
			return pivotError{j}
		}
	}
	if !ok {
		return errors.New("the curvature of the fit cannot be factorised; two factors may be the same")
	}
	m.factor = t
	return nil
}

// pivotError says that a coefficient is determined by those before it.
type pivotError struct{ column int }

func (e pivotError) Error() string {
	return fmt.Sprintf("column %d is constant or determined by those before it", e.column+1)
}

// logDet is the log determinant of the curvature.
func (m *laplace) logDet() float64 {
	var sum float64
	for j := range m.size {
		sum += 2 * math.Log(m.core[j*m.size+j])
	}
	if m.rows.leaf >= 0 {
		for _, d := range m.curvLeaf {
			sum += math.Log(d)
		}
	}
	return sum
}

// inverse is the inverse of the eliminated core, S^-1, whole, in storage that
// the next call overwrites.
func (m *laplace) inverse() []float64 {
	out := m.inverted
	copy(out, m.core)
	if m.size == 0 {
		return out
	}
	lapack64.Potri(blas64.Triangular{Uplo: blas.Lower, Diag: blas.NonUnit, N: m.size, Stride: m.size, Data: out})
	for r := range m.size {
		for c := range r {
			out[c*m.size+r] = out[r*m.size+c]
		}
	}
	return out
}

// solve applies the inverse curvature to (core, leaf), where core has had the
// leaf's part V leaf/d taken out already; both are overwritten.
func (m *laplace) solve(core, leaf []float64) {
	v := blas64.Vector{N: m.size, Data: core, Inc: 1}
	if m.size > 0 {
		blas64.Trsv(blas.NoTrans, m.factor, v)
		blas64.Trsv(blas.Trans, m.factor, v)
	}
	for a := range leaf {
		places, values := m.spread(a)
		for i, j := range places {
			leaf[a] -= values[i] * core[j]
		}
		leaf[a] /= m.curvLeaf[a]
	}
}

// fold takes the leaf's part out of core, as solve wants it.
func (m *laplace) fold(core, leaf []float64) {
	for a, g := range leaf {
		places, values := m.spread(a)
		for i, j := range places {
			core[j] -= values[i] * g / m.curvLeaf[a]
		}
	}
}
