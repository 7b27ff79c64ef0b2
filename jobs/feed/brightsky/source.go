package brightsky

import (
	"encoding/json"
	"regexp"
	"strings"

	"osier/model"
)

// source is one of the places that the values of an answer came from.
type source struct {
	station  model.Station
	forecast bool
}

// readSources reads the list of sources by their number. One without a number,
// a place or a station's number, or of a kind that is not known here, is left
// out, and so is what came from it. (The kind "recent" is from memory.)
func (r *reader) readSources(doc document) {
	r.sources = map[int64]source{}
	for i, text := range doc.Sources {
		var s struct {
			ID     model.Maybe[int64]   `json:"id"`
			Kind   string               `json:"observation_type"`
			WMO    string               `json:"wmo_station_id"`
			DWD    string               `json:"dwd_station_id"`
			Name   string               `json:"station_name"`
			Lat    model.Maybe[float64] `json:"lat"`
			Lon    model.Maybe[float64] `json:"lon"`
			Height model.Maybe[float64] `json:"height"`
		}
		if err := json.Unmarshal(text, &s); err != nil || !s.ID.Known {
			r.warn("sources[%d]: it cannot be read; it is left out", i)
			continue
		}
		if !s.Lat.Known || !s.Lon.Known || model.Between("lat", s.Lat.Value, -90, 90, "degrees") != nil || model.Between("lon", s.Lon.Value, -180, 180, "degrees") != nil {
			r.warn("sources[%d]: it has no place on the earth; it is left out", i)
			continue
		}
		station := model.Station{ID: stationID(s.WMO, s.DWD), Source: Source, Name: printable(s.Name), LatDeg: s.Lat.Value, LonDeg: s.Lon.Value}
		// The lowest shore and the highest summit on earth, with room.
		if s.Height.Known && model.Between("height", s.Height.Value, -500, 9000, "m") == nil {
			station.ElevationM = model.Known(model.Metres(s.Height.Value))
		}
		switch s.Kind {
		case "forecast":
			r.sources[s.ID.Value] = source{station: station, forecast: true}
		case "historical", "current", "synop", "recent":
			if station.ID == "" {
				r.warn("sources[%d]: a station without a number; it is left out", i)
				continue
			}
			r.sources[s.ID.Value] = source{station: station}
			r.order = append(r.order, station.ID)
		default:
			r.warn("sources[%d]: observation_type %.40q is not known; it is left out", i, s.Kind)
		}
	}
}

// stationNumber is what a station's number looks like: 10658, P125, 00191.
var stationNumber = regexp.MustCompile(`^[A-Za-z0-9]{1,10}$`)

// stationID prefers the number that other feeds know a station by. The
// service's own numbers would clash with those, so they are marked.
func stationID(wmo, dwd string) string {
	switch {
	case stationNumber.MatchString(wmo):
		return wmo
	case stationNumber.MatchString(dwd):
		return "dwd-" + dwd
	}
	return ""
}

// printable keeps a name fit for any store: control characters become spaces.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, text)
}
