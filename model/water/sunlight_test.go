package water_test

import (
	"math"
	"testing"

	"osier/model/water"

	"pgregory.net/rapid"
)

// Cells of Kasten and Czeplak's formula as the reference pack prints them.
func TestShortwave(t *testing.T) {
	for _, c := range []struct{ sinElevation, cloud, want float64 }{
		{-0.5, 0, 0},
		{0.03, 0, 0},
		{0.1, 0, 61},
		{0.1, 1, 15.25},
		{0.25, 0.5, 183.468},
		{0.5, 0.75, 305.144},
		{0.75, 0.25, 648.108},
		{1, 0, 880},
		{1, 1, 220},
	} {
		got, err := water.ShortwaveWm2(c.sinElevation, c.cloud)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "sunlight", got, c.want, 5.1e-4)
	}
}

func TestSharedShortwave(t *testing.T) {
	for _, row := range shared(t, "shortwave.csv") {
		got, err := water.ShortwaveWm2(row["sin_elev"], row["cloud"])
		if err != nil {
			t.Fatal(err)
		}
		near(t, "sunlight", got, row["sw_wm2"], 5.1e-4)
	}
}

// The sun's declination and its mean light over the day at latitude 52, as the
// reference pack prints them (sections 1.2 and 1.5), taken at the middle of each
// hour as there and in the slab.
func TestSunOverTheDay(t *testing.T) {
	for day, declinationDeg := range map[int]float64{172: 23.43, 355: -23.43} {
		atPole, err := water.SinElevation(90, day, 12)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "declination", math.Asin(atPole)*180/math.Pi, declinationDeg, 0.006)
	}
	clouds := []float64{0, 0.5, 0.8, 1}
	for day, want := range map[int][]float64{
		15: {48, 45, 31, 12}, 80: {162, 150, 105, 40}, 172: {312, 290, 203, 78}, 265: {159, 148, 103, 40},
	} {
		for i, cloud := range clouds {
			sum := 0.0
			for hour := range 24 {
				sin, err := water.SinElevation(52, day, float64(hour)+0.5)
				if err != nil {
					t.Fatal(err)
				}
				sunlight, err := water.ShortwaveWm2(sin, cloud)
				if err != nil {
					t.Fatal(err)
				}
				sum += sunlight
			}
			near(t, "daily mean sunlight", sum/24, want[i], 0.51)
		}
	}
}

func TestSunlightIsBounded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat := rapid.Float64Range(-90, 90).Draw(t, "lat")
		sin, err := water.SinElevation(lat, rapid.IntRange(1, 366).Draw(t, "day"), rapid.Float64Range(0, 24).Draw(t, "hour"))
		if err != nil || sin < -1-1e-12 || sin > 1+1e-12 {
			t.Fatal(sin, err)
		}
		cloud := rapid.Float64Range(0, 1).Draw(t, "cloud")
		sin = math.Max(-1, math.Min(1, sin))
		covered, errA := water.ShortwaveWm2(sin, cloud)
		bare, errB := water.ShortwaveWm2(sin, 0)
		if errA != nil || errB != nil || covered < 0 || covered > bare || bare > 880 {
			t.Fatal(covered, bare, errA, errB)
		}
	})
}

func TestSunRefusesImpossiblePlaces(t *testing.T) {
	for _, c := range []struct {
		lat  float64
		day  int
		hour float64
	}{{91, 1, 12}, {math.NaN(), 1, 12}, {52, 0, 12}, {52, 367, 12}, {52, 1, 25}} {
		if _, err := water.SinElevation(c.lat, c.day, c.hour); err == nil {
			t.Errorf("SinElevation(%v, %v, %v): no error", c.lat, c.day, c.hour)
		}
	}
	if _, err := water.ShortwaveWm2(0.5, 1.1); err == nil {
		t.Error("cloud of 1.1: no error")
	}
	if _, err := water.ShortwaveWm2(math.NaN(), 0.5); err == nil {
		t.Error("sun at NaN: no error")
	}
}
