package model

import "slices"

// What must stand behind a figure about other people's sessions before it is
// shown: statistics pack 6, choices made there within the range that agencies
// use (UNECE and Eurostat 2005, three or five respondents; ESSnet Handbook on
// Statistical Disclosure Control 1.2, 2010, chapter 4, the p % rule).
const (
	leastContributors = 5
	leastContributed  = 10
	largestShare      = 0.5
	pPercent          = 10.0
)

// Withheld says why a figure made from so many sessions of each angler may not
// be shown; nothing where it may.
func Withheld(sessionsByAngler []int) []string {
	given := slices.DeleteFunc(slices.Clone(sessionsByAngler), func(n int) bool { return n <= 0 })
	total := 0
	for _, n := range given {
		total += n
	}
	var why []string
	if len(given) < leastContributors {
		why = append(why, "contributors")
	}
	if total < leastContributed {
		why = append(why, "sessions")
	}
	return append(why, Dominated(given)...)
}

// Dominated says why a total may not be shown by what each angler gave of it,
// sessions or bites: somebody would learn too nearly what another gave. Nothing
// where it may be shown.
func Dominated(given []int) []string {
	given = slices.Sorted(slices.Values(given))
	slices.Reverse(given)
	total := 0
	for _, n := range given {
		total += n
	}
	var why []string
	if len(given) > 0 && float64(given[0]) > largestShare*float64(total) {
		why = append(why, "one contributor dominates")
	}
	if len(given) > 1 && float64(total-given[0]-given[1]) < pPercent/100*float64(given[0]) {
		why = append(why, "p-percent")
	}
	return why
}

// CountBand says how many sessions there are of other people without telling
// the number (statistics pack 6).
func CountBand(n int) string {
	switch {
	case n < 5:
		return "under 5"
	case n < 10:
		return "5-9"
	case n < 20:
		return "10-19"
	case n < 50:
		return "20-49"
	}
	return "50 or more"
}
