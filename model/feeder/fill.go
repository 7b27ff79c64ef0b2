package feeder

// Figures of one fill. Common practice, no source; they are the weakest figures
// of the trade, so a measured density replaces the default.
const (
	DefaultDensityGMl = 0.75 // Damp feed hand-pressed in a cage; 0.60 loose to 0.95 hard.
	DryShare          = 0.60 // Dry share of damp mass = 1/(1 + 0.65 litre of water a kg), derived.
	LeastFillFactor   = 0.5  // Least share of the capacity that still makes a fill.
)

// Densities that a calibration may give, g/ml. Loose fills are near 0.60 and a
// hard-squeezed plug nears 1.0 (common practice, no source); the room on either
// side is our choice.
const (
	leastDensityGMl    = 0.30
	greatestDensityGMl = 1.30
)

// DensityFromTenFills returns damp g/ml from ten fills weighed together and the
// feeder's capacity. It refuses a capacity outside 1-500 ml and a result
// outside 0.30-1.30 g/ml, which no groundbait reaches.
func DensityFromTenFills(tenFillsG, capacityMl float64) (float64, error) {
	if err := within("capacity_ml", capacityMl, 1, 500, "give the feeder's inside volume, 1 to 500 ml"); err != nil {
		return 0, err
	}
	density := tenFillsG / 10 / capacityMl
	if err := within("density_g_ml", density, leastDensityGMl, greatestDensityGMl,
		"weigh ten fills together, in grams, without the feeder; damp feed comes to 0.30-1.30 g/ml"); err != nil {
		return 0, err
	}
	return density, nil
}

// RateGH returns damp g/h from capacity (ml), fill factor (share of capacity),
// density (g/ml) and fills per hour. It is the identity that ties feed to
// rhythm and holds for any finite figures.
func RateGH(capacityMl, fillFactor, densityGMl, fillsPerH float64) float64 {
	return capacityMl * fillFactor * densityGMl * fillsPerH
}
