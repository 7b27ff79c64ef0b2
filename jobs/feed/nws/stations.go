package nws

import (
	"encoding/json"
	"fmt"

	"osier/model"
)

// ParseStations reads the list of stations near a place, in the order of the
// answer, which is nearest first (from memory). A station without a name or a
// position is left out with a warning; one without a height is kept. Wrong
// answers are errors as with Parse.
func ParseStations(body []byte) ([]model.Station, []string, error) {
	features, err := split(body)
	if err != nil {
		return nil, nil, err
	}
	var stations []model.Station
	n := &notes{}
	for i, text := range features {
		s, err := n.station(text)
		if err != nil {
			n.warn("station %d is left out: %v", i+1, err)
			continue
		}
		stations = append(stations, s)
	}
	return stations, n.list, nil
}

func (n *notes) station(text json.RawMessage) (model.Station, error) {
	f, latDeg, lonDeg, err := decodeFeature(text)
	if err != nil {
		return model.Station{}, err
	}
	r := &reader{notes: n, what: "station", properties: f.Properties}
	id := r.text("stationIdentifier")
	if !stationID.MatchString(id) {
		return model.Station{}, fmt.Errorf("its stationIdentifier %.40q is no name of a station", id)
	}
	r.what = id
	return model.Station{
		ID: id, Source: Source, Name: r.text("name"), LatDeg: latDeg, LonDeg: lonDeg,
		ElevationM: read[model.Metres](r, "elevation", height),
	}, nil
}
