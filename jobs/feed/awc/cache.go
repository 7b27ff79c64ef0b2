package awc

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"time"

	"osier/model"
)

// Source is what stations and reports from here are marked with.
const Source = "awc"

// CacheURL is the address of the cache file.
const CacheURL = "https://aviationweather.gov/data/cache/metars.cache.csv.gz"

// Row is one report as the cache file has it, not yet decoded.
type Row struct {
	Raw        string
	Station    model.Station
	ObservedAt time.Time // UTC
	Corrected  bool      // the centre marks it as the correction of an earlier one
}

// columns says where the fields of a row are. The file repeats the names of its
// cloud columns; the first of a name holds.
type columns struct {
	count                int
	raw, station, time   int
	lat, lon             int
	elevation, corrected int
}

// stationID is the form of a location indicator; digits do occur in it.
var stationID = regexp.MustCompile(`^[A-Z][A-Z0-9]{3}$`)

// ParseCache reads a cache file, packed with gzip or not. Lines before the
// header are skipped. A row that cannot be placed or dated is left out with a
// warning that names it; an answer without the header is an error.
func ParseCache(r io.Reader) ([]Row, []string, error) {
	body, err := readAll(r)
	if err != nil {
		return nil, nil, err
	}
	lines := strings.Split(string(body), "\n")
	first, cols, err := findHeader(lines)
	if err != nil {
		return nil, nil, err
	}
	var rows []Row
	var warnings []string
	for i, line := range lines[first:] {
		line = strings.TrimSuffix(line, "\r")
		if line == "" {
			continue
		}
		row, err := cols.read(line)
		if err != nil {
			warnings = append(warnings, fmt.Sprintf("line %d, %.40q, is left out: %v", first+i+1, line, err))
			continue
		}
		rows = append(rows, row)
	}
	return rows, warnings, nil
}

// findHeader returns the number of the first line after the header, and where
// the columns are.
func findHeader(lines []string) (int, columns, error) {
	const right = "the cache file is CSV whose header begins with raw_text,station_id,observation_time"
	if strings.HasPrefix(strings.TrimSpace(lines[0]), "<") {
		return 0, columns{}, model.Invalidf("cache file", right, "it is a web page")
	}
	for i, line := range lines {
		if !strings.HasPrefix(line, "raw_text,") {
			continue
		}
		at := map[string]int{}
		names := strings.Split(strings.TrimSuffix(line, "\r"), ",")
		for j, name := range names {
			if _, again := at[name]; !again {
				at[name] = j
			}
		}
		for _, name := range []string{"station_id", "observation_time", "latitude", "longitude", "elevation_m", "corrected"} {
			if _, there := at[name]; !there {
				return 0, columns{}, model.Invalidf("cache file: header", right+" and names latitude, longitude, elevation_m and corrected", "the column %s is missing", name)
			}
		}
		return i + 1, columns{
			count: len(names), raw: at["raw_text"], station: at["station_id"], time: at["observation_time"],
			lat: at["latitude"], lon: at["longitude"], elevation: at["elevation_m"], corrected: at["corrected"],
		}, nil
	}
	return 0, columns{}, model.Invalidf("cache file", right, "it has no such header")
}

// read reads one line. Lines are read one by one, since a stray quote in one
// must not swallow those after it.
func (c columns) read(line string) (Row, error) {
	in := csv.NewReader(strings.NewReader(line))
	in.LazyQuotes = true
	fields, err := in.Read()
	if err != nil {
		return Row{}, err
	}
	if len(fields) != c.count {
		return Row{}, fmt.Errorf("it has %d fields where the header has %d", len(fields), c.count)
	}
	row := Row{Raw: printable(fields[c.raw]), Corrected: fields[c.corrected] == "TRUE"}
	if row.Station, err = c.stationOf(fields); err != nil {
		return Row{}, err
	}
	at, err := time.Parse(time.RFC3339, fields[c.time])
	if err != nil || at.UTC().Year() < 1900 || at.UTC().Year() > 2200 {
		return Row{}, fmt.Errorf("its observation_time %.40q is no time such as 2022-10-22T19:13:00Z", fields[c.time])
	}
	row.ObservedAt = at.UTC()
	if row.Raw == "" {
		return Row{}, errors.New("it has no report")
	}
	return row, nil
}

func (c columns) stationOf(fields []string) (model.Station, error) {
	s := model.Station{ID: fields[c.station], Source: Source}
	if !stationID.MatchString(s.ID) {
		return s, fmt.Errorf("its station_id %.20q is no location indicator of four letters and digits", s.ID)
	}
	var err error
	if s.LatDeg, err = number("latitude", fields[c.lat], -90, 90); err != nil {
		return s, err
	}
	if s.LonDeg, err = number("longitude", fields[c.lon], -180, 180); err != nil {
		return s, err
	}
	if fields[c.elevation] == "" {
		return s, nil
	}
	// The lowest shore and the highest summit on earth, with room.
	elevation, err := number("elevation_m", fields[c.elevation], -500, 9000)
	if err != nil {
		return s, err
	}
	s.ElevationM = model.Known(model.Metres(elevation))
	return s, nil
}

func number(name, text string, low, high float64) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= low && v <= high) {
		return 0, fmt.Errorf("its %s %.20q is no number from %v to %v", name, text, low, high)
	}
	return v, nil
}

// printable takes out what lines of old modems left in a report: control
// characters become spaces and broken characters go.
func printable(text string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "")))
}
