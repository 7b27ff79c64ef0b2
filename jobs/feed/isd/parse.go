package isd

import (
	"fmt"
	"io"
	"slices"

	"osier/model"
)

// Parse reads one station-year, packed with gzip or not: who reported and from
// where, and the reports in the order of time, one an instant. A line that
// cannot be read is left out with a warning that names it; so is a value. A file
// without one readable line, or whose lines never say where the station is, is
// an error.
func Parse(r io.Reader) (model.Station, []model.Observation, []string, error) {
	body, err := readAll(r)
	if err != nil {
		return model.Station{}, nil, nil, err
	}
	var y year
	for i, text := range lines(body) {
		if text == "" {
			continue
		}
		l, err := newLine(text)
		if err != nil {
			y.warn(i+1, "left out: %v", err)
			continue
		}
		y.add(i+1, l)
	}
	return y.finish("a station-year is text, one report a line, each beginning with the digits of its length")
}

// year gathers the lines of a file.
type year struct {
	station  model.Station
	placed   bool
	reports  []model.Observation
	warnings []string
}

func (y *year) warn(number int, format string, args ...any) {
	y.warnings = append(y.warnings, fmt.Sprintf("line %d: %s", number, fmt.Sprintf(format, args...)))
}

// add reads one report.
func (y *year) add(number int, f form) {
	at, err := f.time()
	if err != nil {
		y.warn(number, "left out: %v", err)
		return
	}
	if !stationID.MatchString(f.station()) {
		y.warn(number, "left out: %q is no pair of station numbers", f.station())
		return
	}
	if len(y.reports) > 0 && f.station() != y.station.ID {
		y.warn(number, "left out: it is of station %s, the file of %s", f.station(), y.station.ID)
		return
	}
	if summaries[f.kind()] {
		y.warn(number, "left out: %s sums up a longer time and is no report of one instant", f.kind())
		return
	}
	r := &report{form: f}
	y.place(r)
	y.reports = append(y.reports, r.observation(at))
	for _, note := range r.notes {
		y.warn(number, "%s; left out", note)
	}
}

// finish gives what the file holds, or says in what it is no station-year.
func (y *year) finish(right string) (model.Station, []model.Observation, []string, error) {
	switch {
	case len(y.reports) == 0 && len(y.warnings) > 0:
		return model.Station{}, nil, nil, model.Invalidf("station-year", right, "no line of it can be read; the first: %s", y.warnings[0])
	case len(y.reports) == 0:
		return model.Station{}, nil, nil, model.Invalidf("station-year", right, "it is empty")
	case !y.placed:
		return model.Station{}, nil, nil, model.Invalidf("station-year", "at least one line gives latitude and longitude", "no line says where the station is")
	}
	reports := y.inOrder()
	if again := len(y.reports) - len(reports); again > 0 {
		y.warnings = append(y.warnings, fmt.Sprintf("%d reports are left out: of each of their instants another says as much or more", again))
	}
	return y.station, reports, y.warnings, nil
}

// summaries are report types that are not of one instant: days, months, and the
// sums of the US rain networks (DS3505, from memory).
var summaries = map[string]bool{"SOD": true, "SOM": true, "PCP15": true, "PCP60": true}

// place keeps the newest position; stations move by some metres over the years.
func (y *year) place(r *report) {
	station, ok := r.place(r)
	if ok || !y.placed {
		y.station = station
	}
	y.placed = y.placed || ok
}

// inOrder sorts the reports. Of several at one instant the one with most values
// stays, and of equals the last in the file: later lines correct earlier ones.
func (y *year) inOrder() []model.Observation {
	slices.SortStableFunc(y.reports, func(a, b model.Observation) int { return a.At.Compare(b.At) })
	var kept []model.Observation
	for _, o := range y.reports {
		last := len(kept) - 1
		switch {
		case last < 0 || !kept[last].At.Equal(o.At):
			kept = append(kept, o)
		case values(o) >= values(kept[last]):
			kept[last] = o
		}
	}
	return kept
}

// values counts what a report says.
func values(o model.Observation) int {
	n := 0
	for _, known := range []bool{
		o.AirC.Known, o.DewC.Known, o.WindMps.Known, o.WindFromDeg.Known, o.GustMps.Known, o.QNHHPa.Known, o.SeaLevelHPa.Known,
		o.StationHPa.Known, o.Rain.Known, o.CloudOktas.Known, o.Thunder != model.ThunderUnknown,
	} {
		if known {
			n++
		}
	}
	return n
}
