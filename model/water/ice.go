package water

import "math"

const (
	fusionJM3       = 917 * 3.34e5 // heat that melts a cubic metre of ice; both figures from memory
	iceWmK          = 2.2          // conductivity of ice (reference pack 2.1)
	iceResistanceM  = 0.1          // air and snow above the ice, as metres of ice (reference pack 2.1)
	sunIntoIceShare = 0.4          // of the sunlight, absorbed by ice (reference pack 2.1)
)

// stepIce gives the ice after one step of steady weather: it grows by what it
// conducts upwards in frost and melts by the heat balance of a surface at 0 C in
// a thaw. The water below is held at 0 by the caller meanwhile.
func stepIce(iceM float64, f Forcing, seconds float64) float64 {
	if f.AirC < 0 {
		return iceM + iceWmK*-f.AirC*seconds/(fusionJM3*(iceM+iceResistanceM))
	}
	b := balance(0, f)
	net := b.NetWm2 - b.SunWm2 + sunIntoIceShare*math.Max(0, f.ShortwaveWm2)
	return math.Max(0, iceM-math.Max(0, net)*seconds/fusionJM3)
}
