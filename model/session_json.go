package model

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// ReadSessionsJSON reads {"sessions": [...]}, each in the shape of Session,
// its weight in kg, in lb and oz, or in g. One that is wrong is refused by
// itself, and its report says why; the others go on. Every record has one
// report, in the order of the list, its row counted from 1; RowStored stands
// for one that can be stored. An error is about the file as a whole.
func ReadSessionsJSON(r io.Reader, d Defaults) ([]ParsedSession, []RowReport, error) {
	data, err := readImport(r)
	if err != nil {
		return nil, nil, err
	}
	var file struct {
		Sessions []json.RawMessage `json:"sessions"`
	}
	if err := decodeStrict(data, &file); err != nil {
		return nil, nil, err
	}
	switch n := len(file.Sessions); {
	case n == 0:
		return nil, nil, Invalidf("sessions", `send {"sessions": [...]} with one session at least`, "no session is in the file")
	case n > mostImportRows:
		return nil, nil, tooManyRows("sessions")
	}
	var parsed []ParsedSession
	reports := make([]RowReport, len(file.Sessions))
	for i, body := range file.Sessions {
		report := RowReport{Row: i + 1, Status: RowStored}
		s, err := DecodeSession(body)
		if err == nil {
			s, err = s.finished(d)
		}
		if err != nil {
			report.Status, report.Problems = RowRefused, []string{err.Error()}
		} else {
			parsed = append(parsed, ParsedSession{Session: s, Rows: []int{i + 1}})
		}
		report.Session = s.ID
		reports[i] = report
	}
	return parsed, reports, nil
}

// sessionAsSent is a session with the fields that a person may write in
// another way than they are stored. Pointers keep the strict decoding that a
// Maybe of a struct would lose.
type sessionAsSent struct {
	Session
	Rods      *int                 `json:"rods"` // 1 when left out
	Fish      map[Group]Maybe[int] `json:"fish"` // null for a group not counted
	Weight    *WeightEntry         `json:"weight"`
	WaterTemp *WaterReading        `json:"water_temp"`
}

// DecodeSession reads one session. A field that is unknown, given twice or of
// the wrong kind is refused, as is anything after the session. Call Completed
// and ValidateAt on the result.
func DecodeSession(body []byte) (Session, error) {
	var sent sessionAsSent
	if err := decodeStrict(body, &sent); err != nil {
		return Session{}, err
	}
	s := sent.Session
	s.Rods = 1
	if sent.Rods != nil {
		s.Rods = *sent.Rods
	}
	for g, n := range sent.Fish {
		s.countFish(g, n)
	}
	if sent.WaterTemp != nil {
		s.WaterTemp = Known(*sent.WaterTemp)
	}
	if sent.Weight != nil {
		var err error
		if s.Weight, err = sent.Weight.Weight("weight"); err != nil {
			return Session{}, err
		}
	}
	return s, nil
}

// decodeStrict reads one JSON document and names the field that is wrong.
func decodeStrict(body []byte, into any) error {
	if !utf8.Valid(body) {
		return Invalidf("", "send JSON in UTF-8", "it is no text in UTF-8")
	}
	if err := refuseRepeatedKeys(body); err != nil {
		return err
	}
	dec := json.NewDecoder(bytes.NewReader(body))
	dec.DisallowUnknownFields()
	if err := dec.Decode(into); err != nil {
		return explainJSON(err, body)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return Invalidf("", "send one JSON document and nothing after it", "something follows the JSON document")
	}
	return nil
}

// explainJSON turns an error of the decoder into words for a person.
func explainJSON(err error, body []byte) error {
	var kind *json.UnmarshalTypeError
	var when *time.ParseError
	unknown, isUnknown := strings.CutPrefix(err.Error(), "json: unknown field ")
	switch {
	case errors.As(err, &kind):
		field := strings.TrimPrefix(kind.Field, "Session.") // embedded in sessionAsSent
		right := "give " + kindOf(kind.Type.Kind().String())
		if strings.HasSuffix(field, "bites") {
			right += ", and words such as \"loads\" in bites_text"
		}
		return Invalidf(field, right, "it cannot be a %s", kind.Value)
	case errors.As(err, &when):
		bad := strings.Trim(when.Value, `"`)
		return Invalidf(fieldHolding(body, bad), "give a time such as 2025-06-14T07:30:00+01:00", "%q is no time with an offset", shorten(bad))
	case isUnknown:
		return Invalidf(strings.Trim(unknown, `"`), "check its spelling or leave it out", "there is no such field")
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return Invalidf("", "send the whole JSON document", "the JSON document breaks off")
	}
	return &Error{Code: Invalid, Wrong: "it cannot be read as JSON", Err: err}
}

// kindOf names a Go kind for a person.
func kindOf(kind string) string {
	switch {
	case strings.HasPrefix(kind, "int"):
		return "a whole number"
	case strings.HasPrefix(kind, "float"):
		return "a number"
	case kind == "struct" || kind == "map":
		return "an object"
	case kind == "slice":
		return "a list"
	case kind == "bool":
		return "true or false"
	}
	return "a text"
}

// fieldHolding finds the first field, in the order of names, whose value is
// the given text: the decoder does not say in which field a time was wrong.
func fieldHolding(body []byte, text string) string {
	var document any
	if json.Unmarshal(body, &document) != nil {
		return ""
	}
	field, _ := pathTo(document, text)
	return strings.TrimPrefix(field, ".")
}

func pathTo(value any, text string) (string, bool) {
	switch v := value.(type) {
	case string:
		return "", v == text
	case []any:
		for i, element := range v {
			if path, ok := pathTo(element, text); ok {
				return fmt.Sprintf("[%d]%s", i, path), true
			}
		}
	case map[string]any:
		names := make([]string, 0, len(v))
		for name := range v {
			names = append(names, name)
		}
		slices.Sort(names)
		for _, name := range names {
			if path, ok := pathTo(v[name], text); ok {
				return "." + name + path, true
			}
		}
	}
	return "", false
}
