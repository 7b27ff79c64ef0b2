package fish_test

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"math"
	"os"
	"strconv"
	"testing"

	"osier/model/fish"

	"pgregory.net/rapid"
)

// at evaluates a row of the table that must exist.
func at(t *testing.T, species string, waterC float64) float64 {
	t.Helper()
	row, ok := fish.Find(species)
	if !ok {
		t.Fatalf("no species %q in the table", species)
	}
	got, err := row.Curve.At(waterC)
	if err != nil {
		t.Fatalf("%s at %v C: %v", species, waterC, err)
	}
	return got
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %.6g within %g", what, got, want, tolerance)
	}
}

// The printed check table of the reference pack (water and fish, section 4.2).
func TestShareOfGreatestConsumption(t *testing.T) {
	species := []string{"common carp", "perch, 100 g", "perch, 1 g", "roach, capped", "bream", "crucian carp"}
	for _, row := range []struct {
		waterC float64
		want   []float64
	}{
		{0, []float64{0.049, 0.028, 0.055, 0.086, 0.125, 0.070}},
		{4, []float64{0.090, 0.062, 0.091, 0.150, 0.200, 0.118}},
		{8, []float64{0.158, 0.134, 0.150, 0.253, 0.313, 0.194}},
		{12, []float64{0.270, 0.275, 0.243, 0.411, 0.471, 0.310}},
		{16, []float64{0.438, 0.520, 0.385, 0.627, 0.673, 0.473}},
		{20, []float64{0.663, 0.851, 0.587, 0.866, 0.885, 0.680}},
		{24, []float64{0.899, 0.972, 0.834, 1.000, 1.000, 0.891}},
		{28, []float64{0.996, 0, 1.000, 0.745, 0.779, 1.000}},
		{32, []float64{0.673, 0, 0, 0, 0, 0.818}},
	} {
		for i, want := range row.want {
			near(t, species[i]+" at "+strconv.FormatFloat(row.waterC, 'f', 0, 64), at(t, species[i], row.waterC), want, 5.1e-4)
		}
	}
}

// Equation 1 has no maximum, so the pack states it against its value at 20 C.
func TestRoachByTheExponentialEquation(t *testing.T) {
	at20 := at(t, "roach", 20)
	for waterC, want := range map[float64]float64{0: 0.154, 4: 0.224, 8: 0.326, 12: 0.473, 16: 0.688, 20: 1, 24: 1.454, 28: 2.113, 32: 3.071} {
		near(t, "roach, relative to 20 C", at(t, "roach", waterC)/at20, want, 5.1e-4)
	}
	near(t, "roach, ratio across 10 C", at(t, "roach", 15)/at(t, "roach", 5), 2.55, 5e-3)
}

// Equation 3 with the northern pikeminnow row (reference pack, section 4.1).
func TestNorthernPikeminnow(t *testing.T) {
	for waterC, want := range map[float64]float64{0: 0.0010, 10: 0.1774, 20.1: 0.9799, 22.7: 0.9751, 27: 0.0100} {
		near(t, "pikeminnow", at(t, "northern pikeminnow", waterC), want, 5.1e-5)
	}
}

