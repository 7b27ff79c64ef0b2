package model

import "fmt"

// shorten keeps a stranger's text in an error message within reason.
func shorten(s string) string {
	const longest = 60
	if len(s) <= longest {
		return s
	}
	return s[:longest] + "..."
}

func rangeText(low, high float64, unit string) string {
	return fmt.Sprintf("give %v to %v %s", low, high, unit)
}
