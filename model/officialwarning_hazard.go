package model

import (
	"slices"
	"strings"
	"unicode"
)

// hazardWords are the words of events by which a warning is sorted, in the order
// in which they are looked for: a thunderstorm is not wind alone, an ice storm is
// ice, freezing rain is ice and not cold, and a wind chill is cold and not wind.
// A word that ends in * is the beginning of one. The events are those of the US
// National Weather Service and of Deutscher Wetterdienst in its own English (both
// from memory), with its German words for what a level may hang on; the sorting
// is our choice.
var hazardWords = []struct {
	hazard  Hazard
	phrases []string
}{
	{HazardThunder, []string{"thunder*", "lightning", "gewitter*"}},
	{HazardHeat, []string{"heat", "hot", "hitze*", "wärmebelastung"}},
	{HazardIce, []string{"ice", "icy", "glaze", "freezing rain", "freezing drizzle", "freezing fog", "freezing spray", "slippery"}},
	{HazardCold, []string{"cold", "frost", "frosts", "freeze", "freezing", "chill", "blizzard"}},
	{HazardFlood, []string{"flood*", "surge", "hochwasser*"}},
	// A winter storm is named for its snow, and may blow or not.
	{HazardOther, []string{"winter storm", "snow*"}},
	{HazardWind, []string{"wind", "winds", "windy", "gust", "gusts", "gale", "gales", "squall*", "storm*", "tornado*", "hurricane*", "typhoon*"}},
}

// HazardOf sorts a warning by the words of its event; whatever is not known is
// HazardOther. Whole words count, so that a notice is no ice.
func HazardOf(event string) Hazard {
	words := strings.FieldsFunc(strings.ToLower(event), func(r rune) bool { return !unicode.IsLetter(r) })
	for _, h := range hazardWords {
		if slices.ContainsFunc(h.phrases, func(phrase string) bool { return saidIn(words, strings.Fields(phrase)) }) {
			return h.hazard
		}
	}
	return HazardOther
}

// saidIn says whether the words of a phrase stand side by side among words.
func saidIn(words, phrase []string) bool {
	for i := 0; i+len(phrase) <= len(words); i++ {
		if slices.EqualFunc(words[i:i+len(phrase)], phrase, sameWord) {
			return true
		}
	}
	return false
}

func sameWord(word, wanted string) bool {
	if begin, ok := strings.CutSuffix(wanted, "*"); ok {
		return strings.HasPrefix(word, begin)
	}
	return word == wanted
}

// SeverityOf reads a severity in whichever case a service writes it. What is no
// word of the protocol is UnknownSeverity.
func SeverityOf(word string) Severity {
	for _, s := range []Severity{Extreme, Severe, Moderate, Minor} {
		if strings.EqualFold(strings.TrimSpace(word), string(s)) {
			return s
		}
	}
	return UnknownSeverity
}
