package plan_test

import (
	"fmt"
	"testing"
	"time"

	"osier/model"
)

// tendencyAt is the condition of one hour of a series.
func tendencyAt(t *testing.T, hours []model.WeatherHour, at time.Time) model.ConditionHour {
	t.Helper()
	return conditions(t, hours, at, at.Add(time.Hour)).Hours[0]
}

// risingBy is a series whose pressure changes evenly by so much in the three
// hours up to now, and was level before.
func risingBy(hPa float64) []model.WeatherHour {
	return series(func(at time.Time) values {
		v := ordinary(at)
		if back := now.Sub(at).Hours(); back < 3 {
			v.hPa += hPa * (3 - max(0, back)) / 3
		}
		return v
	})
}

// The words are those of UK coastal station reports (Met Office): under 0.1 hPa
// in three hours, to 1.5, to 3.5, to 6.0, and beyond.
func TestTrendWords(t *testing.T) {
	for _, c := range []struct {
		hPa  float64
		want string
	}{
		{0, "steady"},
		{0.1, "rising slowly"},
		{-0.1, "falling slowly"},
		{1.5, "rising slowly"},
		{1.6, "rising"},
		{-3.5, "falling"},
		{3.6, "rising quickly"},
		{-6.0, "falling quickly"},
		{6.1, "rising very rapidly"},
		{-6.1, "falling very rapidly"},
	} {
		t.Run(fmt.Sprint(c.hPa), func(t *testing.T) {
			h := tendencyAt(t, risingBy(c.hPa), now)
			if h.TendencyText != c.want || !h.Tendency3hHPa.Known || float64(h.Tendency3hHPa.Value) != c.hPa {
				t.Errorf("%q, %+v hPa; want %q, %v", h.TendencyText, h.Tendency3hHPa, c.want, c.hPa)
			}
		})
	}
}

func TestWholeHectopascalsAreSteadyUnderOne(t *testing.T) {
	for _, c := range []struct {
		hPa   float64
		whole bool
		want  string
	}{{0.9, false, "rising slowly"}, {0.9, true, "steady"}, {1, true, "rising slowly"}} {
		hours := risingBy(c.hPa)
		for i := range hours {
			hours[i].QNHHPa, hours[i].SeaLevelHPa, hours[i].WholeHPa = hours[i].SeaLevelHPa, gone, c.whole
		}
		h := tendencyAt(t, hours, now)
		if h.TendencyText != c.want || h.PressureKind != model.QNH {
			t.Errorf("%v hPa, whole %v: %q of the %s, want %q of the altimeter setting", c.hPa, c.whole, h.TendencyText, h.PressureKind, c.want)
		}
		if said := h.TendencyNote != ""; said != c.whole {
			t.Errorf("note %q, want one only of whole hectopascals", h.TendencyNote)
		}
	}
}

// A trend drawn across two stations, two feeds or two kinds of pressure would
// be the difference between them.
func TestTheTrendIsUnknownRatherThanMixed(t *testing.T) {
	back := func(h int) time.Time { return now.Add(-time.Duration(h) * time.Hour) }
	for name, spoil := range map[string]func(hours []model.WeatherHour){
		"another station since an hour ago": func(hours []model.WeatherHour) {
			for h := range 2 {
				hourOf(hours, back(h)).SeaLevelHPa.From.Station = "BBBB"
			}
		},
		"another feed for the hour itself": func(hours []model.WeatherHour) {
			hourOf(hours, now).SeaLevelHPa.From.Source = "archive"
		},
		"a gap of five hours before it": func(hours []model.WeatherHour) {
			for h := 1; h <= 5; h++ {
				hourOf(hours, back(h)).SeaLevelHPa = gone
			}
		},
		"one kind now and another before": func(hours []model.WeatherHour) {
			for h := 1; h <= 6; h++ {
				v := hourOf(hours, back(h))
				v.QNHHPa, v.SeaLevelHPa = v.SeaLevelHPa, gone
			}
		},
		"none now": func(hours []model.WeatherHour) { hourOf(hours, now).SeaLevelHPa = gone },
	} {
		t.Run(name, func(t *testing.T) {
			hours := risingBy(3)
			spoil(hours)
			h := tendencyAt(t, hours, now)
			if h.TendencyText != "unknown" || h.Tendency3hHPa.Known {
				t.Errorf("%q, %+v; want it unknown", h.TendencyText, h.Tendency3hHPa)
			}
		})
	}
	t.Run("the first hours of the forecast follow reports of another feed", func(t *testing.T) {
		hours := risingBy(0)
		for h, want := range map[int]string{1: "unknown", 2: "unknown", 3: "unknown", 4: "steady"} {
			if got := tendencyAt(t, hours, now.Add(time.Duration(h)*time.Hour)).TendencyText; got != want {
				t.Errorf("%d h ahead: %q, want %q", h, got, want)
			}
		}
		notes := fmt.Sprint(conditions(t, hours, now, now.Add(5*time.Hour)).Notes)
		if want := "The pressure trend is unknown in 3 of 5 hours"; !contains(notes, want) {
			t.Errorf("notes %s, want %q", notes, want)
		}
	})
}

func TestAWholeKindOfItsOwnStillGivesATrend(t *testing.T) {
	hours := risingBy(3)
	for h := range 8 { // altimeter settings all along, and the other kind just now
		v := hourOf(hours, now.Add(-time.Duration(h)*time.Hour))
		v.QNHHPa = v.SeaLevelHPa
		if h > 0 {
			v.SeaLevelHPa = gone
		}
		v.QNHHPa.Value -= 8
	}
	if h := tendencyAt(t, hours, now); h.TendencyText != "rising" || float64(h.Tendency3hHPa.Value) != 3 {
		t.Errorf("%q, %+v; want rising by 3 hPa, from altimeter settings alone", h.TendencyText, h.Tendency3hHPa)
	}
}
