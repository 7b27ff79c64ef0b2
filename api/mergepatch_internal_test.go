package api

import (
	"bytes"
	"encoding/json"
	"testing"
)

// Examples of RFC 7396, appendix A, whose document and patch are both objects.
func TestMergePatch(t *testing.T) {
	for _, tc := range []struct{ document, patch, want string }{
		{`{"a":"b"}`, `{"a":"c"}`, `{"a":"c"}`},
		{`{"a":"b"}`, `{"b":"c"}`, `{"a":"b","b":"c"}`},
		{`{"a":"b"}`, `{"a":null}`, `{}`},
		{`{"a":"b","b":"c"}`, `{"a":null}`, `{"b":"c"}`},
		{`{"a":["b"]}`, `{"a":"c"}`, `{"a":"c"}`},
		{`{"a":"c"}`, `{"a":["b"]}`, `{"a":["b"]}`},
		{`{"a":{"b":"c"}}`, `{"a":{"b":"d","c":null}}`, `{"a":{"b":"d"}}`},
		{`{"a":[{"b":"c"}]}`, `{"a":[1]}`, `{"a":[1]}`},
		{`{"e":null}`, `{"a":1}`, `{"a":1,"e":null}`},
		{`{}`, `{"a":{"bb":{"ccc":null}}}`, `{"a":{"bb":{}}}`},
	} {
		got, err := mergePatch([]byte(tc.document), []byte(tc.patch))
		if err != nil || string(got) != tc.want {
			t.Errorf("%s with %s: %s, %v; want %s", tc.document, tc.patch, got, err, tc.want)
		}
	}
}

// A patch that is taken gives valid JSON, and the same patch again changes
// nothing more. What the strict decoder refuses is refused with words.
func FuzzMergePatch(f *testing.F) {
	for _, seed := range [][2]string{
		{`{"a":{"b":"c"}}`, `{"a":{"b":null,"d":[1,{"e":null}]}}`},
		{`{"a":1}`, `{"a":{"b":null}}`},
		{`null`, `{"a":1}`},
		{`{"a":1e308}`, `{"a":NaN}`},
		{`{}`, `{"a":1}{"b":2}`},
		{`{}`, `null`},
		{`[]`, `[]`},
		{`{"a":"\u2028<"}`, `{"":{"":null}}`},
	} {
		f.Add([]byte(seed[0]), []byte(seed[1]))
	}
	f.Fuzz(func(t *testing.T, document, patch []byte) {
		once, err := mergePatch(document, patch)
		if err != nil {
			if err.Error() == "" {
				t.Fatal("it is refused without a word")
			}
			return
		}
		if !json.Valid(once) {
			t.Fatalf("the outcome is no JSON: %q", once)
		}
		twice, err := mergePatch(once, patch)
		if err != nil || !bytes.Equal(once, twice) {
			t.Fatalf("once %s, twice %s, %v", once, twice, err)
		}
	})
}
