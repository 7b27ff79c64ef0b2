package model_test

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"osier/model"
)

// Cells worked out by hand from the four rules of the project's statistics
// notes, section 6: five contributors, ten sessions, largest share at most half,
// p = 10 %.
func TestWithheld(t *testing.T) {
	for _, c := range []struct {
		name     string
		sessions []int
		want     []string
	}{
		{"nobody", nil, []string{"contributors", "sessions"}},
		{"five anglers, ten sessions", []int{2, 2, 2, 2, 2}, nil},
		{"nine sessions", []int{2, 2, 2, 2, 1}, []string{"sessions"}},
		{"four anglers", []int{3, 3, 3, 3}, []string{"contributors"}},
		{"half of all", []int{10, 3, 3, 2, 2}, nil},
		{"over half", []int{11, 3, 3, 2, 2}, []string{"one contributor dominates"}},
		{"those beyond the first two just reach a tenth of the first", []int{30, 29, 1, 1, 1}, nil},
		{"and just do not", []int{31, 30, 1, 1, 1}, []string{"p-percent"}},
		{"anglers without a session are nobody", []int{10, 10, 0, 0, 0}, []string{"contributors", "p-percent"}},
	} {
		if diff := cmp.Diff(c.want, model.Withheld(c.sessions), cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}

func TestWithheldAsTheSharedCells(t *testing.T) {
	body, err := os.ReadFile("../../shared/data/statistics/disclosure.json")
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("the shared cells are not here; the table above is used")
	}
	if err != nil {
		t.Fatal(err)
	}
	var shared struct {
		Cells []struct {
			Sessions []int    `json:"sessions_by_angler"`
			Reasons  []string `json:"reasons"`
		} `json:"cells"`
	}
	if err := json.Unmarshal(body, &shared); err != nil {
		t.Fatal(err)
	}
	if len(shared.Cells) == 0 {
		t.Fatal("the shared file holds no cell")
	}
	for _, c := range shared.Cells {
		if diff := cmp.Diff(c.Reasons, model.Withheld(c.Sessions), cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%v (-want +got):\n%s", c.Sessions, diff)
		}
	}
}

func TestCountBand(t *testing.T) {
	for n, want := range map[int]string{0: "under 5", 4: "under 5", 5: "5-9", 9: "5-9", 10: "10-19", 19: "10-19", 20: "20-49", 49: "20-49", 50: "50 or more"} {
		if got := model.CountBand(n); got != want {
			t.Errorf("CountBand(%d) is %q, want %q", n, got, want)
		}
	}
}
