package nws

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"osier/model"
)

// document is what tells one kind of answer from another.
type document struct {
	Type     string            `json:"type"`
	Features []json.RawMessage `json:"features"`

	// A problem document (RFC 7807) has these instead.
	Title  string `json:"title"`
	Status int    `json:"status"`
	Detail string `json:"detail"`
}

// feature is one station or one report of one. Properties are read one by one,
// so that a wrong one takes no other with it.
type feature struct {
	Geometry struct {
		Coordinates []float64 `json:"coordinates"` // longitude, latitude
	} `json:"geometry"`
	Properties map[string]json.RawMessage `json:"properties"`
}

// split takes an answer apart into its features, of which there may be none,
// and tells the usual wrong answers apart.
func split(body []byte) ([]json.RawMessage, error) {
	const right = "an answer is a GeoJSON FeatureCollection or Feature"
	text := bytes.TrimSpace(body)
	switch {
	case len(text) == 0:
		return nil, model.Invalidf("NWS answer", right, "it is empty")
	case text[0] == '<':
		return nil, model.Invalidf("NWS answer", right, "it is a web page, not JSON")
	}
	var doc document
	if err := json.Unmarshal(text, &doc); err != nil {
		wrong := "it cannot be read"
		if syntax := (*json.SyntaxError)(nil); errors.As(err, &syntax) && syntax.Offset >= int64(len(text)) {
			wrong = "it breaks off before its end"
		}
		return nil, &model.Error{Code: model.Invalid, Field: "NWS answer", Wrong: wrong, Right: right, Err: err}
	}
	switch {
	case doc.Type == "FeatureCollection":
		return doc.Features, nil
	case doc.Type == "Feature":
		return []json.RawMessage{text}, nil
	case doc.Title != "" || doc.Detail != "":
		return nil, doc.problem()
	}
	return nil, model.Invalidf("NWS answer", right, "its type is %.40q", doc.Type)
}

// problem turns a problem document into an error in the feed's own words.
func (d document) problem() error {
	code := model.Invalid
	switch {
	case d.Status == http.StatusNotFound:
		code = model.NotFound
	case d.Status == http.StatusTooManyRequests || d.Status >= 500:
		code = model.Unavailable
	}
	return &model.Error{Code: code, Field: "NWS answer", Wrong: fmt.Sprintf("the feed says %d %.80s: %.300s", d.Status, printable(d.Title), printable(d.Detail))}
}

// decodeFeature reads one feature and where it is.
func decodeFeature(text json.RawMessage) (f feature, latDeg, lonDeg float64, err error) {
	if err := json.Unmarshal(text, &f); err != nil {
		return f, 0, 0, fmt.Errorf("it cannot be read: %w", err)
	}
	at := f.Geometry.Coordinates
	if len(at) < 2 || at[0] < -180 || at[0] > 180 || at[1] < -90 || at[1] > 90 {
		return f, 0, 0, fmt.Errorf("its coordinates %v are no longitude and latitude", at)
	}
	return f, at[1] + 0, at[0] + 0, nil // + 0: never -0
}

// notes are the warnings about one answer.
type notes struct {
	list []string
	said map[string]bool
}

func (n *notes) warn(format string, args ...any) {
	n.list = append(n.list, fmt.Sprintf(format, args...))
}

// once warns of what concerns every report of the answer.
func (n *notes) once(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if n.said[text] {
		return
	}
	if n.said == nil {
		n.said = map[string]bool{}
	}
	n.said[text] = true
	n.list = append(n.list, text)
}

// printable makes one line of a text: control characters become spaces.
func printable(text string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, text))
}
