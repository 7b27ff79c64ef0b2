package page

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
)

//go:embed docs/docs.html
var docsHTML string

var docsPart = part("docs", docsHTML)

// node is one part of the OpenAPI document, its members in their order.
type node = yaml.MapSlice

// methods in the order in which they are shown.
var docMethods = []string{"get", "put", "post", "patch", "delete"}

// docsView is the document as it is shown.
type docsView struct {
	Version string
	About   []string
	Tags    []docTag
	Schemas []docSchema
}

// docTag is a chapter of operations.
type docTag struct {
	Name, Text string
	Operations []docOperation
}

// docOperation is one method of one path.
type docOperation struct {
	ID, Method, Path, Summary string
	Text                      []string
	Parameters                []docField
	Body                      []docBody
	Answers                   []docAnswer
}

// docBody is a body of one media type.
type docBody struct {
	Media string
	Type  docType
}

// docAnswer is one answer by its status.
type docAnswer struct {
	Status, Text string
	Bodies       []docBody
	Headers      string
}

// docField is a parameter, or a member of an object.
type docField struct {
	Name, In, Text string
	Required       bool
	Type           docType
}

// docSchema is a shape that has a name.
type docSchema struct {
	Name string
	Text []string
	Type docType
}

// Docs is the OpenAPI document made readable: operations by chapter, with what
// they take and answer, and the shapes by name. No script is in it.
func Docs(document []byte, demo bool) ([]byte, error) {
	var whole node
	if err := yaml.UnmarshalWithOptions(document, &whole, yaml.UseOrderedMap()); err != nil {
		return nil, fmt.Errorf("read the OpenAPI document: %w", err)
	}
	d := docs{whole: whole}
	info := docUnder(whole, "info")
	view := docsView{Version: docText(info, "version"), About: docParagraphs(docText(info, "description"))}
	for _, t := range docList(whole, "tags") {
		tag := docTag{Name: docText(t, "name"), Text: docText(t, "description")}
		for _, at := range docUnder(whole, "paths") {
			tag.Operations = append(tag.Operations, d.operations(fmt.Sprint(at.Key), docNode(at.Value), tag.Name)...)
		}
		view.Tags = append(view.Tags, tag)
	}
	for _, s := range docUnder(whole, "components", "schemas") {
		shape := docNode(s.Value)
		view.Schemas = append(view.Schemas, docSchema{Name: fmt.Sprint(s.Key), Text: docParagraphs(docText(shape, "description")), Type: d.typeOf(shape)})
	}
	return Frame{Title: "The API, version " + view.Version, Path: DocsPath, Demo: demo}.Page(docsPart, view)
}

// docs reads one document.
type docs struct{ whole node }

// operations are those of a path that stand in a chapter.
func (d docs) operations(path string, at node, tag string) []docOperation {
	var found []docOperation
	for _, method := range docMethods {
		o := docUnder(at, method)
		if o == nil || !slices.Contains(docTexts(o, "tags"), tag) {
			continue
		}
		shown := docOperation{ID: docText(o, "operationId"), Method: strings.ToUpper(method), Path: path, Summary: docText(o, "summary"), Text: docParagraphs(docText(o, "description"))}
		for _, p := range append(docList(at, "parameters"), docList(o, "parameters")...) {
			p = d.follow(p)
			f := docField{Name: docText(p, "name"), In: docText(p, "in"), Text: docText(p, "description"), Type: d.typeOf(docUnder(p, "schema"))}
			f.Required = docText(p, "required") == "true"
			shown.Parameters = append(shown.Parameters, f)
		}
		shown.Body = d.bodies(d.follow(docUnder(o, "requestBody")))
		for _, r := range docUnder(o, "responses") {
			answer := d.follow(docNode(r.Value))
			a := docAnswer{Status: fmt.Sprint(r.Key), Text: docText(answer, "description"), Bodies: d.bodies(answer)}
			var names []string
			for _, h := range docUnder(answer, "headers") {
				names = append(names, fmt.Sprint(h.Key))
			}
			a.Headers = strings.Join(names, ", ")
			shown.Answers = append(shown.Answers, a)
		}
		found = append(found, shown)
	}
	return found
}

func (d docs) bodies(of node) []docBody {
	var found []docBody
	for _, media := range docUnder(of, "content") {
		found = append(found, docBody{Media: fmt.Sprint(media.Key), Type: d.typeOf(docUnder(docNode(media.Value), "schema"))})
	}
	return found
}

// follow gives what a reference stands for, or the part itself. References of
// this document point to others of it by their path.
func (d docs) follow(n node) node {
	path, is := strings.CutPrefix(docText(n, "$ref"), "#/")
	if !is {
		return n
	}
	return docUnder(d.whole, strings.Split(path, "/")...)
}
