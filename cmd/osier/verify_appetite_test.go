package main

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
)

func TestVerifyAppetitePassesOnTheEmbeddedSet(t *testing.T) {
	checks, summary, err := verifyAppetite(os.DirFS("reference/appetite"))
	if err != nil {
		t.Fatal(err)
	}
	allOK(t, checks)
	want := appetiteSummary{Rows: 13, ChecksByColumn: map[string]int{
		"carp": 9, "perch_100g": 9, "perch_1g": 9, "roach_prov": 9, "bream_prov": 9, "crucian_prov": 9,
		"roach_exp_rel20": 9, "pikeminnow": 5,
	}}
	if diff := cmp.Diff(want, summary); diff != "" {
		t.Errorf("summary (-want +got):\n%s", diff)
	}
}

func TestVerifyAppetitePassesOnTheSharedSet(t *testing.T) {
	skipWithout(t, sharedWater)
	checks, summary, err := verifyAppetite(os.DirFS(sharedWater))
	if err != nil {
		t.Fatal(err)
	}
	allOK(t, checks)
	if got := summary.(appetiteSummary); got.Rows != 37 || len(got.ChecksByColumn) != 8 || len(checks) != 37*8 {
		t.Errorf("%+v with %d checks; want 37 rows of 8 columns, each checked", got, len(checks))
	}
}

func TestVerifyAppetiteFailsOnAWrongFigure(t *testing.T) {
	checks, _, err := verifyAppetite(fstest.MapFS{"checks/" + appetiteFile: {Data: []byte("temp_c,carp,roach_exp_rel20\n20,0.664,1.000\n46,,1\n")}})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"appetite of common carp (derived) at 20 C", "appetite of roach (published) at 46 C"}
	if diff := cmp.Diff(want, failedChecks(checks)); diff != "" {
		t.Errorf("failed (-want +got):\n%s", diff)
	}
}

func TestVerifyAppetiteNamesWhatItCannotRead(t *testing.T) {
	for _, c := range []struct{ content, want string }{
		{"", "the file is empty"},
		{"water,carp\n", `the first column is "water"`},
		{"temp_c,eel\n", `column "eel"`},
		{"temp_c,carp\nwarm,0.5\n", `line 2: temp_c is "warm"`},
		{"temp_c,carp\n20,NaN\n", `line 2: column carp is "NaN"`},
	} {
		_, _, err := verifyAppetite(fstest.MapFS{appetiteFile: {Data: []byte(c.content)}})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: error %v, want one that says %q", c.content, err, c.want)
		}
	}
}
