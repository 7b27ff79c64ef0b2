package main

import (
	"testing"
)

// Where something stands in front, a request from this machine need not come from
// the person who sits at it: the house is then not open, token or not.
func TestWhatStandsInFrontShutsTheOpenHouse(t *testing.T) {
	for _, c := range []struct {
		name  string
		flags frontFlags
		want  bool
	}{
		{"nothing", frontFlags{}, false},
		{"a public address", frontFlags{PublicURL: "https://club.example"}, true},
		{"a proxy", frontFlags{TrustedProxy: []string{"127.0.0.1"}}, true},
	} {
		f, err := c.flags.front(&app{})
		if err != nil || f.before() != c.want {
			t.Errorf("%s: before %v, error %v; want %v", c.name, f.before(), err, c.want)
		}
	}
}
