package nws

import (
	"encoding/json"
	"errors"
	"fmt"
	"path"
	"time"

	"osier/model"
)

// Report is one observation and the station that made it.
type Report struct {
	Station model.Station
	// Observation holds the values of the JSON, and in Raw the report as the
	// station sent it, where there is one. Decode that and see Prefer.
	Observation model.Observation
	// Failed names the properties whose values the service's own checks
	// refused. They are missing here, and the raw report must not bring them
	// back.
	Failed []string
}

// The properties read, where a name is needed more than once.
const (
	temperatureName = "temperature"
	dewPointName    = "dewpoint"
	directionName   = "windDirection"
	speedName       = "windSpeed"
	gustName        = "windGust"
	qnhName         = "barometricPressure"
	seaLevelName    = "seaLevelPressure"
)

// Parse reads the observations of one station, or its latest alone, in the
// order of the answer. No observations is an answer too: it gives no reports
// and no error. A fault in one value or one report is a warning, and what it
// spoilt is missing; a report that cannot be placed or dated, or that says
// nothing, is left out. A problem document, a web page or half an answer is an
// error that says which.
func Parse(body []byte) ([]Report, []string, error) {
	features, err := split(body)
	if err != nil {
		return nil, nil, err
	}
	var reports []Report
	n := &notes{}
	for i, text := range features {
		report, err := n.report(text)
		if err != nil {
			n.warn("observation %d is left out: %v", i+1, err)
			continue
		}
		reports = append(reports, report)
	}
	return reports, n.list, nil
}

func (n *notes) report(text json.RawMessage) (Report, error) {
	f, latDeg, lonDeg, err := decodeFeature(text)
	if err != nil {
		return Report{}, err
	}
	r := &reader{notes: n, what: "observation", properties: f.Properties}
	id, err := r.station()
	if err != nil {
		return Report{}, err
	}
	timestamp := r.text("timestamp")
	at, err := time.Parse(time.RFC3339, timestamp)
	if err != nil || at.UTC().Year() < 1900 || at.UTC().Year() > 2200 {
		return Report{}, fmt.Errorf("the timestamp %.40q of %s is no time such as 2026-03-04T21:15:00+00:00", timestamp, id)
	}
	r.what = id + " at " + at.UTC().Format(time.RFC3339)
	report := Report{
		Station: model.Station{
			ID: id, Source: Source, Name: r.text("stationName"), LatDeg: latDeg, LonDeg: lonDeg,
			ElevationM: read[model.Metres](r, "elevation", height),
		},
		Observation: r.observation(id, at.UTC()),
	}
	report.Failed = r.failed
	if silent(report.Observation) {
		return Report{}, fmt.Errorf("%s says nothing", r.what)
	}
	return report, nil
}

// station finds whose report it is. Older answers have only the address of the
// station, whose last part is its name.
func (r *reader) station() (string, error) {
	id := r.text("stationId")
	if id == "" {
		id = path.Base(r.text("station"))
	}
	if !stationID.MatchString(id) {
		return "", errors.New("it does not name its station")
	}
	return id, nil
}

func (r *reader) observation(id string, at time.Time) model.Observation {
	o := model.Observation{
		Station: id, Source: Source, At: at,
		AirC:        read[model.Celsius](r, temperatureName, airTemperature),
		DewC:        read[model.Celsius](r, dewPointName, dewPoint),
		WindMps:     read[model.MetresPerSecond](r, speedName, speed),
		WindFromDeg: read[model.Degrees](r, directionName, direction),
		GustMps:     read[model.MetresPerSecond](r, gustName, speed),
		QNHHPa:      read[model.Hectopascals](r, qnhName, pressure),
		SeaLevelHPa: read[model.Hectopascals](r, seaLevelName, pressure),
		Rain:        r.rain(),
		CloudOktas:  r.cloud(),
		Thunder:     r.thunder(),
		Raw:         r.text("rawMessage"),
	}
	switch {
	case o.WindMps == model.Known[model.MetresPerSecond](0):
		o.WindFromDeg = model.Maybe[model.Degrees]{} // a calm blows from nowhere; the feed writes 0
	case o.WindFromDeg.Value == 360:
		o.WindFromDeg.Value = 0
	}
	o.LowTrust = r.questioned
	return o
}

// rain reads the depth over the shortest time that there is one for.
func (r *reader) rain() model.Maybe[model.Rain] {
	for _, over := range []struct {
		name string
		h    float64
	}{{"precipitationLastHour", 1}, {"precipitationLast3Hours", 3}, {"precipitationLast6Hours", 6}} {
		if mm, ok := r.value(over.name, rainDepth); ok {
			return model.Known(model.Rain{Mm: model.Millimetres(mm), OverH: over.h})
		}
	}
	return model.Maybe[model.Rain]{}
}

// silent says that an observation holds nothing but whose it is and when.
func silent(o model.Observation) bool {
	return o == model.Observation{Station: o.Station, Source: o.Source, At: o.At}
}
