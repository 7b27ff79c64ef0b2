package page_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"osier/api/page"
	"osier/model"
)

// hoursFrom are hours of conditions from an instant on, each colder by a tenth.
func hoursFrom(from time.Time, n int) model.Conditions {
	c := model.Conditions{Source: "invented", AskedAt: from}
	for i := range n {
		c.Hours = append(c.Hours, model.ConditionHour{
			At: from.Add(time.Duration(i) * time.Hour), Weather: model.Observed, AirC: model.Known(model.Celsius(10 - float64(i)/10)),
			WindMps: model.Known(model.MetresPerSecond(3)), GustMps: model.Known(model.MetresPerSecond(5.5)), PressureHPa: model.Known(model.Hectopascals(1012.3)),
			Tendency3hHPa: model.Known(model.Hectopascals(-0.04)), WaterC: model.WaterEstimate{Value: 7.5, Low: 6, High: 9},
		})
	}
	return c
}

func pit() model.Water {
	return model.Water{ID: "pit", Name: "The Pit", Zone: "Europe/London", MeanDepthM: 2.4, Groups: []model.Group{model.Silver, model.Bream}}
}

// Across the change of clocks each hour stands once in its table, by the clock
// at the water.
func TestWeatherIsByTheClockAtTheWater(t *testing.T) {
	c := hoursFrom(time.Date(2026, 10, 24, 23, 0, 0, 0, time.UTC), 30) // 00:00 on the day of 25 hours
	body, err := page.Weather(pit(), c, nil, 3, "")
	all := sound(t, body, err)
	var clock []string
	for _, row := range tableRows(all) {
		if len(row) > 5 && row[2] == ':' {
			clock = append(clock, row[:5])
		}
	}
	if got, want := strings.Join(clock[:9], " "), "00:00 03:00 06:00 09:00 12:00 15:00 18:00 21:00 00:00"; got != want {
		t.Errorf("rows at %s, want %s", got, want)
	}
	holds(t, all, "Sunday 25 October", "Monday 26 October")
}

func TestReadingsAreShownAndNeverWhoTookThem(t *testing.T) {
	c := hoursFrom(at.Truncate(time.Hour).Add(-72*time.Hour), 73)
	readings := []model.MeterReading{{At: at.Add(-30 * time.Hour), WaterC: model.Known[model.Celsius](6.4), DepthM: model.Known[model.Metres](0.5), By: "sedge9", Session: "s-1"}}
	body, err := page.Weather(pit(), c, readings, 3, "")
	all := sound(t, body, err)
	if n := len(named(all, "circle")); n != 1 {
		t.Errorf("%d rings, want one", n)
	}
	holds(t, all, "Tue 24 Nov 2026, 03:20", "6.4", "0.5")
	lacks(t, all, "sedge9", "s-1")
	for _, table := range []string{"Water and air as a table", "Wind and pressure as a table"} {
		holds(t, all, table)
	}
	holds(t, all, "09:00", "7.5", "6.0 to 9.0", "3.0", "5.5", "1012.3", "0.0")
}

// A gap in the weather is a gap in the picture and a dash in the table.
func TestWhatIsNotKnownIsNotDrawn(t *testing.T) {
	c := hoursFrom(at.Truncate(24*time.Hour), 24)
	for i := 9; i < 15; i++ {
		c.Hours[i].PressureHPa = model.Maybe[model.Hectopascals]{}
		c.Hours[i].Weather = model.Missing
	}
	body, err := page.Weather(pit(), c, nil, 3, "")
	all := sound(t, body, err)
	lines := 0
	for _, e := range named(all, "polyline") {
		if len(e.paths) > 0 && e.attr["class"] == "line" {
			lines++
		}
	}
	if lines != 4 { // water, wind, and pressure in two
		t.Errorf("%d lines, want the pressure in two parts", lines)
	}
	holds(t, all, "6 observed, 2 missing", "09:003.05.5\u2013")
}

func TestNoWeatherAtAll(t *testing.T) {
	body, err := page.Weather(pit(), model.Conditions{}, nil, 7, "")
	all := sound(t, body, err)
	holds(t, all, "No weather of these days is stored.")
	body, err = page.Water(pit(), model.Conditions{}, nil, "")
	holds(t, sound(t, body, err), "No weather is known for these hours.", "silver fish, bream")
}

func TestTheSeasonShowsEachMonthAndNoMarkOnAny(t *testing.T) {
	s := model.SeasonPlan{Water: "pit", WaterName: "The Pit", Coldest: 1, Warmest: 7, Hours: 5}
	for m := 1; m <= 12; m++ {
		rate := float64(40 * m)
		s.Months = append(s.Months, model.SeasonMonth{
			Month: m, Name: time.Month(m).String(), WaterC: model.SeasonWater{Low: float64(m), Middle: float64(m) + 1, High: float64(m) + 2, Basis: model.ByClimate},
			Groups: []model.SeasonGroup{{Group: model.Silver, Level: "Even", RateGH: model.Span{Low: rate, High: rate + 10}, Step: "M", CapacityMl: 35, BitesPerH: model.RateRange{Median: 1, Low90: 0.2, High90: 12.4}, Blank: 0.125}},
		})
	}
	body, err := page.Season(s, "")
	all := sound(t, body, err)
	rows := strings.Join(tableRows(all), "\n")
	for m := 1; m <= 12; m++ {
		for _, row := range []string{
			fmt.Sprintf("%s*|%d.0|%d.0 to %d.0|", time.Month(m), m+1, m, m+2), fmt.Sprintf("%s|Even|%d to %d|M, 35 ml|", time.Month(m), 40*m, 40*m+10), fmt.Sprintf("%s|0|0|1.0 (0.2 to 12)|12|", time.Month(m)),
		} {
			if !strings.Contains(rows, row) {
				t.Errorf("no row %q in\n%s", row, rows)
			}
		}
	}
	if n := len(named(all, "rect")); n != 24 {
		t.Errorf("%d bars, want 12 of feed and 12 of feeders", n)
	}
	classes := map[string]bool{}
	for _, e := range named(all, "rect") {
		classes[e.attr["class"]+e.attr["fill"]] = true
	}
	if len(classes) != 2 { // one for each picture
		t.Errorf("months are drawn differently: %v", classes)
	}
}
