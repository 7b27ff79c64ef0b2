package page

import (
	"fmt"
	"strings"
)

// docType is what a value may be, in words, some of which lead to a shape, and
// its members where it is an object without a name.
type docType struct {
	Words  []docWord
	Fields []docField
}

// docWord is some words of a type; Shape is the named shape they lead to, and
// Close says that no space stands before them.
type docWord struct {
	Text, Shape string
	Close       bool
}

func (t *docType) say(format string, args ...any) {
	t.Words = append(t.Words, docWord{Text: fmt.Sprintf(format, args...), Close: len(t.Words) == 0 || strings.HasPrefix(format, ",")})
}

// add says another type after what was said.
func (t *docType) add(other docType) {
	for i, w := range other.Words {
		if i == 0 && len(t.Words) > 0 {
			w.Close = false
		}
		t.Words = append(t.Words, w)
	}
	t.Fields = append(t.Fields, other.Fields...)
}

// limits are the rules of JSON Schema that bound a value, and how they are said.
var limits = []struct{ key, words string }{
	{"format", "%s"},
	{"minimum", "at least %s"},
	{"exclusiveMinimum", "above %s"},
	{"maximum", "at most %s"},
	{"exclusiveMaximum", "below %s"},
	{"minLength", "%s characters or more"},
	{"maxLength", "at most %s characters"},
	{"minItems", "%s or more"},
	{"maxItems", "at most %s of them"},
	{"pattern", "matching %s"},
	{"default", "%s when left out"},
	{"const", "always %s"},
}

// typeOf says what a schema allows.
func (d docs) typeOf(schema node) docType {
	var t docType
	if shape, is := strings.CutPrefix(docText(schema, "$ref"), "#/components/schemas/"); is {
		t.Words = append(t.Words, docWord{Text: shape, Shape: shape, Close: true})
		return t
	}
	for _, joined := range []struct{ key, word string }{{"anyOf", "or"}, {"oneOf", "or"}, {"allOf", "and"}} {
		for i, choice := range docList(schema, joined.key) {
			if i > 0 {
				t.say("%s", joined.word)
			}
			t.add(d.typeOf(choice))
		}
	}
	d.sayKind(&t, schema)
	if choices := docTexts(schema, "enum"); len(choices) > 0 {
		t.say(", one of %s", strings.Join(choices, ", "))
	}
	for _, l := range limits {
		if v := docText(schema, l.key); v != "" {
			t.say(", "+l.words, v)
		}
	}
	if docText(schema, "readOnly") == "true" {
		t.say(", set by the server")
	}
	t.Fields = append(t.Fields, d.members(schema)...)
	return t
}

// sayKind says the kind of a schema, and what a list or a map holds.
func (d docs) sayKind(t *docType, schema node) {
	kinds := docTexts(schema, "type")
	for i, kind := range kinds {
		if i > 0 {
			t.say("or")
		}
		switch kind {
		case "array":
			t.say("list of")
			t.add(d.typeOf(docUnder(schema, "items")))
		case "object":
			t.say("object")
			if value := docUnder(schema, "additionalProperties"); value != nil {
				t.say("by name, of")
				t.add(d.typeOf(value))
			}
		default:
			t.say("%s", kind)
		}
	}
}

// members are the fields of an object.
func (d docs) members(schema node) []docField {
	var fields []docField
	required := docTexts(schema, "required")
	for _, p := range docUnder(schema, "properties") {
		shape := docNode(p.Value)
		f := docField{Name: fmt.Sprint(p.Key), Text: docText(shape, "description"), Type: d.typeOf(shape)}
		for _, name := range required {
			f.Required = f.Required || name == f.Name
		}
		fields = append(fields, f)
	}
	return fields
}
