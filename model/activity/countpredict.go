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
	if len(x) != len(f.Columns) || len(groups) != len(f.Factors) || !allFinite(x) {
		return 0, 0, fmt.Errorf("predict: there are %d values and %d groups for %d columns and %d factors; give one finite value and one name each", len(x), len(groups), len(f.Columns), len(f.Factors))
	}
	row := make([]float64, f.coreSize())
	if len(row) < len(x)+f.coreLevels() {
		return 0, 0, errors.New("predict: a maximum-likelihood fit holds no covariance of its coefficients with its effects; fit with everything integrated")
	}
	copy(row, x)
	for j, v := range x {
		mean += v * f.Coefficients[j]
	}
	first := len(x)
	for k, factor := range f.Factors {
		level, seen := slices.BinarySearch(factor.Levels, groups[k])
		switch {
		case !seen:
			variance += f.Spread.SDs[k] * f.Spread.SDs[k]
		case k == f.Leaf:
			tie := f.Ties[level]
			variance += tie.Variance
			for i, place := range tie.Places {
				row[place] -= tie.Values[i]
			}
			mean += factor.Effects[level]
		default:
			row[first+level]++
			mean += factor.Effects[level]
		}
		if k != f.Leaf {
			first += len(factor.Levels)
		}
	}
	return mean, variance + f.quadratic(row), nil
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
	first := size - f.coreLevels()
	for before, factor := range f.Factors[:k] {
		if before != f.Leaf {
			first += len(factor.Levels)
		}
	}
	for l := range out {
		if k != f.Leaf {
			at := first + l
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
