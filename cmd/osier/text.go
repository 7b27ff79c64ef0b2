package main

import (
	"fmt"
	"io"

	"osier/model"
	"osier/model/air"
)

// invented is said on every screen of the demo.
const invented = "INVENTED: this club, its waters, people, weather and catches do not exist."

func inventedText(out io.Writer, demo bool) {
	if demo {
		fmt.Fprintln(out, invented)
	}
}

// tenths writes a value to a tenth, or a dash where nobody gave one.
func tenths[T ~float64](m model.Maybe[T]) string {
	if !m.Known {
		return "-"
	}
	return fmt.Sprintf("%.1f", air.Round(float64(m.Value), 1))
}

func ageText(ageMin model.Maybe[float64]) string {
	switch {
	case !ageMin.Known:
		return ""
	case ageMin.Value < 0:
		return ", just in"
	case ageMin.Value < 90:
		return fmt.Sprintf(", %.0f minutes old", ageMin.Value)
	}
	return fmt.Sprintf(", %.0f hours old", ageMin.Value/60)
}
