package model

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
	"time"
)

// How stations are judged by what they reported lately; all our choice.
const (
	// Lately is the time that is looked back on: two days show a station that
	// sleeps at night as well as one that comes and goes.
	Lately = 48 * time.Hour
	// silentAfter is the age from which a station's newest report no longer
	// speaks for the present, the longest gap that a line is drawn across.
	silentAfter = longestBridge
	// MostPlaces is how many places serve a water at one time: the weight of
	// those after the sixth is next to nothing.
	MostPlaces = 6
)

// StationChoice is a station near a water, how it has reported lately, and
// whether it serves the water's present weather, in the order in which stations
// are asked for a value.
type StationChoice struct {
	NearStation
	Completeness float64        `json:"completeness"`   // share of the last 48 hours with an air temperature, 0 to 1
	NewestAgeMin Maybe[float64] `json:"newest_age_min"` // of the newest report in that time
	Used         bool           `json:"used"`
	Why          string         `json:"why"`
}

// ChooseStations ranks the stations near a water by weight (distance and
// height) times completeness over the 48 hours up to an instant; no report after
// it is read. Stations that the water's sources name come first, in the order
// given. One whose newest report is older than three hours gives way to those
// that still report, and one that is left out comes last. Equal ranks go by
// weight, then by the order given, so that the same reports always give the same
// choice.
//
// Used says that a station serves the hours about that instant; the others, but
// for those left out, still serve hours that the ones before them lack. The
// reports of each station (by StationKey) must be in order of time.
func ChooseStations(near []NearStation, observations map[string][]Observation, at time.Time) []StationChoice {
	choices, reports := rankStations(near, observations, at)
	explain(choices, reports)
	return choices
}

// rankStations puts stations in order, and says whether any of them reports.
func rankStations(near []NearStation, observations map[string][]Observation, at time.Time) (choices []StationChoice, reports bool) {
	choices = make([]StationChoice, len(near))
	for i, n := range near {
		choices[i] = StationChoice{NearStation: n}
		choices[i].Completeness, choices[i].NewestAgeMin = reportedLately(observations[StationKey(n.Source, n.ID)], at)
	}
	reports = slices.ContainsFunc(choices, func(c StationChoice) bool { return !c.Avoided && !c.silent() })
	slices.SortStableFunc(choices, func(a, b StationChoice) int {
		return cmp.Or(
			cmp.Compare(a.tier(reports), b.tier(reports)), cmp.Compare(a.Wished, b.Wished),
			cmp.Compare(b.Weight*b.Completeness, a.Weight*a.Completeness), cmp.Compare(b.Weight, a.Weight),
		)
	})
	return choices, reports
}

// reportedLately is the share of the hours looked back on that have an air
// temperature, and the age of the newest report.
func reportedLately(all []Observation, at time.Time) (completeness float64, newestAgeMin Maybe[float64]) {
	begin := at.Add(-Lately)
	first := firstFrom(all, begin.Add(1))
	var hours uint64 // a bit for each
	for i := first; i < len(all) && !all[i].At.After(at); i++ {
		newestAgeMin = Known(at.Sub(all[i].At).Minutes())
		if all[i].AirC.Known {
			hours |= 1 << (all[i].At.Sub(begin) / time.Hour)
		}
	}
	return min(1, float64(bits.OnesCount64(hours))/Lately.Hours()), newestAgeMin
}

func (c StationChoice) silent() bool {
	return !c.NewestAgeMin.Known || c.NewestAgeMin.Value > silentAfter.Minutes()
}

// tier is the coarse order: named, reporting, silent while others report, left
// out.
func (c StationChoice) tier(othersReport bool) int {
	switch {
	case c.Avoided:
		return 3
	case c.Wished > 0:
		return 0
	case c.silent() && othersReport:
		return 2
	}
	return 1
}

// explain says of each station, in order, whether it serves and why.
func explain(choices []StationChoice, othersReport bool) {
	places := map[string]string{}
	named, first := false, true
	for i := range choices {
		c := &choices[i]
		before, seen := places[c.place()]
		switch {
		case c.Avoided:
			c.Why = "the water's sources leave it out"
		case !c.NewestAgeMin.Known:
			c.Why = "no report in the last 48 hours; it serves only older hours that it has"
		case c.silent() && othersReport:
			c.Why = fmt.Sprintf("silent for %.0f hours while others report; it gives way", c.NewestAgeMin.Value/60)
		case seen:
			c.Why = "the same place as " + before + ", which comes before it; it serves hours that one lacks"
		case len(places) == MostPlaces:
			c.Why = fmt.Sprintf("beyond the best %d places", MostPlaces)
		default:
			c.Used, c.Why = true, roleOf(*c, first, named)
			first, named = false, named || c.Wished > 0
			places[c.place()] = StationKey(c.Source, c.ID)
		}
	}
}

func roleOf(c StationChoice, first, named bool) string {
	switch {
	case first && c.Wished > 0:
		return "the water's sources name it: wind and pressure are its own"
	case first:
		return "the best by distance, height and completeness: wind and pressure are its own, and its temperature is part of the mean"
	case c.Wished > 0:
		return "the water's sources name it: its temperature is part of the mean"
	case named:
		return "it serves hours that the stations named lack"
	}
	return "its temperature is part of the mean, and it serves hours that those before it lack"
}

// place names the place of a station that nobody compared with others as well.
func (n NearStation) place() string {
	if n.Place == "" {
		return StationKey(n.Source, n.ID)
	}
	return n.Place
}
