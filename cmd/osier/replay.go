package main

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"path"
	"regexp"
	"slices"
	"strings"
	"time"

	"osier/model"
)

// replayFile maps the feeds' own addresses to recorded answers. It is our own
// format:
//
//	{"routes": [{
//	  "file": "complete_london.json", "wrapped": true,
//	  "path": "/weatherapi/locationforecast/2.0/complete",
//	  "query": {"lat": "51\\.5.*"},
//	  "status": 200,
//	  "headers": {"Expires": "Mon, 20 Jul 2020 12:16:23 GMT"}
//	}]}
//
// The first route that matches answers. A key listed under query must be there
// and its whole value match; keys not listed do not matter. A wrapped file is a
// recording object {status_code, headers, data}, whose status and headers hold
// where the route says nothing. A route without a file answers with its status
// alone. A route may also carry a fault, and be given one while the replay runs:
// see faultText and faultPath.
const replayFile = "replay.json"

// replayHeaders are the headers of a recorded answer that still mean something
// when it is sent again. Lengths and encodings are made anew.
var replayHeaders = []string{"Date", "Expires", "Last-Modified", "Etag", "Cache-Control", "Retry-After"}

// routeText is one route as replay.json has it.
type routeText struct {
	File    string            `json:"file"`
	Path    string            `json:"path"`
	Query   map[string]string `json:"query"`
	Status  int               `json:"status"`
	Headers map[string]string `json:"headers"`
	Wrapped bool              `json:"wrapped"`
	faultText
}

// recording is a wrapped answer.
type recording struct {
	Status  int               `json:"status_code"`
	Headers map[string]string `json:"headers"`
	Data    json.RawMessage   `json:"data"`
}

// replayRoute is one route, ready to answer. What changes while the replay runs
// is guarded by the replay.
type replayRoute struct {
	path  string
	query map[string]*regexp.Regexp
	file  string // the name, empty where there is none
	body  []byte // the answer as it was recorded, not packed
	good  replayAnswer

	fault faultText
	now   replayAnswer // good, or what the fault makes of it
	asked int
}

// replayAnswer is what is sent.
type replayAnswer struct {
	status  int
	header  http.Header
	plain   []byte
	packed  []byte // nil where the body is not to be packed again
	asIs    bool   // conditional requests are not answered: the body goes out whatever was asked
	delay   time.Duration
	cutHalf bool
}

// newReplay reads replay.json and every file it names, and returns what serves
// them. now dates answers whose recording has no date.
func newReplay(dir fs.FS, now func() time.Time) (*replay, error) {
	body, err := fs.ReadFile(dir, replayFile)
	if err != nil {
		return nil, model.Invalidf(replayFile, "put a replay.json beside the recorded files", "it cannot be read: %v", err)
	}
	var top struct {
		Routes []json.RawMessage `json:"routes"`
	}
	if err := decodeStrictly(body, &top); err != nil {
		return nil, model.Invalidf(replayFile, `write one object {"routes": [...]}`, "%v", err)
	}
	if len(top.Routes) == 0 {
		return nil, model.Invalidf(replayFile+": routes", "list at least one route", "there is none")
	}
	handler := &replay{now: now}
	for i, text := range top.Routes {
		route, err := newReplayRoute(dir, text)
		if err != nil {
			return nil, fmt.Errorf("%s: route %d: %w", replayFile, i+1, err)
		}
		handler.routes = append(handler.routes, route)
	}
	return handler, nil
}

// decodeStrictly refuses unknown fields and anything after the value.
func decodeStrictly(body []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(body))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return errors.New(strings.TrimPrefix(err.Error(), "json: "))
	}
	if _, err := d.Token(); err != io.EOF {
		return errors.New("something follows after its end")
	}
	return nil
}

