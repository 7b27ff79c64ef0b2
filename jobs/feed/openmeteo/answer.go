package openmeteo

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"

	"osier/model"
)

// answer is the part of an answer that is read. Feeds grow; what else is in it
// does not matter.
type answer struct {
	Error            bool                       `json:"error"`
	Reason           string                     `json:"reason"`
	Latitude         model.Maybe[float64]       `json:"latitude"`
	Longitude        model.Maybe[float64]       `json:"longitude"`
	UTCOffsetSeconds model.Maybe[float64]       `json:"utc_offset_seconds"`
	HourlyUnits      map[string]any             `json:"hourly_units"`
	Hourly           map[string]json.RawMessage `json:"hourly"`
}

// decode tells the usual wrong answers apart.
func decode(body []byte) (answer, error) {
	const right = "an Open-Meteo answer is one JSON object with hourly.time and a list beside it for each variable"
	text := bytes.TrimSpace(body)
	switch {
	case len(text) == 0:
		return answer{}, model.Invalidf("forecast", right, "the answer is empty")
	case text[0] == '<':
		return answer{}, model.Invalidf("forecast", right, "the answer is a web page, not JSON")
	}
	var a answer
	if err := json.Unmarshal(text, &a); err != nil {
		wrong := "the answer cannot be read"
		if syntax := (*json.SyntaxError)(nil); errors.As(err, &syntax) && syntax.Offset >= int64(len(text)) {
			wrong = "the answer breaks off before its end"
		}
		return answer{}, &model.Error{Code: model.Invalid, Field: "forecast", Wrong: wrong, Right: right, Err: err}
	}
	switch {
	case a.Error:
		return answer{}, refusal(a.Reason)
	case len(a.Hourly) == 0:
		return answer{}, model.Invalidf("hourly", right, "it is missing or empty")
	case !a.Latitude.Known || !a.Longitude.Known:
		return answer{}, model.Invalidf("latitude", "an answer names its place by latitude and longitude", "one of them is missing")
	}
	if err := model.Between("latitude", a.Latitude.Value, -90, 90, "degrees"); err != nil {
		return answer{}, err
	}
	if err := model.Between("longitude", a.Longitude.Value, -180, 180, "degrees"); err != nil {
		return answer{}, err
	}
	return a, nil
}

// refusal is the error of an answer that is itself an error. One that speaks of
// a limit goes away with time; any other would be given again.
func refusal(reason string) error {
	refused := model.Invalidf("forecast", "", "Open-Meteo refused: %.200s", reason)
	if said := strings.ToLower(reason); strings.Contains(said, "limit exceeded") || strings.Contains(said, "concurrent requests") {
		refused.Code = model.Unavailable
	}
	return refused
}
