package main

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"
)

// printedValues is how many values each worked row prints.
const printedValues = 10

func embeddedWorkedRows(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("reference/feed/worked_rows.csv")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func workedRowsFS(text string) fstest.MapFS {
	return fstest.MapFS{"worked_rows.csv": {Data: []byte(text)}}
}

func failedChecks(checks []verifyCheck) []string {
	var names []string
	for _, c := range checks {
		if !c.OK {
			names = append(names, c.Name)
		}
	}
	return names
}

func TestVerifyFeedPassesOnTheTwelveWorkedRows(t *testing.T) {
	checks, summary, err := verifyFeed(os.DirFS("reference/feed"))
	if err != nil {
		t.Fatal(err)
	}
	if failed := failedChecks(checks); len(failed) > 0 {
		t.Errorf("failed: %v", failed)
	}
	if got, want := summary, (feedSummary{Rows: 12, Values: 12 * printedValues}); got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

func TestVerifyFeedFailsOnAWrongValue(t *testing.T) {
	for _, row := range []struct{ right, wrong, fails string }{
		{"silver,4,52,", "silver,4,53,", "silver at 4 C: rate_g_h"},
		{"190,Even,M", "190,Ample,M", "bream at 12.5 C: level"},
		{"290,Ample,M", "290,Ample,L", "carp at 17.5 C: step"},
		{"14.7,6,90", "14.7,7,90", "silver at 17.5 C: opening_fills"},
		{"75,810,480", "75,820,480", "carp at 12.5 C: total_damp_g"},
	} {
		text := embeddedWorkedRows(t)
		if !strings.Contains(text, row.right) {
			t.Fatalf("%q is not in the worked rows", row.right)
		}
		checks, _, err := verifyFeed(workedRowsFS(strings.Replace(text, row.right, row.wrong, 1)))
		if err != nil {
			t.Fatal(err)
		}
		if failed := failedChecks(checks); len(failed) != 1 || failed[0] != row.fails {
			t.Errorf("%q: failed %v, want only %s", row.wrong, failed, row.fails)
		}
	}
}

func TestVerifyFeedNamesAMalformedRow(t *testing.T) {
	text := embeddedWorkedRows(t)
	for _, row := range []struct{ name, text, want string }{
		{"empty", "", "worked_rows.csv: the header"},
		{"header only", strings.SplitAfter(text, "\n")[0], "no rows"},
		{"other header", strings.Replace(text, "water_c", "water", 1), "the header is"},
		{"short row", text + "carp,20,290\n", "line 14"},
		{"not a number", strings.Replace(text, "silver,8,70", "silver,8,seventy", 1), "row 3: rate_g_h"},
		{"NaN", strings.Replace(text, "75,810,480", "75,NaN,480", 1), "row 12: total_damp_g"},
		{"no temperature", strings.Replace(text, "silver,8,70", "silver,warm,70", 1), "row 3: water_c"},
		{"unknown group", strings.Replace(text, "bream,4", "pike,4", 1), "row 6"},
	} {
		_, _, err := verifyFeed(workedRowsFS(row.text))
		if err == nil || !strings.Contains(err.Error(), row.want) || !strings.Contains(err.Error(), "worked_rows.csv") {
			t.Errorf("%s: got %v, want it to name worked_rows.csv and %q", row.name, err, row.want)
		}
	}
	if _, _, err := verifyFeed(fstest.MapFS{}); err == nil {
		t.Error("a missing file passed")
	}
}

// FuzzReadWorkedRows holds the reader to an error or whole rows, never a panic.
func FuzzReadWorkedRows(f *testing.F) {
	f.Add(strings.Join(workedHeader, ",") + "\nsilver,4,52,Lean,XS,0.82,7.0,7.1,3,22,280,170\n")
	f.Add("group,water_c\n\"")
	f.Fuzz(func(t *testing.T, text string) {
		rows, err := readWorkedRows(strings.NewReader(text))
		if err != nil {
			return
		}
		for _, row := range rows {
			if len(row.values) != len(workedHeader) {
				t.Fatalf("row %d has %d columns", row.line, len(row.values))
			}
			checks, err := checkWorkedRow(row)
			if err == nil && len(checks) != printedValues {
				t.Fatalf("row %d gave %d checks", row.line, len(checks))
			}
		}
	})
}
