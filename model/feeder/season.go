package feeder

import (
	"math"
	"slices"
)

// The season bands go by water temperature, never by the calendar.
const (
	Winter  = "winter"  // Water under 8 C.
	Between = "between" // 8 to 15 C, both included.
	Summer  = "summer"  // Over 15 C.
)

// Where the opening feed leaves the feeder.
const (
	ReleaseSurface = "surface" // A wider, thinner patch that keeps fish searching.
	ReleaseBottom  = "bottom"  // A small pile beside the hook bait.
)

// Season is what the trade does in one band. Common practice, no source, save
// where a line says otherwise.
type Season struct {
	Band               string
	Groundbait         string
	ParticlesShareLow  float64 // Share of the fill by mass.
	ParticlesShareHigh float64
	Particles          string
	HookBaits          []string
	PatienceLowMin     float64 // Before moving.
	PatienceHighMin    float64
	OpeningRelease     string // In still water; wind moves it to the bottom.
	Place              string
	Hours              string
	Welfare            string
}

// SeasonBand returns the band of a water temperature in C. One that is not
// finite gives ok false.
func SeasonBand(waterC float64) (band string, ok bool) {
	switch {
	case math.IsNaN(waterC) || math.IsInf(waterC, 0):
		return "", false
	case waterC < 8:
		return Winter, true
	case waterC <= 15:
		return Between, true
	}
	return Summer, true
}

// seasons holds what does not depend on the group.
var seasons = map[string]Season{
	Winter: {
		Band:       Winter,
		Groundbait: "fine, sweet and low in food value, often dark",
		Particles:  "none, or a pinch in a small side batch",
		// No particles is what the trade's table gives for cold water.
		ParticlesShareLow: 0, ParticlesShareHigh: 0,
		PatienceLowMin: 45, PatienceHighMin: 60,
		OpeningRelease: ReleaseSurface,
		Place:          "Look deeper and often further out; shoals are tight, and a small move can find them.",
		Hours:          "Late morning to dusk; the last two hours of light matter.",
		Welfare:        "Watch for air frost, wind chill and ice.",
	},
	Between: {
		Band:       Between,
		Groundbait: "a blend of fine sweet crumb and a little fishmeal",
		Particles:  "few, in a side batch, more only if they answer",
		// "Small, by response": the tenth is our choice, where summer's range begins.
		ParticlesShareLow: 0, ParticlesShareHigh: 0.1,
		PatienceLowMin: 30, PatienceHighMin: 45,
		OpeningRelease: ReleaseBottom,
		Place:          "Follow the warmth.",
		Hours:          "Midday warming is useful in spring.",
		Welfare:        "Leave spawning fish alone in late spring.",
	},
	Summer: {
		Band:              Summer,
		Groundbait:        "fishmeal or another rich mix, coarser",
		Particles:         "pellets, corn or casters, 10-30 % of the fill",
		ParticlesShareLow: 0.1, ParticlesShareHigh: 0.3,
		PatienceLowMin: 20, PatienceHighMin: 30,
		OpeningRelease: ReleaseBottom,
		Place:          "Try shelves, windward banks, and the margins late in the day.",
		Hours:          "Dawn and evening; midday is poor in bright heat.",
		Welfare:        "Watch for heat, low oxygen and algae.",
	},
}

// hookBaits holds two or three baits to compare, by band and group. The kinds
// are common practice, no source; which of them goes with which group is our
// choice.
var hookBaits = map[string]map[Group][]string{
	Winter: {
		Silver: {"single maggot", "small piece of bread"},
		Bream:  {"single maggot", "piece of worm", "small piece of bread"},
		Carp:   {"small pellet", "single maggot", "small piece of bread"},
	},
	Between: {
		Silver: {"two maggots", "caster", "small pellet"},
		Bream:  {"worm", "two maggots", "single grain of corn"},
		Carp:   {"pellet", "single grain of corn", "worm"},
	},
	Summer: {
		Silver: {"bunch of maggots", "caster", "small pellet"},
		Bream:  {"worm", "corn", "pellet"},
		Carp:   {"pellet", "corn", "worm"},
	},
}

// SeasonFor returns the advice of the band for a group at a water temperature in
// C. An unknown group or a temperature that is not finite gives ok false.
func SeasonFor(group Group, waterC float64) (season Season, ok bool) {
	band, ok := SeasonBand(waterC)
	if !ok || !group.Known() {
		return Season{}, false
	}
	season = seasons[band]
	season.HookBaits = slices.Clone(hookBaits[band][group])
	return season, true
}
