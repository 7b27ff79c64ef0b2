package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"
)

const sharedCatches = "../../../shared/data/catches"

func TestVerifyActivityOnTheSharedCatchRecords(t *testing.T) {
	shared := os.DirFS(sharedCatches)
	if _, err := fs.Stat(shared, riverFile); errors.Is(err, fs.ErrNotExist) {
		t.Skip("NOT CHECKED: the shared catch records are not here, and they are not ours to copy")
	}
	checks, _, err := verifyActivity(shared)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range checks {
		t.Logf("%s: %.4f, reference %v", c.Name, c.Got, c.Want)
	}
	if failed := failedChecks(checks); len(failed) > 0 || len(checks) != 11 {
		t.Errorf("of %d checks failed: %v", len(checks), failed)
	}
}

// inventedParties is a river file of our own: 60 parties in which nothing but
// the columns is like the real one.
func inventedParties() string {
	var out strings.Builder
	out.WriteString("date,start_hour,water,boat,guided,angler_hours,fish_total\n")
	for i := range 60 {
		fmt.Fprintf(&out, "2020-05-%02d,%d,%s,%s,%s,%g,%d\n", 1+i/4, 6+i%5, []string{"A", "B"}[i%2], []string{"No", "Yes"}[i/2%2], []string{"No", "Yes"}[i/3%2], 2+float64(i%7), i*i%11%4*(i%3))
	}
	return out.String()
}

func TestVerifyActivityFailsOnOtherCatchRecords(t *testing.T) {
	checks, _, err := verifyActivity(fstest.MapFS{riverFile: {Data: []byte(inventedParties())}})
	if err != nil {
		t.Fatal(err)
	}
	if failed := failedChecks(checks); len(checks) != 8 || len(failed) < 7 {
		t.Errorf("of %d checks of parties that are not the reference's, only %v failed", len(checks), failed)
	}
}

func TestVerifyActivityNamesWhatIsWrongInCatchRecords(t *testing.T) {
	for _, row := range []struct{ right, wrong, want string }{
		{"angler_hours", "effort", "no column angler_hours"},
		{"date", "day", "no column date"},
		{"guided", "led", "no column guided"},
		{",2,0\n", ",-2,0\n", "row 1"},
		{",2,0\n", ",2,0.5\n", "fish_total is 0.5"},
	} {
		text := strings.Replace(inventedParties(), row.right, row.wrong, 1)
		_, _, err := verifyActivity(fstest.MapFS{riverFile: {Data: []byte(text)}})
		if err == nil || !strings.Contains(err.Error(), row.want) || !strings.Contains(err.Error(), riverFile) {
			t.Errorf("%s: got %v, want it to name %s and say %q", row.wrong, err, riverFile, row.want)
		}
	}
}
