package ghcnh

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"osier/model"
)

// row is one report while it is read.
type row struct {
	heading heading
	cells   []string
	suspect bool
	notes   []string
}

func newRow(h heading, text string) (*row, error) {
	cells := strings.Split(text, "|")
	if len(cells) != len(h.names) {
		return nil, fmt.Errorf("it has %d cells and the heading %d", len(cells), len(h.names))
	}
	return &row{heading: h, cells: cells}, nil
}

// time is the time of the report, in UTC.
func (r *row) time() (time.Time, error) {
	text := r.date()
	at, err := time.Parse("2006-01-02T15:04:05", text)
	if err != nil || at.Year() < firstYear {
		return time.Time{}, fmt.Errorf("%q is no time yyyy-mm-ddThh:mm:ss", text)
	}
	return at, nil
}

func (r *row) date() string {
	if r.heading.date != none {
		return strings.TrimSuffix(r.cells[r.heading.date], "Z")
	}
	var parts []any
	for _, column := range r.heading.clock {
		parts = append(parts, r.cells[column])
	}
	return fmt.Sprintf("%s-%s-%sT%s:%s:00", parts...)
}

// place is where the station says it stands. A height outside the range of the
// earth's, such as -999.9, is one that is not known.
func (r *row) place() (s model.Station, ok bool) {
	s = model.Station{ID: r.cells[r.heading.station], Source: Source}
	if r.heading.stationName != none {
		s.Name = printable(r.cells[r.heading.stationName])
	}
	var latOK, lonOK bool
	s.LatDeg, latOK = between(r.cells[r.heading.latitude], -90, 90)
	s.LonDeg, lonOK = between(r.cells[r.heading.longitude], -180, 180)
	if m, ok := between(r.cells[r.heading.elevation], -400, 8850); ok {
		s.ElevationM = model.Known(model.Metres(m))
	}
	return s, latOK && lonOK
}

func between(text string, low, high float64) (float64, bool) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= low && v <= high) { // written so that NaN fails too
		return 0, false
	}
	return v + 0, true // adding zero turns -0 into 0
}

// observation reads the report.
func (r *row) observation(at time.Time) model.Observation {
	o := model.Observation{
		Station:     r.cells[r.heading.station],
		Source:      Source,
		At:          at,
		AirC:        read[model.Celsius](r, airTemperature),
		DewC:        read[model.Celsius](r, dewPoint),
		GustMps:     read[model.MetresPerSecond](r, windGust),
		QNHHPa:      read[model.Hectopascals](r, altimeter),
		SeaLevelHPa: read[model.Hectopascals](r, seaLevel),
		StationHPa:  read[model.Hectopascals](r, stationPressure),
		Rain:        r.rain(),
		Thunder:     r.thunder(),
	}
	if r.heading.remarks != none {
		o.Raw = printable(r.cells[r.heading.remarks])
	}
	o.WindMps, o.WindFromDeg = r.wind()
	o.WholeHPa = o.QNHHPa.Known && o.QNHHPa.Value == model.Hectopascals(int(o.QNHHPa.Value))
	o.LowTrust = r.suspect
	return o
}

// wind reads speed and direction. A calm has no direction, whether its code says
// so or its speed is zero; a missing speed is missing even where the code says
// calm. The direction of a variable wind is written VRB, and 0 is that of a
// calm: north is 360. As in the Integrated Surface Data, 999 is missing.
func (r *row) wind() (speed model.Maybe[model.MetresPerSecond], from model.Maybe[model.Degrees]) {
	const calm, variable, nines = "C", "VRB", "999"
	speed = read[model.MetresPerSecond](r, windSpeed)
	direction := r.entry(windDirection.name)
	switch {
	case direction.code() == calm || r.entry(windSpeed.name).code() == calm || speed == model.Known[model.MetresPerSecond](0):
		return speed, from
	case direction.value == variable || direction.value == nines:
		return speed, from
	}
	from = read[model.Degrees](r, windDirection)
	switch from.Value {
	case 0:
		return speed, model.Maybe[model.Degrees]{}
	case 360:
		from.Value = 0
	}
	return speed, from
}

// printable keeps raw text fit for any store: control characters become spaces
// and broken characters go.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, ""))
}