func newReplayRoute(dir fs.FS, text json.RawMessage) (*replayRoute, error) {
	var t routeText
	if err := decodeStrictly(text, &t); err != nil {
		return nil, model.Invalidf("", "the fields are file, path, query, status, headers and wrapped, and fault, delay_ms, retry_after and replace", "%v", err)
	}
	if !strings.HasPrefix(t.Path, "/") {
		return nil, model.Invalidf("path", "give the path of the address, beginning with /", "%q is no path", t.Path)
	}
	if t.Path == faultPath {
		return nil, model.Invalidf("path", "give a path of a feed", "%s is where faults are set", faultPath)
	}
	answer, err := readAnswer(dir, t)
	if err != nil {
		return nil, err
	}
	route := &replayRoute{path: t.Path, query: map[string]*regexp.Regexp{}, file: t.File, body: answer.Data}
	status := cmp.Or(t.Status, answer.Status, http.StatusOK)
	if status < 200 || status > 599 {
		return nil, model.Invalidf("status", "give a status from 200 to 599", "%d is no final status", status)
	}
	for key, pattern := range t.Query {
		// Alone first: a pattern with a stray bracket could undo the anchors.
		if _, err := regexp.Compile(pattern); err != nil {
			return nil, model.Invalidf("query: "+key, "give a regular expression for the whole value", "%v", err)
		}
		route.query[key] = regexp.MustCompile(`\A(?:` + pattern + `)\z`)
	}
	header, err := headers(answer.Headers, t.Headers)
	if err != nil {
		return nil, err
	}
	route.good = route.answerWith(status, header, answer.Data)
	if err := t.faultText.check(route); err != nil {
		return nil, err
	}
	route.befall(t.faultText)
	return route, nil
}

// readAnswer reads the file of a route.
func readAnswer(dir fs.FS, t routeText) (recording, error) {
	if t.File == "" && t.Status != 0 && t.Status != http.StatusOK {
		return recording{}, nil
	}
	if !fs.ValidPath(t.File) || t.File == "." {
		return recording{}, model.Invalidf("file", "name a file inside the folder, such as forecast.json", "%q is not inside it", t.File)
	}
	body, err := fs.ReadFile(dir, t.File)
	if err != nil {
		return recording{}, model.Invalidf("file", "name a file inside the folder", "%q cannot be read: %v", t.File, err)
	}
	if !t.Wrapped {
		return recording{Data: body}, nil
	}
	var wrapped recording
	if err := json.Unmarshal(body, &wrapped); err != nil || len(wrapped.Data) == 0 {
		return recording{}, model.Invalidf("wrapped", "leave wrapped out where the file is the answer itself", "%q is no object {status_code, headers, data}", t.File)
	}
	return wrapped, nil
}

// headers takes what still means something of the recorded headers, and what
// the route says over them.
func headers(recorded, own map[string]string) (http.Header, error) {
	header := http.Header{}
	for name, value := range recorded {
		if slices.Contains(replayHeaders, http.CanonicalHeaderKey(name)) {
			header.Set(name, value)
		}
	}
	for name, value := range own {
		if !slices.Contains(replayHeaders, http.CanonicalHeaderKey(name)) {
			return nil, model.Invalidf("headers: "+name, "use only "+strings.Join(replayHeaders, ", "), "it is not sent")
		}
		header.Set(name, value)
	}
	return header, nil
}

// answerWith settles the type and the packed form of a body. Where the address
// ends in .gz the packing belongs to the file, not to the transfer.
func (r *replayRoute) answerWith(status int, header http.Header, body []byte) replayAnswer {
	a := replayAnswer{status: status, header: header.Clone(), plain: body, asIs: status != http.StatusOK}
	switch {
	case r.file == "":
		// Nothing to describe and nothing to pack.
	case strings.HasSuffix(r.path, ".gz"):
		a.header.Set("Content-Type", "application/gzip")
		if !strings.HasSuffix(r.file, ".gz") {
			a.plain = gzipped(body)
		}
	default:
		a.header.Set("Content-Type", contentType(r.file))
		a.packed = gzipped(body)
	}
	return a
}

// contentType goes by the file's name alone; the machine's own tables differ
// from one to the next.
func contentType(file string) string {
	switch path.Ext(file) {
	case ".json", ".geojson":
		return "application/json"
	case ".csv":
		return "text/csv; charset=utf-8"
	case ".txt":
		return "text/plain; charset=utf-8"
	case ".html":
		return "text/html; charset=utf-8"
	}
	return "application/octet-stream"
}

func gzipped(plain []byte) []byte {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, _ = z.Write(plain) // a bytes.Buffer takes everything
	_ = z.Close()
	return b.Bytes()
}
