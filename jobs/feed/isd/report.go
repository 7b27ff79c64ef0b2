package isd

import (
	"time"

	"osier/model"
)

// form is a report as one of the two forms of the archive writes it: a line in
// fixed positions, or a row of a CSV table.
type form interface {
	station() string // USAF and WBAN number, with a hyphen between
	kind() string    // the report type
	time() (time.Time, error)
	place(r *report) (model.Station, bool)
	// group cuts what stands under a tag into fields of these widths; nil when
	// nothing does.
	group(tag string, widths ...int) ([]string, error)
	raw() string
}

// report is a report while it is read.
type report struct {
	form
	suspect bool
	notes   []string
}

// group gives the fields under a tag. Those that are not as wide as they should
// be are missing, with a note.
func (r *report) group(tag string, widths ...int) ([]string, bool) {
	parts, err := r.form.group(tag, widths...)
	if err != nil {
		r.note("%v", err)
	}
	return parts, parts != nil
}

// observation reads the report.
func (r *report) observation(at time.Time) model.Observation {
	o := model.Observation{
		Station:     r.station(),
		Source:      Source,
		At:          at,
		AirC:        single[model.Celsius](r, "TMP", airTemperature),
		DewC:        single[model.Celsius](r, "DEW", dewPoint),
		SeaLevelHPa: single[model.Hectopascals](r, "SLP", seaLevel),
		GustMps:     r.gust(),
		Rain:        r.rain(),
		CloudOktas:  r.cloud(),
		Thunder:     r.thunder(),
		Raw:         printable(r.raw()),
	}
	o.WindMps, o.WindFromDeg = r.wind()
	o.QNHHPa, o.StationHPa = r.pressures()
	o.WholeHPa = o.QNHHPa.Known && o.QNHHPa.Value == model.Hectopascals(int(o.QNHHPa.Value))
	o.LowTrust = r.suspect
	return o
}

// single reads a group of one value, five characters wide, and its mark.
func single[T ~float64](r *report, tag string, e element) model.Maybe[T] {
	parts, ok := r.group(tag, 5, 1)
	if !ok {
		return model.Maybe[T]{}
	}
	return read[T](r, e, parts[0], parts[1])
}

// wind reads WND: direction 3, mark 1, type 1, speed 4, mark 1. A speed of zero
// is a calm whatever its type; a missing speed is missing even where the type
// says calm, which many old lines do. A calm has no direction; a variable wind
// has one where the report gives the middle of its swing, and nines otherwise.
func (r *report) wind() (speed model.Maybe[model.MetresPerSecond], from model.Maybe[model.Degrees]) {
	parts, ok := r.group("WND", 3, 1, 1, 4, 1)
	if !ok {
		return speed, from
	}
	speed = read[model.MetresPerSecond](r, windSpeed, parts[3], parts[4])
	if parts[2] == "C" || speed == model.Known[model.MetresPerSecond](0) {
		return speed, from
	}
	from = read[model.Degrees](r, windDirection, parts[0], parts[1])
	if from.Value == 360 {
		from.Value = 0
	}
	return speed, from
}
