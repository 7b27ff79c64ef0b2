package activity

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
)

const (
	// feedDraws is how many draws of the feed terms stand for their posterior;
	// our choice.
	feedDraws = 1000
	// Of a variance, what is left once other terms have explained theirs: up to
	// spentShare it is rounding, below -wrongShare it is a fault. noVariance is
	// nothing at all on a log scale. Our choice.
	spentShare = 1e-10
	wrongShare = 1e-6
	noVariance = 1e-20
)

// FeedTerms is the posterior of the three feed terms of the model, jointly
// Gaussian: the coefficients of z, z^2 and z t, where z = ln(planned g/h over
// the trade's starting rate before caps) and t = (water C - 12)/5. Means are
// within 1000 of 0 and variances at most 1e6. The covariance is symmetric and
// may be semidefinite: a term that is not fitted has variance 0.
type FeedTerms struct {
	Mean       [3]float64    `json:"mean"`
	Covariance [3][3]float64 `json:"covariance"`
}

// feedRow is what the terms multiply at one level.
type feedRow [3]float64

func newFeedRow(rateGH, startingGH, waterC float64) feedRow {
	z := math.Log(rateGH / startingGH)
	return feedRow{z, z * z, z * feedWarmth(waterC)}
}

func (r feedRow) times(terms [3]float64) float64 {
	return r[0]*terms[0] + r[1]*terms[1] + r[2]*terms[2]
}

// logRatio is the mean and sd of the log of the bite rate at a over that at b.
func (f FeedTerms) logRatio(a, b feedRow) (mean, sd float64) {
	d := feedRow{a[0] - b[0], a[1] - b[1], a[2] - b[2]}
	var variance float64
	for i := range d {
		variance += d[i] * d.times(f.Covariance[i])
	}
	return d.times(f.Mean), math.Sqrt(max(variance, 0))
}

// bestInDraws is, for each of feedDraws draws of the terms, the place of the
// best row. Of equal rows the first is best: give the lighter level first.
func (f FeedTerms) bestInDraws(rows []feedRow, random *rand.Rand) ([]int, error) {
	root, err := f.root()
	if err != nil {
		return nil, err
	}
	best := make([]int, feedDraws)
	if len(rows) == 1 { // it is the best of every draw
		return best, nil
	}
	for d := range best {
		normal := [3]float64{random.NormFloat64(), random.NormFloat64(), random.NormFloat64()}
		terms := f.Mean
		for i := range terms {
			terms[i] += feedRow(root[i]).times(normal)
		}
		for i, row := range rows {
			if row.times(terms) > rows[best[d]].times(terms) {
				best[d] = i
			}
		}
	}
	return best, nil
}

// root is the lower Cholesky factor of the covariance, with a column of zeros
// where nothing is left to explain.
func (f FeedTerms) root() (l [3][3]float64, err error) {
	if err := f.check(); err != nil {
		return l, err
	}
	c := f.Covariance
	for j := range l {
		for i := j; i < len(l); i++ {
			left := c[i][j]
			for k := range j {
				left -= l[i][k] * l[j][k]
			}
			switch {
			case i == j && left > spentShare*c[j][j]+noVariance:
				l[j][j] = math.Sqrt(left)
			case i == j && left < -wrongShare*c[j][j]-noVariance, i != j && l[j][j] == 0 && left*left > c[i][i]*(wrongShare*c[j][j]+2*noVariance):
				return l, errors.New("the covariance of the feed terms is not one: some combination of them would have a negative variance")
			case i != j && l[j][j] > 0:
				l[i][j] = left / l[j][j]
			}
		}
	}
	return l, nil
}

func (f FeedTerms) check() error {
	for i, mean := range f.Mean {
		if !(math.Abs(mean) <= 1000) {
			return fmt.Errorf("feed term %d has mean %g; it must be within 1000 of 0", i+1, mean)
		}
		if v := f.Covariance[i][i]; !(v >= 0 && v <= 1e6) {
			return fmt.Errorf("feed term %d has variance %g; it must be 0 to 1e6", i+1, v)
		}
		for j := range i {
			a, b := f.Covariance[i][j], f.Covariance[j][i]
			if size := math.Sqrt(f.Covariance[i][i] * f.Covariance[j][j]); !(math.Abs(a-b) <= 1e-9*size+noVariance) {
				return fmt.Errorf("feed terms %d and %d have the covariances %g and %g; they must be finite and equal", j+1, i+1, b, a)
			}
		}
	}
	return nil
}
