package isd

import (
	"fmt"
	"io"
	"strings"
	"time"

	"osier/model"
)

// csvColumns are the columns that every table of the CSV form has; of those of
// the optional items it has what the station reported in that year.
var csvColumns = []string{"STATION", "DATE", "LATITUDE", "LONGITUDE", "ELEVATION", "NAME", "REPORT_TYPE", "WND", "TMP", "DEW", "SLP"}

// ParseCSV reads a station-year of the CSV form ("global-hourly"), packed with
// gzip or not. What it gives, what is left out with a warning and what is an
// error is as with Parse; the raw text of a report is its row. A table without
// one of the columns that all have is an error.
func ParseCSV(r io.Reader) (model.Station, []model.Observation, []string, error) {
	body, err := readAll(r)
	if err != nil {
		return model.Station{}, nil, nil, err
	}
	t, err := readTable("station-year", body, csvColumns)
	if err != nil {
		return model.Station{}, nil, nil, err
	}
	var y year
	for i, text := range t.rows {
		if text == "" {
			continue
		}
		cell, err := t.read(text)
		if err != nil {
			y.warn(firstRow+i, "left out: %v", err)
			continue
		}
		y.add(firstRow+i, row{text: text, cell: cell})
	}
	return y.finish("a station-year is a table with one report a row")
}

// row is a report of the CSV form.
type row struct {
	text string
	cell func(column string) string
}

// group splits a cell at its commas. Fields are as wide as in the fixed form;
// one of another width has lost its zeros, or is something else.
func (r row) group(tag string, widths ...int) ([]string, error) {
	text := r.cell(tag)
	if text == "" {
		return nil, nil
	}
	parts := strings.Split(text, ",")
	if len(parts) < len(widths) {
		return nil, fmt.Errorf("%s %q has %d fields, %d are needed", tag, text, len(parts), len(widths))
	}
	for i, width := range widths {
		if len(parts[i]) != width {
			return nil, fmt.Errorf("field %d of %s %q has %d characters, %d are right", i+1, tag, text, len(parts[i]), width)
		}
	}
	return parts[:len(widths)], nil
}

// station puts in the hyphen that the cell lacks.
func (r row) station() string {
	const usafLength = 6
	text := r.cell("STATION")
	if len(text) <= usafLength {
		return text
	}
	return text[:usafLength] + "-" + text[usafLength:]
}

func (r row) kind() string { return strings.TrimSpace(r.cell("REPORT_TYPE")) }

func (r row) raw() string { return r.text }

// time is the time of the report, which the table gives in UTC without saying so.
func (r row) time() (time.Time, error) {
	at, err := time.Parse("2006-01-02T15:04:05", r.cell("DATE"))
	if err != nil || at.Year() < 1900 {
		return time.Time{}, fmt.Errorf("%q is no time yyyy-mm-ddThh:mm:ss", r.cell("DATE"))
	}
	return at, nil
}

// place is where the station says it stands.
func (r row) place(rep *report) (s model.Station, ok bool) {
	s = model.Station{ID: r.station(), Source: Source, Name: printable(r.cell("NAME"))}
	var latOK, lonOK bool
	s.LatDeg, latOK = rep.decimal(latitude, r.cell("LATITUDE"), 99.999)
	s.LonDeg, lonOK = rep.decimal(longitude, r.cell("LONGITUDE"), 999.999)
	if m, ok := rep.decimal(elevation, r.cell("ELEVATION"), 9999); ok {
		s.ElevationM = model.Known(model.Metres(m))
	}
	return s, latOK && lonOK
}
