package ghcnh

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"osier/model"
)

// StationsURL is the archive's list of its stations, as users of the archive
// give it.
const StationsURL = "https://www.ncei.noaa.gov/oa/global-historical-climatology-network/hourly/doc/ghcnh-station-list.csv"

// Columns of the list by position: editions of it come with a header and
// without one, and agree in these.
const (
	columnID = iota
	columnLat
	columnLon
	columnElevation
	columnState
	columnName
	columnsRead
)

// headerID is what the first column is called where there is a header.
const headerID = "GHCN_ID"

// ParseStations reads the list of stations, a CSV with or without a header. The
// list does not say which years a station covers. A row that does not say which
// station it is of or where that stands is passed over with a warning that names
// it; a height that no place on earth has is missing. An answer without one
// station is an error.
func ParseStations(r io.Reader) ([]model.Station, []string, error) {
	rows := csv.NewReader(r)
	rows.FieldsPerRecord, rows.LazyQuotes = -1, true
	var stations []model.Station
	var warnings []string
	for number := 1; ; number++ {
		cells, err := rows.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var broken *csv.ParseError
		if err != nil && !errors.As(err, &broken) {
			return nil, nil, &model.Error{Code: model.Invalid, Field: "station list", Wrong: "it breaks off", Right: "it comes whole", Err: err}
		}
		if number == 1 && err == nil && cells[columnID] == headerID {
			continue
		}
		var s model.Station
		if err == nil {
			s, err = listedStation(cells)
		}
		if err != nil {
			warnings = append(warnings, fmt.Sprintf("row %d: left out: %v", number, err))
			continue
		}
		stations = append(stations, s)
	}
	if len(stations) == 0 {
		return nil, nil, model.Invalidf("station list", "it lists thousands of stations", "it has no station that can be read")
	}
	return stations, warnings, nil
}

func listedStation(cells []string) (model.Station, error) {
	if len(cells) < columnsRead {
		return model.Station{}, fmt.Errorf("it has %d cells, at least %d are needed", len(cells), columnsRead)
	}
	s := model.Station{ID: cells[columnID], Source: Source, Name: printable(strings.TrimSpace(cells[columnName]))}
	if !stationID.MatchString(s.ID) {
		return s, fmt.Errorf("%.40q is no name of a station", s.ID)
	}
	var latOK, lonOK bool
	s.LatDeg, latOK = between(cells[columnLat], -90, 90)
	s.LonDeg, lonOK = between(cells[columnLon], -180, 180)
	if !latOK || !lonOK {
		return s, fmt.Errorf("%s: %.20q, %.20q is no position", s.ID, cells[columnLat], cells[columnLon])
	}
	// -999.9, -999.0, 8191.0 and 9999.0 stand for a height that is not known.
	if m, ok := between(cells[columnElevation], -430, 5500); ok {
		s.ElevationM = model.Known(model.Metres(m))
	}
	return s, nil
}
