package model

import "slices"

// How a catch was weighed.
const (
	Weighed   = "weighed"
	Estimated = "estimated"
)

// The words that a record may use; anything else is refused with the list.
var (
	styles       = []Style{FullLog, Hourly, Summary}
	outcomes     = []Outcome{NoBite, LineBite, MissedBite, FishLanded, FishLost}
	feedLevels   = []string{"Trace", "Lean", "Even", "Ample", "Heavy"}
	feederTypes  = []string{"cage", "plastic_open_end", "window", "hybrid", "flat_bed", "maggot"}
	feedReleases = []string{"surface", "bottom"}
	weighings    = []string{Weighed, Estimated}
)

// oneOf refuses a word that is not in the list.
func oneOf[T ~string](field string, word T, list []T) error {
	if slices.Contains(list, word) {
		return nil
	}
	return Invalidf(field, "give "+orList(list), "%q is not known here", shorten(string(word)))
}

// oneOfOrEmpty lets a word be left out.
func oneOfOrEmpty[T ~string](field string, word T, list []T) error {
	if word == "" {
		return nil
	}
	return oneOf(field, word, list)
}

// orList writes a list as "a, b or c".
func orList[T ~string](list []T) string {
	text := ""
	for i, w := range list {
		switch {
		case i == 0:
		case i == len(list)-1:
			text += " or "
		default:
			text += ", "
		}
		text += string(w)
	}
	return text
}
