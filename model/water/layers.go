package water

import "math"

const (
	// upperLayerM is the depth up to which a water, bed included, is a single
	// layer. Of what is deeper, upperShare goes to the upper layer too, so that
	// deeper water always swings less. Upper layers of 4 and 8 m were tried on the
	// first half of the one deep lake there is; both beat a single one.
	upperLayerM = 4.0
	upperShare  = 0.4

	// mixingShare is the share of the wind's work at the surface that goes into
	// mixing; 0.5, 2 and 8 were tried on the first half of the deep lake.
	mixingShare = 2.0

	slowExchangeWm2K = 2.0     // between the layers without wind. Our choice
	airDragRatio     = 1.56e-6 // air density 1.2 x drag 1.3e-3 / water density; from memory
	gravityMps2      = 9.81
	expansionPerK2   = 1.6e-5 // thermal expansion rises by this for each K above 4 C; from memory
)

// layered says whether a site is deep enough for a lower layer.
func (s *Site) layered() bool { return s.MeanDepthM+bedDepthM > upperLayerM }

// upperM is the depth of the upper layer, bed included where there is one layer.
func (s *Site) upperM() float64 {
	wholeM := s.MeanDepthM + bedDepthM
	return math.Min(wholeM, upperLayerM+upperShare*math.Max(0, wholeM-upperLayerM))
}

// upperStoreJM2K is the heat that warms a square metre of the upper layer by 1 K.
func (s *Site) upperStoreJM2K() float64 { return densityKgM3 * heatCapacityJKgK * s.upperM() }

// mixLayers exchanges heat between the layers over a step: wholly where the
// upper is the heavier, else as fast as the wind's work lifts heavy water. That
// work moves the same heat whatever the difference, since light water is as much
// harder to push down as there is more heat in it.
func (s *State) mixLayers(site *Site, wind2mMps, seconds float64) {
	upper := site.upperStoreJM2K()
	lower := site.heatStoreJM2K() - upper
	difference := s.WaterC - s.LowerC
	evenJM2 := difference * upper * lower / (upper + lower)
	movedJM2 := evenJM2
	if difference > 0 && s.WaterC > densestC {
		friction := math.Sqrt(airDragRatio) * wind2mMps
		expansion := expansionPerK2 * math.Max(1, math.Abs((s.WaterC+s.LowerC)/2-densestC))
		work := mixingShare * friction * friction * friction
		windWm2 := work * densityKgM3 * heatCapacityJKgK / (gravityMps2 * expansion * (site.MeanDepthM + bedDepthM) / 2)
		movedJM2 = math.Min(evenJM2, (windWm2+slowExchangeWm2K*difference)*seconds)
	}
	s.WaterC -= movedJM2 / upper
	s.LowerC += movedJM2 / lower
}
