package ghcnh

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"osier/model"
)

// largestFile bounds what is read: a station's year of reports every five
// minutes, all columns filled, or its decades of hours (our choice). longestLine
// is ten times the longest recorded.
const (
	largestFile = 256 << 20
	longestLine = 64 << 10
)

const right = "a station table has one heading line with names parted by bars, then one report a line"

// Parse reads a table of one station, over one year or all: who reported and
// from where, and the reports in the order of time, one an instant, their raw
// text being the remarks. Rows in which no element has a value are passed over.
// A row that cannot be read is left out with a warning that names it; so is a
// value. A table without one of the columns that all have, without one readable
// row, or whose rows never say where the station is, is an error.
func Parse(r io.Reader) (model.Station, []model.Observation, []string, error) {
	input := &io.LimitedReader{R: r, N: largestFile + 1}
	t, err := readTable(input)
	switch {
	case err != nil:
		return model.Station{}, nil, nil, err
	case input.N <= 0:
		return model.Station{}, nil, nil, &model.Error{Code: model.TooLarge, Field: "station table", Wrong: "it is larger than 256 MiB", Right: right}
	case t.rows == 0 && len(t.warnings) > 0:
		return model.Station{}, nil, nil, model.Invalidf("station table", right, "no row of it can be read; the first: %s", t.warnings[0])
	case t.rows == 0:
		return model.Station{}, nil, nil, model.Invalidf("station table", right, "it has no rows")
	case !t.placed:
		return model.Station{}, nil, nil, model.Invalidf("station table", "at least one row gives latitude and longitude", "no row says where the station is")
	}
	reports := lastOfEachInstant(t.reports)
	if again := len(t.reports) - len(reports); again > 0 {
		t.warnings = append(t.warnings, fmt.Sprintf("%d reports are left out: a later row is of the same instant", again))
	}
	return t.station, reports, t.warnings, nil
}

// table gathers the rows of a file.
type table struct {
	station  model.Station
	placed   bool
	rows     int // read, with or without values
	reports  []model.Observation
	warnings []string
}

func readTable(r io.Reader) (*table, error) {
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, longestLine)
	lines.Scan()
	if lines.Err() != nil {
		return nil, cannotBeRead(lines.Err())
	}
	first := lines.Text()
	switch {
	case first == "":
		return nil, model.Invalidf("station table", right, "it is empty")
	case strings.HasPrefix(strings.TrimSpace(first), "<"):
		return nil, model.Invalidf("station table", right, "it is a web page")
	}
	h, err := readHeading(first)
	if err != nil {
		return nil, err
	}
	t := &table{}
	for number := 2; lines.Scan(); number++ {
		if text := lines.Text(); text != "" {
			t.add(number, h, text)
		}
	}
	if lines.Err() != nil {
		return nil, cannotBeRead(lines.Err())
	}
	return t, nil
}

func cannotBeRead(err error) error {
	return &model.Error{Code: model.Invalid, Field: "station table", Wrong: "it breaks off, or a line of it is longer than 64 KiB", Right: right, Err: err}
}

func (t *table) warn(number int, format string, args ...any) {
	t.warnings = append(t.warnings, fmt.Sprintf("line %d: %s", number, fmt.Sprintf(format, args...)))
}

// add reads one row.
func (t *table) add(number int, h heading, text string) {
	r, err := newRow(h, text)
	if err != nil {
		t.warn(number, "left out: %v", err)
		return
	}
	at, err := r.time()
	if err != nil {
		t.warn(number, "left out: %v", err)
		return
	}
	station, placed := r.place()
	switch {
	case !stationID.MatchString(station.ID):
		t.warn(number, "left out: %q is no station of the network", station.ID)
		return
	case t.rows > 0 && station.ID != t.station.ID:
		t.warn(number, "left out: it is of station %s, the table of %s", station.ID, t.station.ID)
		return
	case placed || !t.placed:
		t.station = station
	}
	t.placed = t.placed || placed
	t.rows++
	o := r.observation(at)
	for _, note := range r.notes {
		t.warn(number, "%s; left out", note)
	}
	if saysSomething(o) {
		t.reports = append(t.reports, o)
	}
}

// saysSomething is false for the rows that fill a table up to even steps of
// time.
func saysSomething(o model.Observation) bool {
	return o.AirC.Known || o.DewC.Known || o.WindMps.Known || o.WindFromDeg.Known || o.GustMps.Known || o.QNHHPa.Known ||
		o.SeaLevelHPa.Known || o.StationHPa.Known || o.Rain.Known || o.Thunder != model.ThunderUnknown
}

// lastOfEachInstant sorts the reports. The archive merges what its sources say
// of one instant into one row; should it have more, the last corrects those
// before it.
func lastOfEachInstant(reports []model.Observation) []model.Observation {
	reports = slices.Clone(reports)
	slices.Reverse(reports)
	slices.SortStableFunc(reports, func(a, b model.Observation) int { return a.At.Compare(b.At) })
	return slices.CompactFunc(reports, func(a, b model.Observation) bool { return a.At.Equal(b.At) })
}
