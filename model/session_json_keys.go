package model

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strings"
	"unicode"
)

// deepestJSON is deeper than any record nests.
const deepestJSON = 16

// openValue is an object or a list that has begun and not ended.
type openValue struct {
	object bool
	isKey  bool            // the next token of an object is a name
	names  map[string]bool // seen so far, folded
}

// refuseRepeatedKeys finds a name that an object holds twice. The decoder
// would keep the last in silence.
func refuseRepeatedKeys(body []byte) error {
	dec := json.NewDecoder(bytes.NewReader(body))
	dec.UseNumber()
	var open []openValue
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) && len(open) == 0 {
			return nil
		}
		if err != nil {
			return explainJSON(err, body)
		}
		var top *openValue
		if len(open) > 0 {
			top = &open[len(open)-1]
		}
		if name, ok := token.(string); ok && top != nil && top.object && top.isKey {
			folded := strings.Map(foldRune, name)
			if top.names[folded] {
				return Invalidf(name, "give each field once", "it is given twice")
			}
			top.names[folded] = true
			top.isKey = false
			continue
		}
		delim, isDelim := token.(json.Delim)
		if isDelim && (delim == '}' || delim == ']') {
			open = open[:len(open)-1]
			continue
		}
		if top != nil && top.object {
			top.isKey = true
		}
		if isDelim {
			if len(open) == deepestJSON {
				return Invalidf("", "send records in the shape of a session", "the JSON document nests too deeply")
			}
			open = append(open, openValue{object: delim == '{', isKey: delim == '{', names: map[string]bool{}})
		}
	}
}

// foldRune maps letters that the decoder holds equal in a name to one of them.
func foldRune(r rune) rune {
	for {
		next := unicode.SimpleFold(r)
		if next <= r {
			return next
		}
		r = next
	}
}