// Every degree of the shared check file.
func TestSharedAppetiteTable(t *testing.T) {
	f, err := os.Open("../../../shared/data/water/checks/appetite_ft.csv")
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("shared/data/water/checks/appetite_ft.csv is not here; the printed table is checked by the other tests")
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	columns := map[string]string{
		"carp": "common carp", "perch_1g": "perch, 1 g", "perch_100g": "perch, 100 g",
		"bream_prov": "bream", "roach_prov": "roach, capped", "crucian_prov": "crucian carp", "zander_adult": "zander",
	}
	at20, checked := at(t, "roach", 20), 0
	for _, row := range rows[1:] {
		waterC := number(t, row[0])
		for i, column := range rows[0][1:] {
			want := number(t, row[i+1])
			switch species, ok := columns[column]; {
			case ok:
				near(t, column+" at "+row[0], at(t, species, waterC), want, 6e-6)
			case column == "roach_exp_rel20":
				near(t, column+" at "+row[0], at(t, "roach", waterC)/at20, want, 6e-6)
			default:
				t.Fatalf("column %q is not checked", column)
			}
			checked++
		}
	}
	if checked < 37*8 {
		t.Errorf("checked %d cells, expected at least %d", checked, 37*8)
	}
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Equation 2 stays a share, is greatest at its optimum, rises below it and
// falls above it, whatever the parameters.
func TestEquation2Shape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cto := rapid.Float64Range(10, 35).Draw(t, "cto")
		curve := fish.Equation2{
			CQ: rapid.Float64Range(1.2, 6).Draw(t, "cq"), CTO: cto,
			CTM: cto + rapid.Float64Range(1, 10).Draw(t, "to upper limit"),
		}
		a := rapid.Float64Range(0, 45).Draw(t, "a")
		b := rapid.Float64Range(a, 45).Draw(t, "b")
		fa, errA := curve.At(a)
		fb, errB := curve.At(b)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if !(fa >= 0 && fa <= 1+1e-12) {
			t.Fatalf("f(%v) = %v is no share", a, fa)
		}
		if b <= cto && fb < fa-1e-12 {
			t.Fatalf("f falls below its optimum: f(%v) = %v, f(%v) = %v", a, fa, b, fb)
		}
		if a >= cto && fb > fa+1e-12 {
			t.Fatalf("f rises above its optimum: f(%v) = %v, f(%v) = %v", a, fa, b, fb)
		}
		if top, err := curve.At(cto); err != nil || math.Abs(top-1) > 1e-12 {
			t.Fatalf("f at its optimum = %v, %v", top, err)
		}
	})
}

// The corners of equation 3 are its parameters, by its own definition.
func TestEquation3Corners(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cq := rapid.Float64Range(0, 8).Draw(t, "cq")
		cto := cq + rapid.Float64Range(2, 15).Draw(t, "rise")
		ctm := cto + rapid.Float64Range(0, 6).Draw(t, "plateau")
		ctl := ctm + rapid.Float64Range(1, 8).Draw(t, "fall")
		ck := rapid.Float64Range(0.001, 0.5)
		curve := fish.Equation3{CQ: cq, CTO: cto, CTM: ctm, CTL: ctl, CK1: ck.Draw(t, "ck1"), CK4: ck.Draw(t, "ck4")}
		for _, c := range []struct{ waterC, most float64 }{{cq, curve.CK1}, {cto, 0.98}, {ctm, 0.98}, {ctl, curve.CK4}} {
			got, err := curve.At(c.waterC)
			if err != nil {
				t.Fatal(err)
			}
			if !(got >= 0 && got <= c.most+1e-9) {
				t.Fatalf("f(%v) = %v, must lie between 0 and %v", c.waterC, got, c.most)
			}
		}
	})
}

func TestWhatMakesNoCurve(t *testing.T) {
	for name, c := range map[string]fish.Curve{
		"equation 1, falling":                   fish.Equation1{CQ: -0.1},
		"equation 1, not a number":              fish.Equation1{CQ: math.NaN()},
		"equation 2, limit below optimum":       fish.Equation2{CQ: 2, CTO: 30, CTM: 25},
		"equation 2, ratio below 1":             fish.Equation2{CQ: 0.9, CTO: 20, CTM: 30},
		"equation 2, infinite limit":            fish.Equation2{CQ: 2, CTO: 20, CTM: math.Inf(1)},
		"equation 3, share above 0.98":          fish.Equation3{CQ: 0, CTO: 20, CTM: 22, CTL: 27, CK1: 0.99, CK4: 0.01},
		"equation 3, temperatures out of order": fish.Equation3{CQ: 0, CTO: 20, CTM: 19, CTL: 27, CK1: 0.1, CK4: 0.01},
	} {
		if got, err := c.At(10); err == nil {
			t.Errorf("%s: got %v, want an error", name, got)
		}
	}
	good := fish.Equation2{CQ: 2, CTO: 20, CTM: 30}
	for _, waterC := range []float64{-0.1, 45.1, math.NaN(), math.Inf(1)} {
		if got, err := good.At(waterC); err == nil {
			t.Errorf("water of %v C: got %v, want an error", waterC, got)
		}
	}
}
