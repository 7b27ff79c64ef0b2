package fish_test

import (
	"math"
	"strings"
	"testing"

	"osier/model/fish"

	"pgregory.net/rapid"
)

var groups = []string{"silver", "bream", "carp"}

// Appetite by group, worked by hand from the printed species table of the
// reference pack (section 4.2) and the mixes that this package states.
func TestAppetiteByGroup(t *testing.T) {
	for _, c := range []struct {
		group        string
		waterC, want float64
	}{
		{"silver", 8, 0.7*0.253 + 0.3*0.313},
		{"silver", 20, 0.7*0.866 + 0.3*0.885},
		{"silver", 24, 1},
		{"bream", 4, 0.200},
		{"bream", 12, 0.471},
		{"bream", 28, 0.779},
		{"carp", 8, 0.8*0.158 + 0.2*0.194},
		{"carp", 20, 0.8*0.663 + 0.2*0.680},
		{"carp", 32, 0.8*0.673 + 0.2*0.818},
	} {
		got, err := fish.Appetite(c.group, c.waterC)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.group, got, c.want, 6e-4)
	}
}

func TestAppetiteIsAShareAndItsLogIsFinite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		group := rapid.SampledFrom(groups).Draw(t, "group")
		waterC := rapid.Float64Range(fish.LowestC, fish.HighestC).Draw(t, "water")
		share, err := fish.Appetite(group, waterC)
		if err != nil {
			t.Fatal(err)
		}
		if !(share >= 0 && share <= 1) {
			t.Fatalf("%s at %v C: %v is no share", group, waterC, share)
		}
		log, err := fish.LogAppetite(group, waterC)
		if err != nil {
			t.Fatal(err)
		}
		if want := math.Log(math.Max(share, fish.Floor)); log != want {
			t.Fatalf("%s at %v C: log %v, want %v", group, waterC, log, want)
		}
	})
}

// The floor is for heat only: no winter temperature touches it.
func TestFloorNeverBindsInTheCold(t *testing.T) {
	for _, group := range groups {
		for waterC := 0.0; waterC <= 24; waterC += 0.5 {
			share, err := fish.Appetite(group, waterC)
			if err != nil {
				t.Fatal(err)
			}
			if share < 2*fish.Floor {
				t.Errorf("%s at %v C: %v is close to the floor", group, waterC, share)
			}
		}
	}
	log, err := fish.LogAppetite("bream", 40)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "log appetite beyond the upper limit", log, math.Log(0.02), 1e-12)
}

func TestMixesAreWhole(t *testing.T) {
	for _, group := range groups {
		parts, err := fish.Mix(group)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, p := range parts {
			sum += p.Share
		}
		near(t, "shares of "+group, sum, 1, 1e-12)
	}
}

func TestEveryRowNamesItsStandingAndSource(t *testing.T) {
	for _, s := range fish.Table() {
		switch s.Status {
		case fish.Published, fish.Derived, fish.Assumed:
		default:
			t.Errorf("%s: status %q", s.Name, s.Status)
		}
		if s.Name == "" || s.Source == "" || s.Curve == nil || s.UseToC <= 0 {
			t.Errorf("row %+v is not whole", s)
		}
	}
}

func TestAppetiteRefusesWhatItCannotKnow(t *testing.T) {
	for _, c := range []struct {
		group  string
		waterC float64
		says   string
	}{
		{"pike", 10, "silver, bream or carp"},
		{"carp", math.NaN(), "water temperature is NaN"},
		{"carp", math.Inf(-1), "from 0 to 45"},
		{"silver", -3, "from 0 to 45"},
		{"silver", 50, "from 0 to 45"},
	} {
		if _, err := fish.Appetite(c.group, c.waterC); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("Appetite(%q, %v): error %v, want one that says %q", c.group, c.waterC, err, c.says)
		}
		if _, err := fish.LogAppetite(c.group, c.waterC); err == nil {
			t.Errorf("LogAppetite(%q, %v): no error", c.group, c.waterC)
		}
	}
	if _, err := fish.Mix("pike"); err == nil {
		t.Error("Mix(pike): no error")
	}
}
