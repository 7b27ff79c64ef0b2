package water

import "math"

const (
	// sunGainCPerWm2 is how far a water stands above the air for each W/m2 of
	// sunlight: picked on measured lakes (reference pack 2.1).
	sunGainCPerWm2 = 0.015

	// lagSunShare is the say that the lag has beside the heat balance. Measured:
	// of 0.2, 0.3, 0.4 and 0.5 all beat the balance alone on the first halves of
	// five lakes, and 0.4 or 0.5 most; the same share serves where wind and
	// humidity are missing.
	lagSunShare = 0.4

	// lagSunDepthM is the depth, bed included, beyond which the lag loses its
	// say, since the sun's gain was picked on shallow waters. Our choice of two
	// tried on the same halves.
	lagSunDepthM = 3.5
)

// stepLagSun moves the lag through one step of steady weather: a first-order
// lag of the air and of a share of the sunlight, with the time constant of the
// whole depth at 25 W/m2/K. It needs neither wind nor humidity. Source:
// reference pack (water and fish, 2.1); its two lags share one time constant, so
// that one state holds both.
func (s *State) stepLagSun(site *Site, f Forcing, seconds float64) {
	kept := math.Exp(-typicalWm2K * seconds / site.heatStoreJM2K())
	s.LagSunC = fade(s.LagSunC, f.AirC+sunGainCPerWm2*math.Max(0, f.ShortwaveWm2), kept)
}

// lagSunWeight is the lag's say at a site.
func (s *Site) lagSunWeight() float64 {
	return lagSunShare * math.Min(1, lagSunDepthM/(s.MeanDepthM+bedDepthM))
}
