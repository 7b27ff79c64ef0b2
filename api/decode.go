package api

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"osier/model"
)

// readBody reads a body of one of the media types, at most max bytes.
func readBody(c *gin.Context, maxBytes int64, types ...string) ([]byte, error) {
	media, _, err := mime.ParseMediaType(c.GetHeader("Content-Type"))
	if err != nil || !slices.Contains(types, media) {
		return nil, model.Invalidf("Content-Type", "send "+strings.Join(types, " or "), "the body is of type %q", c.GetHeader("Content-Type"))
	}
	return readAll(c, maxBytes)
}

// readAll reads a body of any type, at most max bytes. It unpacks nothing, so
// that no small body becomes a large one.
func readAll(c *gin.Context, maxBytes int64) ([]byte, error) {
	if packed := c.GetHeader("Content-Encoding"); packed != "" && packed != "identity" {
		return nil, model.Invalidf("Content-Encoding", "send the body as it is", "a body packed as %q is not taken", packed)
	}
	body, err := io.ReadAll(http.MaxBytesReader(c.Writer, c.Request.Body, maxBytes))
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return nil, &model.Error{Code: model.TooLarge, Field: "body", Wrong: "the body is larger than is taken here", Right: fmt.Sprintf("send at most %d bytes", maxBytes)}
	}
	if err != nil {
		return nil, model.Invalidf("body", "send the whole body", "it was cut off: %v", err)
	}
	return body, nil
}

// readJSON reads a body of JSON into a value, and gives it as it came too.
func readJSON(c *gin.Context, into any) (body []byte, err error) {
	if body, err = readBody(c, maxJSONBytes, "application/json"); err != nil {
		return nil, err
	}
	return body, decodeStrict(body, into)
}

// decodeStrict reads exactly one JSON value and refuses fields that are not
// known: a misspelt field would otherwise be lost in silence.
func decodeStrict(body []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(body))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return jsonError(err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return model.Invalidf("body", "send one JSON value and nothing after it", "something follows the JSON value")
	}
	return nil
}

// jsonError says in plain words what was wrong with a JSON body.
func jsonError(err error) error {
	const shape = "see /openapi.yaml for the shape"
	var known *model.Error
	var typed *json.UnmarshalTypeError
	var syntax *json.SyntaxError
	var when *time.ParseError
	unknown, isUnknown := strings.CutPrefix(err.Error(), "json: unknown field ")
	switch {
	case errors.As(err, &known):
		return err
	case errors.As(err, &typed):
		return model.Invalidf(cmp.Or(typed.Field, "body"), shape, "a %s cannot stand here", typed.Value)
	case errors.As(err, &when):
		return model.Invalidf("body", "give each time with its offset, such as 2026-11-28T08:00:00Z", "%q is no time", when.Value)
	case errors.As(err, &syntax):
		return model.Invalidf("body", "send valid JSON; a value that is not known is null or left out, never NaN", "it is no JSON: %v at byte %d", err, syntax.Offset)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return model.Invalidf("body", "send the whole JSON document", "the JSON ends too early")
	case isUnknown:
		return model.Invalidf(strings.Trim(unknown, `"`), "check its spelling or leave it out; "+shape, "there is no such field")
	}
	return model.Invalidf("body", shape, "%v", strings.TrimPrefix(err.Error(), "json: "))
}

// mustGive refuses a body in which a member is absent or null that has no
// sensible value of its own: a water without a position is not at 0, 0.
func mustGive(body []byte, names ...string) error {
	var given map[string]json.RawMessage
	if err := json.Unmarshal(body, &given); err != nil {
		return jsonError(err)
	}
	for _, name := range names {
		if v := given[name]; v == nil || string(v) == "null" {
			return model.Invalidf(name, "give it; see /openapi.yaml", "it is not given")
		}
	}
	return nil
}

// onlyQuery refuses a query parameter that is not known: a misspelt one would
// otherwise be answered as if it had not been sent.
func onlyQuery(c *gin.Context, names ...string) error {
	for name := range c.Request.URL.Query() {
		if !slices.Contains(names, name) {
			return model.Invalidf(name, "the query takes "+strings.Join(names, ", "), "this parameter is not known here")
		}
	}
	return nil
}
