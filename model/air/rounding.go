package air

import "math"

// halfSlack is how far below a half, in units of the last digit kept, a value
// still counts as the half. A difference of decimal readings misses its half by
// the error of binary fractions, some 1e-12 (our choice, far above that error
// and far below anything a reading can mean).
const halfSlack = 1e-9

// Round returns x to the given number of decimals, halves away from zero, as
// the published charts and WMO trend words want it, and never a negative zero.
// It is for display and for choosing words; stored values stay unrounded. What
// cannot be rounded (not finite, or too large for the decimals asked) comes
// back as it was.
func Round(x float64, decimals int) float64 {
	unit := math.Pow10(decimals)
	scaled := x * unit
	rounded := math.Round(scaled+math.Copysign(halfSlack, scaled)) / unit
	if math.IsNaN(rounded) || math.IsInf(rounded, 0) {
		rounded = x
	}
	return rounded + 0 // the sum of -0 and +0 is +0
}
