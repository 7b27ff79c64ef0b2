package brightsky

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"time"

	"osier/model"
)

// document is an answer whose entries are still to be read, one by one, so that
// a wrong one takes no other with it. Feeds grow; what else is in it does not
// matter.
type document struct {
	Weather []json.RawMessage `json:"weather"`
	Sources []json.RawMessage `json:"sources"`
}

// decode tells the usual wrong answers apart.
func decode(body []byte) (document, error) {
	const right = "a Bright Sky answer is one JSON object with the lists weather and sources"
	text := bytes.TrimSpace(body)
	switch {
	case len(text) == 0:
		return document{}, model.Invalidf("weather", right, "the answer is empty")
	case text[0] == '<':
		return document{}, model.Invalidf("weather", right, "the answer is a web page, not JSON")
	}
	var doc document
	if err := json.Unmarshal(text, &doc); err != nil {
		wrong := "the answer cannot be read"
		if syntax := (*json.SyntaxError)(nil); errors.As(err, &syntax) && syntax.Offset >= int64(len(text)) {
			wrong = "the answer breaks off before its end"
		}
		return document{}, &model.Error{Code: model.Invalid, Field: "weather", Wrong: wrong, Right: right, Err: err}
	}
	if len(doc.Weather) == 0 || len(doc.Sources) == 0 {
		return document{}, model.Invalidf("weather", right, "one of them is missing or empty")
	}
	return doc, nil
}

// row is one hour of the answer: where its values came from, and the values.
type row struct {
	Timestamp string           `json:"timestamp"`
	SourceID  int64            `json:"source_id"`
	Fallback  map[string]int64 `json:"fallback_source_ids"` // of single values that the main source lacks
	Condition string           `json:"condition"`
	Icon      string           `json:"icon"`

	at     time.Time // Timestamp, read
	raw    string
	values map[string]json.RawMessage
}

// rows reads the hours in the order of time, each instant once. Two hours that
// differ only in their offset, as at the end of summer time, are two instants.
func (r *reader) rows(doc document) []row {
	var good []row
	for i, text := range doc.Weather {
		var h row
		if err := errors.Join(json.Unmarshal(text, &h), json.Unmarshal(text, &h.values)); err != nil {
			r.warn("weather[%d]: it is no hour with a timestamp and a source_id; left out", i)
			continue
		}
		at, err := time.Parse(time.RFC3339, h.Timestamp)
		if err != nil || !believable(at.UTC()) {
			r.warn("weather[%d]: timestamp %.40q cannot be read; the hour is left out", i, h.Timestamp)
			continue
		}
		h.at, h.raw = at.UTC(), compact(text)
		good = append(good, h)
	}
	slices.SortStableFunc(good, func(a, b row) int { return a.at.Compare(b.at) })
	return slices.CompactFunc(good, func(first, again row) bool {
		same := first.at.Equal(again.at)
		if same {
			r.warn("weather: %s comes twice; the first one holds", again.Timestamp)
		}
		return same
	})
}

// compact is a row as it came, without line breaks and broken characters.
func compact(text json.RawMessage) string {
	var b bytes.Buffer
	if err := json.Compact(&b, text); err != nil {
		return ""
	}
	return strings.ToValidUTF8(b.String(), "")
}
