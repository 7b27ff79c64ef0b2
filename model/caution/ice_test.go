package caution_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
	"osier/model/caution"
)

func noAir(h *model.ConditionHour) { h.AirC = model.Maybe[model.Celsius]{} }

func TestHowLongAReportOfIceCounts(t *testing.T) {
	warmSince := func(h *model.ConditionHour) { h.WaterC.Low = 4.1 }
	cool := func(h *model.ConditionHour) { h.WaterC.Low = 4 }
	climate := func(h *model.ConditionHour) { h.WaterC.Kind = model.Assumed }
	old := func(in caution.Input) caution.Input {
		in = each(in, -48, 0, func(h *model.ConditionHour) { h.Weather = model.Forecasted })
		in.ForecastAgeH = forecastAge(7)
		return in
	}
	day := 24 * time.Hour
	for _, c := range []struct {
		name string
		in   caution.Input
		ago  time.Duration
		want []string
	}{
		{"yesterday, water warm today", each(quiet(), -48, 4, warmSince), day, []string{"stop " + allMorning}},
		{"three days ago, two days of 4.1 C", each(quiet(), -48, 4, warmSince), 3 * day, nil},
		{"three days ago, an hour of 4.0 C", each(quiet(), -9, -8, cool), 3 * day, []string{"stop " + allMorning}},
		{"three days ago, 10 C by the climate", each(quiet(), -48, 4, climate), 3 * day, []string{"stop " + allMorning}},
		{"three days ago, 10 C by an old forecast", old(quiet()), 3 * day, []string{"stop " + allMorning}},
		{"a week ago less an hour", each(quiet(), -48, 4, cool), 7*day - time.Hour, []string{"stop 07:00-08:00"}},
		{"a week ago", each(quiet(), -48, 4, cool), 7 * day, nil},
		{"during the outing", quiet(), -time.Hour, []string{"stop 08:00-11:00"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.in.Reports = []model.Report{report(model.SawIce, from.Add(-c.ago))}
			got := levels(raised(of(caution.Check(c.in), "ice")))
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func raised(cautions []model.Caution) []model.Caution {
	var kept []model.Caution
	for _, c := range cautions {
		if c.Level != model.NotChecked {
			kept = append(kept, c)
		}
	}
	return kept
}

func TestReportedIceText(t *testing.T) {
	in := quiet()
	in.Reports = []model.Report{report(model.SawIce, from.Add(-time.Hour))}
	want := "Ice was reported on 9 April: no fishing from or through ice from 07:00 to 11:00. Never step on it; go home."
	if got := only(t, in, "ice").Text; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestMissingHistoryAndFrost(t *testing.T) {
	frost := each(quiet(), -48, 4, airC(-2))
	for _, c := range []struct {
		name string
		in   caution.Input
		want []string
	}{
		{"none, water 17 +/- 4 C", each(each(quiet(), -49, 0, noAir), 0, 4, water(13, 17)), nil},
		{"none, water 10 +/- 4 C", each(each(quiet(), -49, 0, noAir), 0, 4, water(6, 10)), []string{"not checked " + allMorning}},
		{"four hours missing of a frost", each(frost, -30, -26, noAir), []string{"care " + allMorning}},
		{"nine hours missing of a frost", each(each(each(quiet(), -48, 4, airC(-2)), -35, -26, noAir), 0, 4, water(9, 10)), []string{"not checked " + allMorning}},
		{"nine hours missing of mild days", each(each(quiet(), -48, 4, airC(8)), -35, -26, noAir), nil},
	} {
		if diff := cmp.Diff(c.want, levels(of(caution.Check(c.in), "ice"))); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}

func TestTheWaterModelsIceIsIce(t *testing.T) {
	in := each(quiet(), 0, 4, func(h *model.ConditionHour) { h.WaterC.Ice = true })
	if got := only(t, in, "ice").Level; got != model.Care {
		t.Errorf("got %s", got)
	}
}
