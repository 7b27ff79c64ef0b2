package isdlite

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"osier/model"
)

// Parse reads one station-year, packed with gzip or not: the reports of the
// given station, which the file does not name, in the order of time, one an
// hour. A line that cannot be read is left out with a warning that names it; so
// is a value. A file without one readable line is an error.
func Parse(r io.Reader, station model.Station) ([]model.Observation, []string, error) {
	const right = "a station-year is text, one hour a line, in columns of fixed width"
	body, err := readAll(r)
	if err != nil {
		return nil, nil, err
	}
	if strings.HasPrefix(strings.TrimSpace(string(body)), "<") {
		return nil, nil, model.Invalidf("station-year", right, "it is a web page")
	}
	var reports []model.Observation
	var warnings []string
	for i, text := range strings.Split(string(body), "\n") {
		if text = strings.TrimRight(text, " \r"); text == "" {
			continue
		}
		o, notes, err := observation(text)
		if err != nil {
			warnings = append(warnings, fmt.Sprintf("line %d: left out: %v", i+1, err))
			continue
		}
		for _, note := range notes {
			warnings = append(warnings, fmt.Sprintf("line %d: %s; left out", i+1, note))
		}
		o.Station = station.ID
		reports = append(reports, o)
	}
	switch {
	case len(reports) == 0 && len(warnings) > 0:
		return nil, nil, model.Invalidf("station-year", right, "no line of it can be read; the first: %s", warnings[0])
	case len(reports) == 0:
		return nil, nil, model.Invalidf("station-year", right, "it is empty")
	}
	kept := lastOfEachHour(reports)
	if again := len(reports) - len(kept); again > 0 {
		warnings = append(warnings, fmt.Sprintf("%d reports are left out: a later line is of the same hour", again))
	}
	return kept, warnings, nil
}

// lastOfEachHour sorts the reports. The archive says that an hour has one line;
// should it have more, the last corrects those before it.
func lastOfEachHour(reports []model.Observation) []model.Observation {
	reports = slices.Clone(reports)
	slices.Reverse(reports)
	slices.SortStableFunc(reports, func(a, b model.Observation) int { return a.At.Compare(b.At) })
	return slices.CompactFunc(reports, func(a, b model.Observation) bool { return a.At.Equal(b.At) })
}
