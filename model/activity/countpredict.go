package activity

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Predict is the mean and variance of the log rate of a session: x in the order
// of Columns, and a group's name for each factor. A name that the fit has not
// seen adds its factor's own variance and no effect.
func (f CountFit) Predict(x []float64, groups []string) (mean, variance float64, err error) {
	sum, err := f.newCombination(x, groups)
	if err != nil {
		return 0, 0, fmt.Errorf("predict: %w", err)
	}
	for k := range f.Factors {
		sum.add(k, groups[k], 1)
	}
	return sum.mean, sum.variance + f.quadratic(sum.row), nil
}

// Difference is the mean and variance of the log rate of session a less that of
// b. A group that both share falls out, seen or not.
func (f CountFit) Difference(xA []float64, groupsA []string, xB []float64, groupsB []string) (mean, variance float64, err error) {
	if len(xA) != len(xB) || len(groupsA) != len(groupsB) {
		return 0, 0, fmt.Errorf("compare: %d and %d values, %d and %d groups; give as many of each", len(xA), len(xB), len(groupsA), len(groupsB))
	}
	x := make([]float64, len(xA))
	for j := range x {
		x[j] = xA[j] - xB[j]
	}
	sum, err := f.newCombination(x, groupsA)
	if err != nil {
		return 0, 0, fmt.Errorf("compare: %w", err)
	}
	for k := range f.Factors {
		if groupsA[k] != groupsB[k] {
			sum.add(k, groupsA[k], 1)
			sum.add(k, groupsB[k], -1)
		}
	}
	return sum.mean, sum.variance + f.quadratic(sum.row), nil
}

// combination adds up a linear combination of coefficients and effects: row is
// its part in the core, variance what lies outside the core.
type combination struct {
	fit            CountFit
	row            []float64
	mean, variance float64
}

func (f CountFit) newCombination(x []float64, groups []string) (combination, error) {
	if len(x) != len(f.Columns) || len(groups) != len(f.Factors) || !allFinite(x) {
		return combination{}, fmt.Errorf("there are %d values and %d groups for %d columns and %d factors; give one finite value and one name each", len(x), len(groups), len(f.Columns), len(f.Factors))
	}
	c := combination{fit: f, row: make([]float64, f.coreSize())}
	if len(c.row) < len(x)+f.coreLevels() {
		return combination{}, errors.New("a maximum-likelihood fit holds no covariance of its coefficients with its effects; fit with everything integrated")
	}
	copy(c.row, x)
	for j, v := range x {
		c.mean += v * f.Coefficients[j]
	}
	return c, nil
}

// add takes a group of factor k in, times.
func (c *combination) add(k int, group string, times float64) {
	factor := c.fit.Factors[k]
	level, seen := slices.BinarySearch(factor.Levels, group)
	if !seen {
		c.variance += times * times * c.fit.Spread.SDs[k] * c.fit.Spread.SDs[k]
		return
	}
	c.mean += times * factor.Effects[level]
	if k != c.fit.Leaf {
		c.row[c.fit.coreFirst(k)+level] += times
		return
	}
	tie := c.fit.Ties[level]
	c.variance += times * times * tie.Variance
	for i, place := range tie.Places {
		c.row[place] -= times * tie.Values[i]
	}
}

// coreFirst is the place of factor k's first level in the core.
func (f CountFit) coreFirst(k int) int {
	first := f.coreSize() - f.coreLevels()
	for before, factor := range f.Factors[:k] {
		if before != f.Leaf {
			first += len(factor.Levels)
		}
	}
	return first
}

// coreSize is the side of Core.
func (f CountFit) coreSize() int { return int(math.Sqrt(float64(len(f.Core))) + 0.5) }

func (f CountFit) coreLevels() int {
	var levels int
	for k, factor := range f.Factors {
		if k != f.Leaf {
			levels += len(factor.Levels)
		}
	}
	return levels
}

// quadratic is row' Core row over the row's few entries.
func (f CountFit) quadratic(row []float64) float64 {
	var places []int
	for j, v := range row {
		if v != 0 {
			places = append(places, j)
		}
	}
	var sum float64
	for _, j := range places {
		for _, k := range places {
			sum += row[j] * row[k] * f.Core[j*len(row)+k]
		}
	}
	return sum
}

// EffectSDs are the sds of the effects of factor k, by level; given the
// coefficients in a maximum-likelihood fit. A factor that does not exist has none.
func (f CountFit) EffectSDs(k int) []float64 {
	if k < 0 || k >= len(f.Factors) {
		return nil
	}
	out := make([]float64, len(f.Factors[k].Levels))
	size := f.coreSize()
	for l := range out {
		if k != f.Leaf {
			at := f.coreFirst(k) + l
			out[l] = math.Sqrt(f.Core[at*size+at])
			continue
		}
		tie := f.Ties[l]
		variance := tie.Variance
		for i, a := range tie.Places {
			for j, b := range tie.Places {
				variance += tie.Values[i] * tie.Values[j] * f.Core[int(a)*size+int(b)]
			}
		}
		out[l] = math.Sqrt(variance)
	}
	return out
}
