package water

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"time"
)

const (
	// halfLifeDays is how long a reading takes to lose half of its weight: the
	// best of four tried on five measured lakes (reference pack 2.2).
	halfLifeDays = 15.0

	// readingSdC is how far one reading scatters about the water's persistent
	// error (reference pack 2.2).
	readingSdC = 1.0

	// forgottenDays is the age at which a reading has a millionth of its weight
	// and is left out. Our choice.
	forgottenDays = 20 * halfLifeDays

	// mostDiffC bounds what can be a difference between water and its model. Our
	// choice: wider than any water.
	mostDiffC = 60.0
)

// Residual is what a thermometer says of the model: the reading less the
// estimate for the same hour and depth.
type Residual struct {
	At    time.Time
	DiffC float64 // -60 to 60
	// MemorySdC is what the estimate still held of the error of its start or of a
	// gap (0 to 20 C). That error fades by itself, so a reading that meets it says
	// the less of the one that stays.
	MemorySdC float64
}

// Calibration holds a water's residuals and corrects estimates by them. The
// zero value knows no reading and changes nothing.
type Calibration struct {
	residuals []Residual // in order of time
}

// NewCalibration keeps the residuals, in any order. A residual without an
// instant, or not within 60 C of zero, or of an impossible memory, is an error.
func NewCalibration(residuals []Residual) (Calibration, error) {
	for i, r := range residuals {
		if r.At.IsZero() {
			return Calibration{}, fmt.Errorf("calibration of the water: residual %d has no instant; give the time of the reading", i)
		}
		if err := between("reading less model", r.DiffC, -mostDiffC, mostDiffC, "C"); err != nil {
			return Calibration{}, fmt.Errorf("calibration of the water: residual %d (%s): %w", i, r.At.Format(time.RFC3339), err)
		}
		if err := between("memory of the start", r.MemorySdC, 0, 20, "C"); err != nil {
			return Calibration{}, fmt.Errorf("calibration of the water: residual %d (%s): %w", i, r.At.Format(time.RFC3339), err)
		}
	}
	sorted := slices.Clone(residuals)
	slices.SortStableFunc(sorted, func(a, b Residual) int {
		return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.DiffC, b.DiffC))
	})
	return Calibration{residuals: sorted}, nil
}

// At gives what to add to the model at an instant, in C, and the standard
// deviation in C of what stays wrong for weeks after that. Only readings taken
// by then count, and a reading counts half as much for every 15 days of its
// age. Without any the offset is 0 and the deviation OffsetSdC.
//
// Source: reference pack (water and fish, 2.2), a weighted mean with a prior
// about zero.
func (c Calibration) At(t time.Time) (offsetC, sdC float64) {
	weights, weightedC := 0.0, 0.0
	for i := c.known(t) - 1; i >= 0; i-- {
		ageDays := t.Sub(c.residuals[i].At).Hours() / 24
		if ageDays > forgottenDays {
			break
		}
		w := math.Exp2(-ageDays/halfLifeDays) * c.residuals[i].trust()
		weights += w
		weightedC += w * c.residuals[i].DiffC
	}
	const priorWeight = readingSdC * readingSdC / (OffsetSdC * OffsetSdC)
	return weightedC / (weights + priorWeight), readingSdC / math.Sqrt(weights+priorWeight)
}

// trust is the weight of a reading whose estimate held an error besides the
// persistent one: 1 without, by the ratio of the variances with. Our choice.
func (r Residual) trust() float64 {
	const own = readingSdC * readingSdC
	return own / (own + r.MemorySdC*r.MemorySdC)
}

// known counts the residuals that were there at the instant.
func (c Calibration) known(t time.Time) int {
	return sort.Search(len(c.residuals), func(i int) bool { return c.residuals[i].At.After(t) })
}

// Apply moves an estimate by the offset of its own instant, not below 0, and
// narrows its interval to what the readings leave uncertain. What the bottom
// may be in water under 4 C is settled again.
func (c Calibration) Apply(e Estimate) Estimate {
	if c.known(e.At) == 0 {
		return e
	}
	offsetC, sdC := c.At(e.At)
	e.SurfaceC = math.Max(0, e.SurfaceC+offsetC)
	e.BottomC = math.Max(0, e.BottomC+offsetC)
	e.setInterval(sdC)
	return e
}
