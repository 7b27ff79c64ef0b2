package air

import "math"

// beaufortTerms are the words for the forces 0 to 12 (WMO-No. 306, Section E).
var beaufortTerms = [...]string{
	"Calm", "Light air", "Light breeze", "Gentle breeze", "Moderate breeze", "Fresh breeze", "Strong breeze",
	"Near gale", "Gale", "Strong gale", "Storm", "Violent storm", "Hurricane",
}

// The lowest speed of each force from 1 up, in m/s and in knots (WMO-No. 306,
// Section E). The two columns are published side by side and are not exact
// conversions: 16 and 21 knots are forces 4 and 5, but 8.2 and 10.8 m/s are
// forces 5 and 6.
var (
	beaufortFromMps   = [...]float64{0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7}
	beaufortFromKnots = [...]float64{1, 4, 7, 11, 17, 22, 28, 34, 41, 48, 56, 64}
)

// Beaufort is the force, 0 to 12, and its term for a mean wind in m/s, by the
// published m/s limits without their gaps (below 0.3 is force 0, below 1.6
// force 1, and so on). A wind that is negative or not finite has force -1 and
// the term "unknown". Source: WMO-No. 306, Section E.
func Beaufort(windMps float64) (force int, term string) {
	return beaufortForce(windMps, beaufortFromMps[:])
}

// BeaufortKnots is Beaufort for a mean wind reported in knots, taken to the
// nearest whole knot first, which is how the scale is defined. Prefer it where
// the report was in knots. Source: WMO-No. 306, Section E.
func BeaufortKnots(windKnots float64) (force int, term string) {
	return beaufortForce(Round(windKnots, 0), beaufortFromKnots[:])
}

func beaufortForce(speed float64, from []float64) (int, string) {
	if !within(speed, 0, math.MaxFloat64) {
		return -1, "unknown"
	}
	force := 0
	for force < len(from) && speed >= from[force] {
		force++
	}
	return force, beaufortTerms[force]
}
