package page

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"fmt"
	"html/template"

	"osier/model"
)

//go:embed frame/frame.html
var frameHTML string

//go:embed frame/shared.html
var sharedHTML string

//go:embed style/page.css
var styleSheet []byte

var frameTemplate = template.Must(template.New("frame").Parse(frameHTML))

// Policy is the Content-Security-Policy of every page in the frame: it loads the
// style and pictures of its own server, and sends forms there, and nothing else.
// No script runs.
const Policy = "default-src 'none'; style-src 'self'; img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// way is a place to go on to.
type way struct{ Title, Path string }

// links are the ways from any page, in the header. They are the same for everybody,
// so that caches may keep a public page for all: who is signed in is told where
// the last of them leads.
var links = []way{{"Plan", PlanFormPath}, {"On the bank", BankPath}, {"Track record", TrackRecordPath}, {"API", DocsPath}, {"Sign in or out", SignInPath}}

// DocsPath is where the API's document can be read.
const DocsPath = "/docs"

// Feed is what a reader may subscribe to on a page.
type Feed struct{ Title, Type, Path string }

// Frame is what stands round the part that is a page's own: the way in and out,
// the banner of a demo, the heading, the deferral, and what the licences of the
// data want said.
type Frame struct {
	Title   string // the heading, and in the browser's tab
	Path    string // of the page itself: the header marks it
	Demo    bool
	Notice  string // said before everything else: that an answer is old
	Credits []string
	Feeds   []Feed
}

// Page puts a part, filled with its data, into the frame.
func (f Frame) Page(part *template.Template, data any) ([]byte, error) {
	var inner, whole bytes.Buffer
	if err := part.Execute(&inner, data); err != nil {
		return nil, fmt.Errorf("render %s: %w", part.Name(), err)
	}
	err := frameTemplate.Execute(&whole, struct {
		Frame
		Part     template.HTML // what a template of ours just escaped
		Links    []way
		Style    string
		Deferral string
	}{f, template.HTML(inner.String()), links, stylePath(), model.Deferral})
	if err != nil {
		return nil, fmt.Errorf("render the frame of %s: %w", part.Name(), err)
	}
	return whole.Bytes(), nil
}

// stylePath names the style by its bytes, so that a browser may keep it for ever
// and still gets the next one at once.
func stylePath() string {
	sum := sha256.Sum256(styleSheet)
	return "/style/" + hex.EncodeToString(sum[:6]) + ".css"
}

// Styles are the files that pages in the frame load, by path. They never change
// under their path.
func Styles() map[string]File {
	return map[string]File{stylePath(): {Type: types[".css"], Body: styleSheet}}
}

// part parses the part of a page that is its own, with the words of words.go and
// the pieces of frame/shared.html.
func part(name, text string) *template.Template {
	return template.Must(template.Must(template.New(name).Funcs(wording).Parse(sharedHTML)).Parse(text))
}
