package metar_test

import (
	"testing"
	"time"

	"osier/jobs/feed/metar"
	"osier/model"
)

// The table of the weather reference, section 6, and rows of section 10.
func TestResolveTime(t *testing.T) {
	for _, row := range []struct {
		why               string
		reference         string
		day, hour, minute int
		want              string
		stale             bool
	}{
		{"the month has just begun", "2026-03-01T00:20:00Z", 28, 23, 50, "2026-02-28T23:50:00Z", false},
		{"a leap day", "2024-03-01T00:20:00Z", 29, 23, 50, "2024-02-29T23:50:00Z", false},
		{"the year has just begun", "2026-01-01T00:05:00Z", 31, 23, 55, "2025-12-31T23:55:00Z", false},
		{"there is no 31 February", "2025-03-05T06:00:00Z", 31, 0, 53, "2025-01-31T00:53:00Z", true},
		{"two minutes ahead is clock skew, in the next month", "2026-05-31T23:58:00Z", 1, 0, 0, "2026-06-01T00:00:00Z", false},
		{"two minutes ahead, in the next year", "2025-12-31T23:58:00Z", 1, 0, 0, "2026-01-01T00:00:00Z", false},
		{"eighteen hours ahead is last month", "2026-05-16T12:00:00Z", 17, 6, 0, "2026-04-17T06:00:00Z", true},
		{"a quarter of an hour ahead", "2026-05-16T12:00:00Z", 16, 12, 15, "2026-05-16T12:15:00Z", false},
		{"sixteen minutes ahead", "2026-05-16T12:00:00Z", 16, 12, 16, "2026-04-16T12:16:00Z", true},
		{"the reference in summer time", "2026-05-16T00:20:00+01:00", 15, 23, 20, "2026-05-15T23:20:00Z", false},
		{"29 in March of a common year", "2026-03-01T00:20:00Z", 29, 23, 50, "2026-01-29T23:50:00Z", true},
		{"eleven hours old is not stale", "2026-05-16T12:00:00Z", 16, 1, 0, "2026-05-16T01:00:00Z", false},
	} {
		reference, err := time.Parse(time.RFC3339, row.reference)
		if err != nil {
			t.Fatal(err)
		}
		got, err := metar.ResolveTime(row.day, row.hour, row.minute, reference)
		if err != nil {
			t.Errorf("%s: %v", row.why, err)
			continue
		}
		if got.Format(time.RFC3339) != row.want {
			t.Errorf("%s: got %s, want %s", row.why, got.Format(time.RFC3339), row.want)
		}
		if metar.Stale(got, reference) != row.stale {
			t.Errorf("%s: stale is %v", row.why, !row.stale)
		}
	}
}

func TestResolveTimeRefusesTimesThatDoNotExist(t *testing.T) {
	reference := time.Date(2026, 5, 16, 12, 0, 0, 0, time.UTC)
	for _, row := range [][3]int{{32, 0, 0}, {0, 0, 0}, {-1, 0, 0}, {1, 24, 60}, {1, 24, 0}, {1, 0, 60}, {1, -1, 0}} {
		got, err := metar.ResolveTime(row[0], row[1], row[2], reference)
		if model.CodeOf(err) != model.Invalid || !got.IsZero() {
			t.Errorf("%v: got %v, %v", row, got, err)
		}
	}
}

// Whatever the reference, every day of a month is found within four months.
func TestResolveTimeFindsEveryDay(t *testing.T) {
	reference := time.Date(2023, 1, 1, 0, 7, 0, 0, time.UTC)
	for range 2 * 366 * 2 {
		for day := 1; day <= 31; day++ {
			got, err := metar.ResolveTime(day, 12, 30, reference)
			if err != nil || got.Day() != day || got.After(reference.Add(15*time.Minute)) || got.Before(reference.AddDate(0, -4, 0)) {
				t.Fatalf("day %d before %s: got %v, %v", day, reference, got, err)
			}
		}
		reference = reference.Add(12 * time.Hour)
	}
}
