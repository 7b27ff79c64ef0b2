package smhi

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"osier/model"
)

// document is the part of an answer that is read, in either shape. Feeds grow;
// what else is in it does not matter.
type document struct {
	ReferenceTime string `json:"referenceTime"`
	Geometry      struct {
		Coordinates json.RawMessage `json:"coordinates"`
	} `json:"geometry"`
	TimeSeries []entry `json:"timeSeries"`
}

// entry is one time of the forecast.
type entry struct {
	Time          string                     `json:"time"`
	IntervalStart string                     `json:"intervalParametersStartTime"`
	Data          map[string]json.RawMessage `json:"data"`

	ValidTime  string      `json:"validTime"` // the older shape
	Parameters []parameter `json:"parameters"`

	at time.Time // Time or ValidTime, read
}

// parameter is one value of the older shape.
type parameter struct {
	Name   string            `json:"name"`
	Unit   string            `json:"unit"`
	Values []json.RawMessage `json:"values"`
}

// decode tells the usual wrong answers apart.
func decode(body []byte) (document, error) {
	const right = "an SMHI forecast is one JSON object with the list timeSeries"
	text := bytes.TrimSpace(body)
	switch {
	case len(text) == 0:
		return document{}, model.Invalidf("forecast", right, "the answer is empty")
	case text[0] == '<':
		return document{}, model.Invalidf("forecast", right, "the answer is a web page, not JSON")
	}
	var doc document
	if err := json.Unmarshal(text, &doc); err != nil {
		wrong := "the answer cannot be read"
		if syntax := (*json.SyntaxError)(nil); errors.As(err, &syntax) && syntax.Offset >= int64(len(text)) {
			wrong = "the answer breaks off before its end"
		}
		return document{}, &model.Error{Code: model.Invalid, Field: "forecast", Wrong: wrong, Right: right, Err: err}
	}
	if len(doc.TimeSeries) == 0 {
		return document{}, model.Invalidf("timeSeries", right, "it is missing or empty")
	}
	return doc, nil
}

// place reads the position: one pair of longitude and latitude, which the older
// shape puts into a list.
func place(coordinates json.RawMessage) (lonDeg, latDeg float64, err error) {
	var pair []float64
	var pairs [][]float64
	err = json.Unmarshal(coordinates, &pair)
	if err != nil && json.Unmarshal(coordinates, &pairs) == nil && len(pairs) == 1 {
		pair, err = pairs[0], nil
	}
	if err != nil || len(pair) < 2 {
		return 0, 0, model.Invalidf("geometry.coordinates", "they should be one longitude and latitude", "%.60s are not", coordinates)
	}
	lonDeg, latDeg = pair[0], pair[1]
	if err := model.Between("geometry.coordinates: longitude", lonDeg, -180, 180, "degrees"); err != nil {
		return 0, 0, err
	}
	if err := model.Between("geometry.coordinates: latitude", latDeg, -90, 90, "degrees"); err != nil {
		return 0, 0, err
	}
	return lonDeg, latDeg, nil
}

// parseTime reads RFC 3339 into UTC; a year that is not of our age is a slip.
func parseTime(text string) (time.Time, error) {
	at, err := time.Parse(time.RFC3339, text)
	if err == nil && (at.UTC().Year() < 1900 || at.UTC().Year() > 2200) {
		err = fmt.Errorf("there is no weather of the year %d", at.UTC().Year())
	}
	return at.UTC(), err
}

// inOrder drops entries whose time cannot be read or was there before, and
// sorts the rest.
func (r *reader) inOrder(entries []entry) []entry {
	var good []entry
	for i, e := range entries {
		if e.Time == "" {
			e.Time = e.ValidTime
		}
		at, err := parseTime(e.Time)
		if err != nil {
			r.warn("timeSeries[%d]: time %.40q cannot be read; the entry is left out", i, e.Time)
			continue
		}
		e.at = at
		good = append(good, e)
	}
	byTime := func(a, b entry) int { return a.at.Compare(b.at) }
	if !slices.IsSortedFunc(good, byTime) {
		r.warn("timeSeries: the times are out of order; they were sorted")
		slices.SortStableFunc(good, byTime)
	}
	return slices.CompactFunc(good, func(first, again entry) bool {
		same := first.at.Equal(again.at)
		if same {
			r.warn("timeSeries: %s comes twice; the first entry holds", again.Time)
		}
		return same
	})
}
