package water

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

// LineReadings is how many readings a line needs: fewer make one that harms
// (reference pack, water and fish, 2.2).
const LineReadings = 30

// The ridge line's other constants (reference pack, water and fish, 2.2).
const (
	lineSeasons   = 2 // of the four meteorological ones
	lineMiddleC   = 15.0
	lineReadingC  = 1.5  // scatter of a reading about the line
	lineShiftSdC  = 1.0  // prior of the shift
	lineTiltSd    = 0.03 // prior of the tilt, C per C
	monthsASeason = 3
)

// Pair is a reading with the model's figure for the same hour and depth.
type Pair struct {
	At       time.Time
	ModelC   float64 // 0 to 100
	ReadingC float64 // 0 to 100
}

// Line corrects a model that errs in one way for years: the water is at
// model + ShiftC + Tilt (model - 15). The zero value changes nothing.
type Line struct {
	ShiftC   float64 `json:"shift_c"`
	Tilt     float64 `json:"tilt"`     // C per C
	Readings int     `json:"readings"` // that it rests on
}

// FitLine fits the line by ridge regression, shrunk towards no correction. There
// is none (false) with fewer than 30 readings, with readings in one season of the
// year only, or where the readings themselves do not show that it helps: see
// helps. An impossible temperature, or a reading without an instant, is an error.
// Source: reference pack (water and fish, 2.2).
func FitLine(pairs []Pair) (line Line, ok bool, err error) {
	ofYear := map[int]bool{}
	for i, p := range pairs {
		if err := p.validate(); err != nil {
			return Line{}, false, fmt.Errorf("line of the water: pair %d: %w", i, err)
		}
		ofYear[p.season()%lineSeasonsAYear] = true
	}
	if len(pairs) < LineReadings || len(ofYear) < lineSeasons {
		return Line{}, false, nil
	}
	if !helps(pairs) {
		return Line{}, false, nil
	}
	line, ok = ridge(pairs)
	return line, ok, nil
}

func (p Pair) validate() error {
	if p.At.IsZero() {
		return errors.New("it has no instant; give the time of the reading")
	}
	if err := between("reading", p.ReadingC, 0, highestC, "C"); err != nil {
		return err
	}
	return between("model", p.ModelC, 0, highestC, "C")
}

const lineSeasonsAYear = 12 / monthsASeason

// season counts the meteorological seasons: December begins a winter.
func (p Pair) season() int {
	at := p.At.UTC()
	return (at.Year()*12 + int(at.Month())) / monthsASeason
}

// helps asks the readings whether a line does: each season is left out of the
// line in turn and its readings are foretold by that line, with what the readings
// before each of them leave to the fading offset. Against the offset alone the
// sum of squares must fall by more than two standard errors, over the seasons.
// Our choice: on the first halves of measured lakes any line at all seemed to
// help, and then did harm where the water's error changed its sign. With no or
// one standard error asked for, one of five lakes came out worse.
func helps(pairs []Pair) bool {
	pairs = slices.Clone(pairs)
	slices.SortStableFunc(pairs, func(a, b Pair) int { return a.At.Compare(b.At) })
	plain := errorsAfterOffset(pairs, Line{})
	var falls []float64 // of the sum of squares, by season
	for first, last := 0, 0; first < len(pairs); first = last {
		for last = first; last < len(pairs) && pairs[last].season() == pairs[first].season(); last++ {
		}
		line, ok := ridge(slices.Concat(pairs[:first], pairs[last:]))
		if !ok {
			return false
		}
		lined, fall := errorsAfterOffset(pairs, line), 0.0
		for i := first; i < last; i++ {
			fall += plain[i]*plain[i] - lined[i]*lined[i]
		}
		falls = append(falls, fall)
	}
	mean, sd := stat.MeanStdDev(falls, nil)
	return mean > 2*sd/math.Sqrt(float64(len(falls)))
}

// errorsAfterOffset foretells each reading, given in order of time, by the line
// and the offset that the readings before it make, and gives what is left.
func errorsAfterOffset(pairs []Pair, line Line) []float64 {
	const priorWeight = readingSdC * readingSdC / (OffsetSdC * OffsetSdC)
	left := make([]float64, len(pairs))
	weights, weightedC := 0.0, 0.0
	for i, p := range pairs {
		if i > 0 {
			kept := math.Exp2(-p.At.Sub(pairs[i-1].At).Hours() / 24 / halfLifeDays)
			weights, weightedC = weights*kept, weightedC*kept
		}
		modelC := line.Correct(p.ModelC)
		left[i] = p.ReadingC - math.Max(0, modelC+weightedC/(weights+priorWeight))
		weights, weightedC = weights+1, weightedC+p.ReadingC-modelC
	}
	return left
}

// ridge solves for the line under the priors; false where the readings do not
// determine one.
func ridge(pairs []Pair) (Line, bool) {
	return solveLine(pairs, 1/(lineShiftSdC*lineShiftSdC), 1/(lineTiltSd*lineTiltSd))
}

// solveLine solves the normal equations with the two precisions of the priors.
func solveLine(pairs []Pair, shiftPrecision, tiltPrecision float64) (Line, bool) {
	const weight = 1 / (lineReadingC * lineReadingC)
	normal := mat.NewSymDense(2, []float64{shiftPrecision, 0, 0, tiltPrecision})
	right := mat.NewVecDense(2, nil)
	for _, p := range pairs {
		x := mat.NewVecDense(2, []float64{1, p.ModelC - lineMiddleC})
		normal.SymRankOne(normal, weight, x)
		right.AddScaledVec(right, weight*(p.ReadingC-p.ModelC), x)
	}
	var chol mat.Cholesky
	var solved mat.VecDense
	if !chol.Factorize(normal) || chol.SolveVecTo(&solved, right) != nil {
		return Line{}, false
	}
	return Line{ShiftC: solved.AtVec(0), Tilt: solved.AtVec(1), Readings: len(pairs)}, true
}

// Correct gives the corrected temperature in C, not below 0.
func (l Line) Correct(modelC float64) float64 {
	return math.Max(0, modelC+l.ShiftC+l.Tilt*(modelC-lineMiddleC))
}

// Apply moves the figures of an estimate, and its interval with them, which
// becomes no narrower: how far a line can be trusted is not known.
func (l Line) Apply(e Estimate) Estimate {
	if l == (Line{}) {
		return e
	}
	e.SurfaceC, e.BottomC = l.Correct(e.SurfaceC), l.Correct(e.BottomC)
	e.setInterval(OffsetSdC)
	return e
}
