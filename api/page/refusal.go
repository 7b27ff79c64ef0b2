package page

import _ "embed"

//go:embed frame/refusal.html
var refusalHTML string

var refusalPart = part("refusal", refusalHTML)

// Refusal is the page that says why there is no other.
func Refusal(title, detail, right string, demo bool) ([]byte, error) {
	return Frame{Title: title, Demo: demo}.Page(refusalPart, struct{ Detail, Right string }{detail, right})
}
