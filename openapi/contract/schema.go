package contract

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
)

func (c *Contract) schema(name string) (*openapi3.Schema, error) {
	ref := c.document.Components.Schemas[name]
	if ref == nil || ref.Value == nil {
		return nil, fmt.Errorf("the document has no schema %s", name)
	}
	return ref.Value, nil
}

// CheckJSON holds a JSON text against a schema of the document.
func (c *Contract) CheckJSON(name string, body []byte) error {
	s, err := c.schema(name)
	if err != nil {
		return err
	}
	var v any
	if err := json.Unmarshal(body, &v); err != nil {
		return fmt.Errorf("read the JSON: %w", err)
	}
	return s.VisitJSON(v, openapi3.EnableJSONSchema2020(), openapi3.VisitAsResponse())
}

// Differences lists where a schema and the Go type that is encoded under it
// disagree: a name that only one of them has, another kind of value, a value
// that may be missing in one only. Fields that no test happens to fill are
// found as well. Names that only a request may hold are left out, and so are
// those that say how an answer was served (answer_...), which the server adds.
func (c *Contract) Differences(name string, value any) []string {
	s, err := c.schema(name)
	if err != nil {
		return []string{err.Error()}
	}
	return differences(name, s, reflect.TypeOf(value))
}

func differences(at string, s *openapi3.Schema, t reflect.Type) []string {
	s, t, faults := unwrap(at, s, t)
	if faults != nil {
		return faults
	}
	if want := kindOf(t); !s.Type.Includes(want) {
		return []string{fmt.Sprintf("%s: the type is %v, and Go encodes %s", at, s.Type.Slice(), want)}
	}
	switch {
	case t == reflect.TypeFor[time.Time]():
		if s.Format != "date-time" {
			return []string{at + ": the format is not date-time"}
		}
	case t.Kind() == reflect.Struct:
		return structDifferences(at, s, t)
	case t.Kind() == reflect.Slice:
		return differences(at+"[]", s.Items.Value, t.Elem())
	case t.Kind() == reflect.Map && s.AdditionalProperties.Schema != nil:
		return differences(at+"{}", s.AdditionalProperties.Schema.Value, t.Elem())
	}
	return nil
}

// unwrap takes a value that may be missing out of its Go wrapper, and the
// schema out of its union with null. A slice or a map that is nil encodes as
// null, so those may be nullable without a wrapper.
func unwrap(at string, s *openapi3.Schema, t reflect.Type) (*openapi3.Schema, reflect.Type, []string) {
	nullable := s.Type.IncludesNull()
	if len(s.AnyOf) == 2 && s.AnyOf[1].Value.Type.Is("null") {
		nullable, s = true, s.AnyOf[0].Value
	}
	wrapped := t.Kind() == reflect.Pointer || strings.HasPrefix(t.Name(), "Maybe[")
	switch {
	case t.Kind() == reflect.Pointer:
		t = t.Elem()
	case wrapped:
		value, _ := t.FieldByName("Value")
		t = value.Type
	}
	if wrapped != nullable && t.Kind() != reflect.Slice && t.Kind() != reflect.Map {
		return s, t, []string{fmt.Sprintf("%s: null is allowed in the schema: %t, in Go: %t", at, nullable, wrapped)}
	}
	return s, t, nil
}

func structDifferences(at string, s *openapi3.Schema, t reflect.Type) (faults []string) {
	if has := s.AdditionalProperties.Has; has == nil || *has {
		faults = append(faults, at+": the schema is not closed")
	}
	known := map[string]bool{}
	for i := range t.NumField() {
		name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ",")
		if name == "" {
			name = t.Field(i).Name
		}
		known[name] = true
		if p := s.Properties[name]; p != nil {
			faults = append(faults, differences(at+"."+name, p.Value, t.Field(i).Type)...)
			continue
		}
		faults = append(faults, at+"."+name+": it is not in the schema")
	}
	for name, p := range s.Properties {
		served := p.Value.ReadOnly && strings.HasPrefix(name, "answer_")
		if !known[name] && !p.Value.WriteOnly && !served {
			faults = append(faults, at+"."+name+": Go does not encode it")
		}
	}
	slices.Sort(faults)
	return faults
}

// kindOf names the JSON type that a Go type is encoded as.
func kindOf(t reflect.Type) string {
	switch kind := t.Kind(); {
	case t == reflect.TypeFor[time.Time](), kind == reflect.String:
		return "string"
	case kind == reflect.Bool:
		return "boolean"
	case kind == reflect.Float64:
		return "number"
	case kind == reflect.Int:
		return "integer"
	case kind == reflect.Slice:
		return "array"
	}
	return "object"
}
