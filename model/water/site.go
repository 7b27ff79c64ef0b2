package water

// What a site has when nothing better is known.
const (
	// DefaultShelter is the wind at 2 m over the water as a share of the
	// station's at 10 m: assumed, picked on measured lakes (reference pack 2.1).
	DefaultShelter = 0.65
	// DefaultClimateMeanC and DefaultClimateAmplitudeC are assumed for a
	// lowland British stillwater (reference pack 2.1).
	DefaultClimateMeanC      = 10.5
	DefaultClimateAmplitudeC = 7.0
)

// bedDepthM is added to the mean depth for the heat kept in bed and weed:
// assumed, picked on measured lakes (reference pack 2.1).
const bedDepthM = 0.5

// Site is what the model needs to know of a water.
type Site struct {
	LatDeg            float64 // north positive, -90 to 90
	LonDeg            float64 // east positive, -180 to 180
	MeanDepthM        float64 // 0.2 to 60; the model is meant for 1 to 3
	Shelter           float64 // wind at 2 m over the water as a share of the station's, 0.05 to 1
	ClimateMeanC      float64 // yearly mean of the water, 0 to 35
	ClimateAmplitudeC float64 // from that mean to the warmest or coldest, 0 to 20
}

// NewSite makes a site with the default shelter and climate.
func NewSite(latDeg, lonDeg, meanDepthM float64) Site {
	return Site{
		LatDeg: latDeg, LonDeg: lonDeg, MeanDepthM: meanDepthM, Shelter: DefaultShelter,
		ClimateMeanC: DefaultClimateMeanC, ClimateAmplitudeC: DefaultClimateAmplitudeC,
	}
}

// Validate refuses a site outside the ranges of its fields.
func (s Site) Validate() error {
	for _, c := range []struct {
		what         string
		v, low, high float64
		unit         string
	}{
		{"latitude", s.LatDeg, -90, 90, "degrees"},
		{"longitude", s.LonDeg, -180, 180, "degrees"},
		{"mean depth", s.MeanDepthM, 0.2, 60, "m"},
		{"shelter", s.Shelter, 0.05, 1, "of the station's wind"},
		{"climate mean", s.ClimateMeanC, 0, 35, "C"},
		{"climate amplitude", s.ClimateAmplitudeC, 0, 20, "C"},
	} {
		if err := between(c.what, c.v, c.low, c.high, c.unit); err != nil {
			return err
		}
	}
	return nil
}

// heatStoreJM2K is the heat that warms a square metre of the water by 1 K.
func (s *Site) heatStoreJM2K() float64 {
	return densityKgM3 * heatCapacityJKgK * (s.MeanDepthM + bedDepthM)
}
