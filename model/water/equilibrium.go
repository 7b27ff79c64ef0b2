package water

import "errors"

// EquilibriumC gives the temperature in C at which a water under the forcing
// would neither gain nor lose heat. It may lie below 0, where real water would
// freeze. Values outside the ranges of Forcing are an error, and so is weather
// under which no equilibrium lies between -100 and 100 C. Source: the
// definition of Edinger, Duttweiler and Geyer 1968, on the balance of Balance.
func EquilibriumC(f Forcing) (float64, error) {
	if err := f.validate(); err != nil {
		return 0, err
	}
	low, high := lowestC, highestC
	if balance(low, f).NetWm2 < 0 || balance(high, f).NetWm2 > 0 {
		return 0, errors.New("the weather has no equilibrium water temperature between -100 and 100 C")
	}
	// Fifty halvings of 200 C leave less than a millionth of a millionth.
	for range 50 {
		middle := (low + high) / 2
		if balance(middle, f).NetWm2 > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2, nil
}
