package feeder

// Rod is one row of the table of rods by distance. Common practice, no source.
type Rod struct {
	Name          string  // The distances it is made for.
	BeyondM       float64 // It serves distances beyond this.
	UpToM         float64 // And up to this; 0 where there is no upper end.
	LengthLowM    float64
	LengthHighM   float64
	RatingLowG    float64 // Feeder and fill together.
	RatingHighG   float64
	TipLowOz      float64
	TipHighOz     float64
	LineLowLb     float64 // Main line of mono.
	LineHighLb    float64
	LeaderLowLb   float64 // Leader on thin braid instead; 0 where braid is not usual.
	LeaderHighLb  float64
	LineInWords   string
	LengthInWords string
}

// Rods lists the rows, nearest distance first.
func Rods() []Rod {
	return []Rod{
		{
			Name: "up to 25 m", UpToM: 25,
			LengthLowM: 2.7, LengthHighM: 3.0, LengthInWords: "9-10 ft",
			RatingLowG: 15, RatingHighG: 40, TipLowOz: 0.5, TipHighOz: 1,
			LineLowLb: 4, LineHighLb: 6, LineInWords: "4-6 lb mono",
		},
		{
			Name: "25-40 m", BeyondM: 25, UpToM: 40,
			LengthLowM: 3.3, LengthHighM: 3.6, LengthInWords: "11-12 ft",
			RatingLowG: 30, RatingHighG: 60, TipLowOz: 0.75, TipHighOz: 1.5,
			LineLowLb: 5, LineHighLb: 6, LineInWords: "5-6 lb mono",
		},
		{
			Name: "40-60 m", BeyondM: 40, UpToM: 60,
			LengthLowM: 3.6, LengthHighM: 3.6, LengthInWords: "12 ft",
			RatingLowG: 40, RatingHighG: 80, TipLowOz: 1, TipHighOz: 2,
			LineLowLb: 6, LineHighLb: 6, LeaderLowLb: 6, LeaderHighLb: 8,
			LineInWords: "6 lb mono, or thin braid with a 6-8 lb leader",
		},
		{
			Name: "over 60 m", BeyondM: 60,
			LengthLowM: 3.6, LengthHighM: 4.0, LengthInWords: "12-13 ft",
			RatingLowG: 60, RatingHighG: 120, TipLowOz: 1.5, TipHighOz: 3,
			LineLowLb: 5, LineHighLb: 6, LeaderLowLb: 8, LeaderHighLb: 12,
			LineInWords: "5-6 lb mono, or braid with an 8-12 lb leader",
		},
	}
}

// RodsFor returns the row for a distance in m and after it the heavier rows in
// order. A distance of 25, 40 or 60 m belongs to the lighter row. A distance
// that is not positive gives none.
func RodsFor(distanceM float64) []Rod {
	if !(distanceM > 0) {
		return nil
	}
	rods := Rods()
	for len(rods) > 1 && distanceM > rods[0].UpToM {
		rods = rods[1:]
	}
	return rods
}

// The feeder types a plan recommends.
const (
	Cage           = "cage"             // Open wire or mesh; releases fastest.
	PlasticOpenEnd = "plastic_open_end" // Carries feed to the bottom in deep water.
	Window         = "window"           // Weight-forward: flies true at range.
)

// cageFliesUpToM is how far a side-weighted cage flies well. Common practice,
// no source.
const cageFliesUpToM = 50.0

// FeederType returns the feeder for a distance and depth in m (0 for not known):
// weight-forward beyond 50 m, a plastic open end over 4 m of depth, else a cage.
// The uses are common practice, no source; the 4 m is our choice, the depth from
// which the trade also adds weight.
func FeederType(distanceM, depthM float64) string {
	switch {
	case distanceM > cageFliesUpToM:
		return Window
	case depthM > deepBeyondM:
		return PlasticOpenEnd
	}
	return Cage
}
