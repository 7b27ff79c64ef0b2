package plan

import (
	"fmt"
	"strings"
)

// tooFew says why there is nothing to compare.
func tooFew(asked int, open []Considered) string {
	switch {
	case asked == 0:
		return "Nothing can be said about any of these; each refusal says why."
	case len(open) == 0:
		return "A caution strikes every one of these out: do not fish then."
	}
	return "Only " + named(open[0]) + " is left to go by; there is nothing to hold it against."
}

// summary says which options cannot be told apart from the one with the most
// bites expected, in order of time. Where that is all of them no option is named
// before another.
func summary(open, alike []Considered) string {
	switch {
	case len(alike) == len(open):
		return fmt.Sprintf("None of these %d can be told apart: whatever differs between them is smaller than what is not known. Go by what else matters to you.", len(open))
	case len(alike) == 1:
		return fmt.Sprintf("%s is expected to give more bites an hour than %s.", named(alike[0]), others(len(open)-1))
	}
	return fmt.Sprintf("These %d cannot be told apart from the one of them with the most bites expected: %s. Fewer are expected of %s.",
		len(alike), listed(alike), others(len(open)-len(alike)))
}

// byPriorAlone says so where no records stand behind any of the options.
func byPriorAlone(open []Considered) string {
	for _, o := range open {
		if o.Option.Evidence.Basis != "prior" {
			return ""
		}
	}
	return " No records stand behind this: it is what is typical of such water and weather."
}

func others(n int) string {
	if n == 1 {
		return "the other"
	}
	return fmt.Sprintf("the other %d", n)
}

// mostListed is how many options a sentence names; our choice.
const mostListed = 8

func listed(options []Considered) string {
	var names []string
	for _, o := range options[:min(mostListed, len(options))] {
		names = append(names, named(o))
	}
	text := strings.Join(names, "; ")
	if more := len(options) - len(names); more > 0 {
		text += fmt.Sprintf("; and %d more", more)
	}
	return text
}
