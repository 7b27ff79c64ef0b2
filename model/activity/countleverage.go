package activity

import "math"

// leverage gives (c_i - V/d)' S^-1 (c_l - V/d) + 1/d for rows of one leaf: the
// covariance of their linear predictors.
type leverage struct {
	*laplace
	inverse []float64
	away    []float64 // S^-1 V/d, at the places the leaf touches
	base    float64   // V' S^-1 V/d^2 + 1/d
	means   []float64 // scratch of a session
}

// enter prepares for the rows of a leaf.
func (v *leverage) enter(a int) {
	if v.rows.leaf < 0 {
		v.base = 0
		return
	}
	places, values := v.spread(a)
	d := v.curvLeaf[a]
	v.base = 1 / d
	for i, r := range places {
		row := v.inverse[int(r)*v.size:][:v.size]
		var sum float64
		for j, c := range places {
			sum += row[c] * values[j]
		}
		v.away[r] = sum / d
		v.base += values[i] / d * v.away[r]
	}
}

// between is the covariance of rows i and l of the leaf entered.
func (v *leverage) between(i, l int) float64 {
	p, f := v.rows.columns, len(v.rows.core)
	xi, xl := v.rows.x[i*p:i*p+v.free], v.rows.x[l*p:l*p+v.free]
	gi, gl := v.rows.group[i*f:i*f+f], v.rows.group[l*f:l*f+f]
	sum := v.base
	for j, x := range xi {
		row := v.inverse[j*v.size:][:v.free]
		inner := -v.away[j]
		for k, y := range xl {
			inner += row[k] * y
		}
		sum += x*inner - v.away[j]*xl[j]
	}
	for _, g := range gi {
		row := v.inverse[(v.free+int(g))*v.size:][:v.size]
		inner := -v.away[v.free+int(g)]
		for k, y := range xl {
			inner += row[k] * y
		}
		for _, h := range gl {
			inner += row[v.free+int(h)]
		}
		sum += inner
	}
	for _, h := range gl {
		row := v.inverse[(v.free+int(h))*v.size:][:v.size]
		inner := -v.away[v.free+int(h)]
		for k, x := range xi {
			inner += row[k] * x
		}
		sum += inner
	}
	return sum
}

// session adds one session of the leaf to the slopes. With L the covariance of
// its rows, it needs tr(L W') for the curvature W and W' its derivative in
// alpha and in each row's predictor.
func (v *leverage) session(s, a int, out *slopes) {
	rows, p, f := v.rows, v.rows.columns, len(v.rows.core)
	from, to := int(rows.sessions[s]), int(rows.sessions[s+1])
	c, weight := v.shape(s), rows.weightOf(s)
	v.means = v.means[:0]
	var diagonal, whole float64 // sum of L_ii mu_i, and mu' L mu
	for i := from; i < to; i++ {
		var mean float64
		for l := from; l < to; l++ {
			cov := v.between(i, l)
			mean += cov * v.mu[l]
			if l == i {
				diagonal += cov * v.mu[i]
				v.means = append(v.means, cov)
			}
		}
		whole += v.mu[i] * mean
		v.means = append(v.means, mean)
	}
	out.alphaSum += weight * (v.sums(s).slope(v.alpha) - (c.kByAlpha*diagonal-c.kappaByAlpha*whole)/2)
	u := v.alpha / c.one
	shared := 2*u*c.kappa*whole - u*c.k*diagonal
	for i := from; i < to; i++ {
		cov, mean := v.means[2*(i-from)], v.means[2*(i-from)+1]
		turn := weight * v.mu[i] * (c.k*cov - 2*c.kappa*mean + shared)
		byAlpha := -weight * v.mu[i] * c.kByAlpha
		out.turnLeaf[a] += turn
		out.alphaLeaf[a] += byAlpha
		x := rows.x[i*p : i*p+p]
		if v.free == 0 {
			for j := range x {
				out.beta[j] -= turn * x[j] / 2
			}
			x = nil
		}
		for j, value := range x {
			out.turnCore[j] += turn * value
			out.alphaCore[j] += byAlpha * value
		}
		for _, g := range rows.group[i*f : i*f+f] {
			out.turnCore[v.free+int(g)] += turn
			out.alphaCore[v.free+int(g)] += byAlpha
		}
	}
}

// slope is the derivative of -cost in alpha. Below u = 1e-4 it is a series,
// since the two terms then cancel.
func (t sessionSums) slope(alpha float64) float64 {
	u := alpha * t.m
	if u < 1e-4 {
		return t.m*t.m*(1.0/2-2*u/3+3*u*u/4) - t.y*t.m/(1+u)
	}
	return math.Log1p(u)/(alpha*alpha) - (t.y+1/alpha)*t.m/(1+u)
}
