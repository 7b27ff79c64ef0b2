package page

import (
	"fmt"
	"html/template"
	"math"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"osier/model"
)

// wording is what every part may say in the same words. Times are written by
// the zone they are in: whoever fills a part puts them into the water's.
var wording = template.FuncMap{
	"day":      func(t time.Time) string { return t.Format("Monday 2 January 2006") },
	"clock":    func(t time.Time) string { return t.Format("15:04") },
	"moment":   moment,
	"group":    groupWords,
	"plain":    func(s string) string { return strings.ReplaceAll(s, "_", " ") },
	"bites":    bites,
	"sentence": sentence,
	"inhundred": func(share float64) string {
		return fmt.Sprintf("%.0f in 100", 100*share)
	},
}

// unknown stands in a table where nobody gave a figure.
const unknown = "\u2013"

func moment(t time.Time) string { return t.Format("Mon 2 Jan 2006, 15:04") }

// tenths writes a figure to a tenth.
func tenths[T ~float64](m model.Maybe[T]) string { return figure(m, 1) }

// whole writes a figure without a fraction.
func whole[T ~float64](m model.Maybe[T]) string { return figure(m, 0) }

func figure[T ~float64](m model.Maybe[T], decimals int) string {
	if !m.Known {
		return unknown
	}
	scale := math.Pow10(decimals)
	v := math.Round(float64(m.Value)*scale) / scale
	return fmt.Sprintf("%.*f", decimals, v+0) // no minus before a zero
}

// bites writes a rate to a tenth while it is small.
func bites(v float64) string {
	if v < 10 {
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.0f", v)
}

// between writes a range, or the one figure where both ends are the same.
func between(low, high float64, decimals int) string {
	a, b := fmt.Sprintf("%.*f", decimals, low), fmt.Sprintf("%.*f", decimals, high)
	if a == b {
		return a
	}
	return a + " to " + b
}

// groupWords is what a group is called in a sentence.
func groupWords(g model.Group) string {
	if g == model.Silver {
		return "silver fish"
	}
	return string(g)
}

// restrictionWords is what a restriction says in a heading.
func restrictionWords(r model.Restriction) string {
	switch r.Kind {
	case model.WaterClosed:
		return "Closed"
	case model.NoKeepnets:
		return "No keepnets"
	case model.FeedLimit:
		return "Feed limit: " + whole(r.FeedLimitDryG) + " g dry a day"
	}
	return strings.ReplaceAll(string(r.Kind), "_", " ")
}

// sentenceCase begins words as a sentence does.
func sentenceCase(words string) string {
	first, size := utf8.DecodeRuneInString(words)
	if size == 0 {
		return words
	}
	return string(unicode.ToUpper(first)) + words[size:]
}

// sentence writes words as a sentence that stands by itself.
func sentence(words string) string {
	words = sentenceCase(words)
	if words != "" && !strings.ContainsAny(words[len(words)-1:], ".!?:") {
		words += "."
	}
	return words
}
