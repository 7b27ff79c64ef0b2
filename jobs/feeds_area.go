package jobs

import "osier/model"

// area is where a feed serves: boxes of degrees that hold it. A box may hold
// some of the neighbours too; the feed then has nothing for a water there, and
// says so.
type area []struct{ south, north, west, east float64 }

func (a area) holds(w model.Water) bool {
	for _, box := range a {
		if w.LatDeg >= box.south && w.LatDeg <= box.north && w.LonDeg >= box.west && w.LonDeg <= box.east {
			return true
		}
	}
	return false
}

// within keeps the waters that lie in the area.
func (a area) within(waters []model.Water) []model.Water {
	var out []model.Water
	for _, w := range waters {
		if a.holds(w) {
			out = append(out, w)
		}
	}
	return out
}

// The areas, from the map; our choice.
var (
	unitedStates = area{
		{24, 49.5, -125, -66.5},    // the 48 states
		{51, 72, -180, -129},       // Alaska
		{51, 54, 172, 180},         // the Aleutians beyond the date line
		{18.5, 22.6, -161, -154},   // Hawaii
		{17.5, 18.7, -68, -64.3},   // Puerto Rico and the Virgin Islands
		{13, 20.7, 144, 146.2},     // Guam and the Marianas
		{-14.7, -14, -171.2, -168}, // American Samoa
	}
	// Germany, and the 50 km around it that its stations may serve.
	germany = area{{46.8, 55.5, 5.1, 15.8}}
	// The north of Europe as SMHI's forecast covers it, drawn a little inside.
	nordic = area{{53, 70.5, 3, 27}}
)
