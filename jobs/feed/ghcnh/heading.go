package ghcnh

import (
	"slices"
	"strings"

	"osier/model"
)

// heading says where the columns of a table are. Versions of the archive order
// and spell them differently, so all are found by name.
type heading struct {
	names                                                         []string
	station, stationName, latitude, longitude, elevation, remarks int
	date                                                          int   // of tables that give the time in one column, else none
	clock                                                         []int // year, month, day, hour and minute of those that give it in five
	elements                                                      map[string]columns
}

// columns are those of one element that are read.
type columns struct{ value, measurement, quality, source int }

// none stands for a column that the table does not have.
const none = -1

// readHeading reads the first line, which must name what every table of the
// archive has.
func readHeading(line string) (heading, error) {
	h := heading{names: strings.Split(line, "|"), elements: map[string]columns{}}
	h.stationName = h.column("Station_name")
	h.remarks = h.column("remarks", "REM")
	h.date = h.column("DATE")
	var err error
	need := func(names ...string) int {
		i := h.column(names...)
		if i == none && err == nil {
			err = model.Invalidf("station table", "its first line names the columns, "+names[0]+" among them", "there is no such column")
		}
		return i
	}
	h.station = need("Station_ID", "STATION")
	h.latitude = need("Latitude", "LATITUDE")
	h.longitude = need("Longitude", "LONGITUDE")
	h.elevation = need("Elevation", "ELEVATION")
	if h.date == none {
		h.clock = []int{need("Year"), need("Month"), need("Day"), need("Hour"), need("Minute")}
	}
	for _, name := range everyTable {
		h.elements[name] = columns{need(name), need(name + "_Measurement_Code"), need(name + "_Quality_Code"), need(name + "_Source_Code")}
	}
	for _, name := range someTables {
		if h.column(name) != none {
			h.elements[name] = columns{need(name), need(name + "_Measurement_Code"), need(name + "_Quality_Code"), need(name + "_Source_Code")}
		}
	}
	return h, err
}

// column finds the column that goes by one of the names.
func (h heading) column(names ...string) int {
	return slices.IndexFunc(h.names, func(name string) bool { return slices.Contains(names, name) })
}
