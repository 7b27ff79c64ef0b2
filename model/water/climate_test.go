package water_test

import (
	"math"
	"testing"
	"time"

	"osier/model/water"
)

// The curve crosses its mean on day 115 and is a quarter of a year later at its
// top (reference pack, section 2.1).
func TestClimateCurve(t *testing.T) {
	for _, c := range []struct {
		name                 string
		mean, amplitude, lat float64
		day                  int
		want                 float64
	}{
		{"crossing in spring", 10.5, 7, 52, 115, 10.5},
		{"top in late July", 10.5, 7, 52, 206, 17.5},
		{"bottom in late January", 10.5, 7, 52, 24, 3.5},
		{"south, top in late January", 10.5, 7, -38, 24, 17.5},
		{"never below freezing", 4, 9, 60, 24, 0},
		{"day 201, worked by hand: 10.5 + 7 sin(2 pi 86/365.25)", 10.5, 7, 51.5, 201, 17.4708},
	} {
		got, err := water.ClimateC(c.mean, c.amplitude, c.lat, c.day)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name, got, c.want, 1e-3)
	}
}

func TestClimateRefusesImpossibleCurves(t *testing.T) {
	for _, c := range []struct {
		mean, amplitude, lat float64
		day                  int
	}{{math.NaN(), 7, 52, 1}, {10, -1, 52, 1}, {10, 7, 91, 1}, {10, 7, 52, 0}} {
		if got, err := water.ClimateC(c.mean, c.amplitude, c.lat, c.day); err == nil {
			t.Errorf("ClimateC(%+v) = %v, want an error", c, got)
		}
	}
}

// Without any weather the answer is the curve, give or take 4 C exactly.
func TestClimateEstimate(t *testing.T) {
	at := time.Date(2020, 7, 20, 9, 0, 0, 0, time.UTC)
	got, err := water.ClimateEstimate(water.NewSite(51.5, -0.1, 2), at)
	if err != nil {
		t.Fatal(err)
	}
	if !got.At.Equal(at) || got.Basis != water.FromClimate || got.Ice {
		t.Errorf("estimate %+v", got)
	}
	want, err := water.ClimateC(10.5, 7, 51.5, 202)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "surface", got.SurfaceC, want, 1e-12)
	near(t, "bottom", got.BottomC, want, 1e-12)
	near(t, "low", got.LowC, want-4, 1e-9)
	near(t, "high", got.HighC, want+4, 1e-9)
	if _, err := water.ClimateEstimate(water.NewSite(91, 0, 2), at); err == nil {
		t.Error("latitude 91: no error")
	}
	if _, err := water.ClimateEstimate(water.NewSite(51, 0, 2), time.Time{}); err == nil {
		t.Error("no instant: no error")
	}
}
