package fish

import (
	"fmt"
	"math"
)

// The span of water temperature that the package answers for. Beyond it no
// freshwater fish of a target group lives, and the figure is more likely a
// wrong unit than a hot pond.
const (
	LowestC  = 0.0
	HighestC = 45.0
)

// narrowestSpanC is the least distance between two temperatures of a curve. It
// keeps the slopes finite; no published set comes near it. Our choice.
const narrowestSpanC = 0.1

// Curve is a temperature function of consumption. At takes the water
// temperature in C, from LowestC to HighestC; outside that span, and for
// parameters that make no curve, it answers with an error.
type Curve interface {
	At(waterC float64) (float64, error)
}

// Equation1 is exponential growth without an optimum, exp(CQ T) (Stewart et
// al. 1983). CQ is per C and above 0.
type Equation1 struct{ CQ float64 }

// Equation2 is the warm-water form of Kitchell, Stewart and Weininger 1977: it
// rises to 1 at CTO and falls to 0 at CTM. CQ is close to the ratio of
// consumption across 10 C at low temperatures and above 1; CTO and CTM are in C.
type Equation2 struct{ CQ, CTO, CTM float64 }

// Equation3 is the product of a rising and a falling logistic of Thornton and
// Lessem 1978. The rising one is CK1 at CQ and 0.98 at CTO; the falling one is
// 0.98 at CTM and CK4 at CTL. CQ, CTO, CTM, CTL are in C and rise in that order
// (CTO and CTM may be equal); CK1 and CK4 are shares between 0 and 0.98.
type Equation3 struct{ CQ, CTO, CTM, CTL, CK1, CK4 float64 }

// At gives consumption relative to that at 0 C. It is no share of a maximum,
// because the equation has none.
func (e Equation1) At(waterC float64) (float64, error) {
	if err := checkWater(waterC); err != nil {
		return 0, err
	}
	if !(e.CQ > 0 && e.CQ < 1) {
		return 0, fmt.Errorf("equation 1: CQ is %v per C; it must lie between 0 and 1", e.CQ)
	}
	return math.Exp(e.CQ * waterC), nil
}

// At gives the share, 0 to 1, of the greatest consumption.
func (e Equation2) At(waterC float64) (float64, error) {
	if err := checkWater(waterC); err != nil {
		return 0, err
	}
	if !(e.CQ > 1 && e.CQ < 100 && spans(e.CTO, e.CTM)) {
		return 0, fmt.Errorf("equation 2: CQ %v, CTO %v, CTM %v make no curve; CQ must lie between 1 and 100, and CTM at least %v C above CTO", e.CQ, e.CTO, e.CTM, narrowestSpanC)
	}
	if waterC >= e.CTM {
		return 0, nil
	}
	_, _, x := e.exponent()
	v := (e.CTM - waterC) / (e.CTM - e.CTO)
	return math.Pow(v, x) * math.Exp(x*(1-v)), nil
}

// exponent gives the intermediates Y and Z of the published equation, and the
// exponent X made from them.
func (e Equation2) exponent() (y, z, x float64) {
	y = math.Log(e.CQ) * (e.CTM - e.CTO + 2)
	z = math.Log(e.CQ) * (e.CTM - e.CTO)
	root := 1 + math.Sqrt(1+40/y)
	return y, z, z * z * root * root / 400
}

// At gives the share, 0 to 1, of the greatest consumption.
func (e Equation3) At(waterC float64) (float64, error) {
	if err := checkWater(waterC); err != nil {
		return 0, err
	}
	if !(spans(e.CQ, e.CTO) && e.CTM >= e.CTO && spans(e.CTM, e.CTL) && isFoot(e.CK1) && isFoot(e.CK4)) {
		return 0, fmt.Errorf("equation 3: CQ %v, CTO %v, CTM %v, CTL %v, CK1 %v, CK4 %v make no curve; the temperatures must rise in that order, and CK1 and CK4 lie between 0 and 0.98", e.CQ, e.CTO, e.CTM, e.CTL, e.CK1, e.CK4)
	}
	rising := logistic(e.CK1, waterC-e.CQ, e.CTO-e.CQ)
	falling := logistic(e.CK4, e.CTL-waterC, e.CTL-e.CTM)
	return rising * falling, nil
}

// logistic climbs from foot at distance 0 to 0.98 at distance full. It is
// written with the reciprocal so that a steep curve ends at 0 or 1, not in a
// quotient of two infinities.
func logistic(foot, distanceC, fullC float64) float64 {
	slope := math.Log(0.98*(1-foot)/(0.02*foot)) / fullC
	return 1 / (1 + (1-foot)/foot*math.Exp(-slope*distanceC))
}

// checkWater refuses what is no water temperature.
func checkWater(waterC float64) error {
	if !(waterC >= LowestC && waterC <= HighestC) {
		return fmt.Errorf("water temperature is %v C; give a number from %v to %v", waterC, LowestC, HighestC)
	}
	return nil
}

// spans says whether two temperatures are finite, in order, and far enough apart.
func spans(lowC, highC float64) bool {
	return highC-lowC >= narrowestSpanC && highC-lowC <= 2*HighestC
}

// isFoot says whether a logistic can start at the share and still rise to 0.98.
func isFoot(share float64) bool { return share > 0 && share < 0.98 }
