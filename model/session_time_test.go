package model_test

import (
	"strings"
	"testing"
	"time"

	"osier/model"
)

func TestParseTime(t *testing.T) {
	zone := london(t)
	for _, c := range []struct{ text, want, says string }{
		{"2025-06-14T07:30:00+01:00", "2025-06-14T07:30:00+01:00", ""},
		{"2025-06-14T07:30:00Z", "2025-06-14T07:30:00Z", ""},
		{"2025-06-14 07:30", "2025-06-14T07:30:00+01:00", ""},
		{"2025-01-14T07:30", "2025-01-14T07:30:00Z", ""},
		{"2025-10-26 00:59", "2025-10-26T00:59:00+01:00", ""},
		{"2025-10-26 01:30", "", "2025-10-26T01:30:00+01:00 or 2025-10-26T01:30:00Z"},
		{"2025-10-26 02:00", "2025-10-26T02:00:00Z", ""},
		{"2025-03-30 00:59", "2025-03-30T00:59:00Z", ""},
		{"2025-03-30 01:30", "", "never showed"},
		{"2025-03-30 02:00", "2025-03-30T02:00:00+01:00", ""},
		{"14/06/2025 07:30", "", "no time"},
		{"2025-02-30 07:30", "", "no time"},
		{"", "", "no time"},
	} {
		got, err := model.ParseTime("start", c.text, zone)
		if c.says != "" {
			if err == nil || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%q: got %v, want an error with %q", c.text, err, c.says)
			}
			continue
		}
		if err != nil || got.Format(time.RFC3339) != c.want {
			t.Errorf("%q: got %v %v, want %s", c.text, got, err, c.want)
		}
	}
	if _, err := model.ParseTime("start", "2025-06-14 07:30", nil); err == nil {
		t.Error("a local time without a zone must be refused")
	}
}
