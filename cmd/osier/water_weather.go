package main

import (
	"fmt"
	"io"
	"slices"

	"osier/jobs"
	"osier/model"
)

// mostStationsShown is how many stations that do not serve are shown; all of
// them are in the JSON.
const mostStationsShown = 8

// weatherChoiceText shows where a water's present weather comes from, and why.
func weatherChoiceText(out io.Writer, w model.Water, c jobs.WeatherChoice) {
	serving := slices.ContainsFunc(c.Stations, func(s model.StationChoice) bool { return s.Used })
	switch {
	case serving:
		fmt.Fprintln(out, "  weather from")
	case len(c.Forecasts) > 0:
		fmt.Fprintln(out, "  weather from the forecast: no station in reach has reported in the last 48 hours")
	default:
		fmt.Fprintln(out, "  no weather is stored; fetch it with: osier pull --water "+w.ID)
	}
	idle := 0
	for _, s := range c.Stations {
		if !s.Used && s.Wished == 0 && !s.Avoided {
			if idle++; idle > mostStationsShown {
				continue
			}
		}
		stationText(out, s)
	}
	if more := idle - mostStationsShown; more > 0 {
		fmt.Fprintf(out, "    and %d more stations that do not serve\n", more)
	}
	for _, f := range c.Forecasts {
		word := "current"
		if !f.Current {
			word = "out of date"
		}
		fmt.Fprintf(out, "    %-22s forecast, confirmed %.0f min ago: %s\n", f.Source, f.ConfirmedMin, word)
	}
	for _, name := range unknownStations(w, c) {
		fmt.Fprintf(out, "    %-22s named in the water's sources, and not known in reach of it\n", name)
	}
}

func stationText(out io.Writer, s model.StationChoice) {
	age := "no report"
	if s.NewestAgeMin.Known {
		age = fmt.Sprintf("newest %.0f min old", s.NewestAgeMin.Value)
	}
	height := "height not known"
	if s.ElevationM.Known {
		height = fmt.Sprintf("%+.0f m", float64(s.HeightM))
	}
	mark := " "
	if s.Used {
		mark = "*"
	}
	fmt.Fprintf(out, "  %s %-22s %5.1f km, %s, %.0f %% complete, %s: %s\n",
		mark, model.StationKey(s.Source, s.ID), s.DistanceKm, height, 100*s.Completeness, age, s.Why)
}

// unknownStations lists the stations that the water's sources name and nobody
// knows in reach.
func unknownStations(w model.Water, c jobs.WeatherChoice) []string {
	var out []string
	for _, name := range slices.Concat(w.Sources.Use, w.Sources.Avoid) {
		if !slices.ContainsFunc(c.Stations, func(s model.StationChoice) bool {
			return name == s.ID || name == model.StationKey(s.Source, s.ID)
		}) {
			out = append(out, name)
		}
	}
	return out
}
