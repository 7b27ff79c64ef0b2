package timing

import (
	"fmt"
	"math"
)

// MarginalValue is when to leave a place whose gain runs out as
// gain (1 - e^(-t/scaleMin)) when the next one costs lostMin minutes, and what
// is then gained a minute: the marginal value theorem (Charnov 1976, Theor.
// Popul. Biol. 9). With u = t/scaleMin the leaving time solves
// e^u - 1 - u = lostMin/scaleMin. It is the known answer that the table of
// stay or move comes down to when nothing is left to learn. All three are above
// 0 and finite, the minutes lost at most 1e6 times the scale.
func MarginalValue(gain, scaleMin, lostMin float64) (leaveMin, ratePerMin float64, err error) {
	ratio := lostMin / scaleMin
	if !(gain > 0 && scaleMin > 0 && lostMin > 0 && ratio > 0 && ratio <= 1e6) || math.IsInf(gain, 1) || math.IsInf(scaleMin, 1) {
		return 0, 0, fmt.Errorf("when to leave: gain %g, scale %g min, %g min lost; all must be above 0 and finite, the minutes lost at most 1e6 times the scale", gain, scaleMin, lostMin)
	}
	// e^u - 1 - u >= u^2/2, so this start is never below the root; the function
	// is convex and Newton comes down to it.
	u := min(math.Sqrt(2*ratio), math.Log1p(ratio)+2)
	for range 100 {
		step := (math.Expm1(u) - u - ratio) / math.Expm1(u)
		u -= step
		if math.Abs(step) <= 1e-15*u {
			break
		}
	}
	return scaleMin * u, gain / scaleMin * math.Exp(-u), nil
}
