package isd

import (
	"bytes"
	"encoding/csv"
	"errors"
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

// ParseStations reads the list of stations: a CSV with a header. A row without
// a position or a span is passed over with a warning that names it; an answer
// without the header is an error.
func ParseStations(r io.Reader) ([]ArchiveStation, []string, error) {
	body, err := readAll(r)
	if err != nil {
		return nil, nil, err
	}
	table := csv.NewReader(bytes.NewReader(body))
	table.FieldsPerRecord = -1
	header, err := table.Read()
	if err != nil {
		return nil, nil, model.Invalidf("isd-history.csv", "it begins with a header line", "it cannot be read as CSV: %v", err)
	}
	at := map[string]int{}
	for i, name := range header {
		at[name] = i
	}
	for _, name := range stationColumns {
		if _, ok := at[name]; !ok {
			return nil, nil, model.Invalidf("isd-history.csv", "its header names "+name, "there is no such column")
		}
	}
	var stations []ArchiveStation
	var warnings []string
	for {
		row, err := table.Read()
		if errors.Is(err, io.EOF) {
			return stations, warnings, nil
		}
		line, _ := table.FieldPos(0)
		if err == nil && len(row) < len(header) {
			err = fmt.Errorf("it has %d cells and the header %d", len(row), len(header))
		}
		var s ArchiveStation
		if err == nil {
			s, err = stationOf(func(name string) string { return row[at[name]] })
		}
		if err != nil {
			warnings = append(warnings, fmt.Sprintf("line %d: %v", line, err))
			continue
		}
		stations = append(stations, s)
	}
}

func stationOf(cell func(string) string) (ArchiveStation, error) {
	s := ArchiveStation{Station: model.Station{ID: cell("USAF") + "-" + cell("WBAN"), Source: Source, Name: cell("STATION NAME")}}
	var err error
	if s.LatDeg, err = degrees("LAT", cell("LAT"), 90); err != nil {
		return s, err
	}
	if s.LonDeg, err = degrees("LON", cell("LON"), 180); err != nil {
		return s, err
	}
	const noElevation = -999 // below it the list says that the height is not known
	if m, err := strconv.ParseFloat(cell("ELEV(M)"), 64); err == nil && m > noElevation && m < 9000 {
		s.ElevationM = model.Known(model.Metres(m))
	}
	if s.Begin, err = time.Parse("20060102", cell("BEGIN")); err != nil {
		return s, fmt.Errorf("BEGIN %q is no day", cell("BEGIN"))
	}
	if s.End, err = time.Parse("20060102", cell("END")); err != nil {
		return s, fmt.Errorf("END %q is no day", cell("END"))
	}
	return s, nil
}

func degrees(name, text string, most float64) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= -most && v <= most) { // written so that NaN fails too
		return 0, fmt.Errorf("%s %q is no position", name, text)
	}
	return v, nil
}
