package isd

import (
	"fmt"
	"io"
	"strconv"
	"time"

	"osier/model"
)

// StationsURL is the archive's list of its stations (from memory).
const StationsURL = "https://www.ncei.noaa.gov/pub/data/noaa/isd-history.csv"

// ArchiveStation is a station of the archive and the days it covers.
type ArchiveStation struct {
	model.Station
	Begin, End time.Time // the first and the last day, at midnight UTC
}

// stationColumns are the columns read, by name; the list has others.
var stationColumns = []string{"USAF", "WBAN", "STATION NAME", "LAT", "LON", "ELEV(M)", "BEGIN", "END"}

// ParseStations reads the list of stations, packed with gzip or not: a CSV with
// a header. A row that does not say which station it is of, where that stands or
// which days it covers is passed over with a warning that names it; an answer
// without the header, or without one station, is an error.
func ParseStations(r io.Reader) ([]ArchiveStation, []string, error) {
	const file = "isd-history.csv"
	body, err := readAll(r)
	if err != nil {
		return nil, nil, err
	}
	t, err := readTable(file, body, stationColumns)
	if err != nil {
		return nil, nil, err
	}
	var stations []ArchiveStation
	var warnings []string
	for i, text := range t.rows {
		if text == "" {
			continue
		}
		var s ArchiveStation
		cell, err := t.read(text)
		if err == nil {
			s, err = stationOf(cell)
		}
		if err != nil {
			warnings = append(warnings, fmt.Sprintf("line %d: left out: %v", firstRow+i, err))
			continue
		}
		stations = append(stations, s)
	}
	if len(stations) == 0 {
		return nil, nil, model.Invalidf(file, "it lists thousands of stations", "it has no station that can be read")
	}
	return stations, warnings, nil
}

func stationOf(cell func(string) string) (ArchiveStation, error) {
	s := ArchiveStation{Station: model.Station{ID: cell("USAF") + "-" + cell("WBAN"), Source: Source, Name: printable(cell("STATION NAME"))}}
	if !stationID.MatchString(s.ID) {
		return s, fmt.Errorf("%q is no pair of station numbers", s.ID)
	}
	var err error
	if s.LatDeg, err = degrees("LAT", cell("LAT"), 90); err != nil {
		return s, err
	}
	if s.LonDeg, err = degrees("LON", cell("LON"), 180); err != nil {
		return s, err
	}
	// The list writes -999 and what is below it where the height is not known.
	if m, err := strconv.ParseFloat(cell("ELEV(M)"), 64); err == nil && m >= elevation.low && m <= elevation.high {
		s.ElevationM = model.Known(model.Metres(m))
	}
	if s.Begin, err = time.Parse("20060102", cell("BEGIN")); err != nil {
		return s, fmt.Errorf("BEGIN %q is no day yyyymmdd", cell("BEGIN"))
	}
	if s.End, err = time.Parse("20060102", cell("END")); err != nil {
		return s, fmt.Errorf("END %q is no day yyyymmdd", cell("END"))
	}
	if s.End.Before(s.Begin) {
		return s, fmt.Errorf("it ends on %s, before it begins on %s", cell("END"), cell("BEGIN"))
	}
	return s, nil
}

func degrees(name, text string, most float64) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= -most && v <= most) { // written so that NaN fails too
		return 0, fmt.Errorf("%s %q is no position", name, text)
	}
	return v + 0, nil // adding zero turns -0 into 0
}
