package activity_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/model/activity"
)

// usual are conditions with everything known and everything but the season and
// the hour at its centre.
func usual() activity.Covariates {
	return activity.Covariates{
		WindMps: 5, CloudFraction: 0.5, DayOfYear: 196, MidHour: 9.5,
		PlannedRateGH: 150, StartingRateGH: 150, WaterC: 12,
		Known: activity.Known{
			LogAppetite: true, Warming48hC: true, WindMps: true, CloudFraction: true, RainMm: true,
			PressureChange3hHPa: true, PressureChange24hHPa: true, LowLightShare: true,
			PegEffort7dRodHours: true, Feed: true, WaterC: true, LogCapacityRatio: true,
		},
	}
}

func TestColumnsAreTheTableOfTheModel(t *testing.T) {
	// The project's statistics notes, section 1.6: centre, scale, prior.
	want := []struct {
		name                          string
		centre, scale, prior, priorSD float64
	}{
		{"intercept", 0, 1, math.Log(3), 0.8},
		{"log_appetite", 0, 1, 0.6, 0.25},
		{"water_warming_48h_c", 0, 2, 0.05, 0.08},
		{"wind_mps", 5, 3, 0.05, 0.10},
		{"cloud_fraction", 0.5, 0.3, 0, 0.10},
		{"log1p_rain_mm", 0, 1, 0, 0.10},
		{"pressure_change_3h_hpa", 0, 1.2, 0, 0.05},
		{"pressure_change_24h_hpa", 0, 6, 0, 0.05},
		{"season_sin_1", 0, 1, 0, 0.2},
		{"season_cos_1", 0, 1, 0, 0.2},
		{"season_sin_2", 0, 1, 0, 0.2},
		{"season_cos_2", 0, 1, 0, 0.2},
		{"hour_sin_1", 0, 1, 0, 0.2},
		{"hour_cos_1", 0, 1, 0, 0.2},
		{"hour_sin_2", 0, 1, 0, 0.2},
		{"hour_cos_2", 0, 1, 0, 0.2},
		{"low_light_share", 0, 1, 0.1, 0.2},
		{"peg_effort_7d_rod_h", 0, 5, -0.2, 0.15},
		{"feed_z", 0, 1, 0, 0.15},
		{"feed_z_squared", 0, 1, -0.4, 0.3},
		{"feed_z_x_temperature", 0, 1, 0, 0.1},
		{"log_feeder_capacity", 0, 1, 0, 0.1},
		{"feed_unknown", 0, 1, 0, 0.2},
	}
	got, err := activity.Columns("bream")
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != len(want) {
		t.Fatalf("there are %d columns, want %d", len(got), len(want))
	}
	for j, w := range want {
		g := got[j]
		if g.Name != w.name || g.Centre != w.centre || g.Scale != w.scale || g.PriorMean != w.prior || g.PriorSD != w.priorSD {
			t.Errorf("column %d is %+v, want %+v", j+1, g, w)
		}
	}
	for group, perRodHour := range map[string]float64{"silver": 6, "bream": 3, "carp": 2.5} {
		columns, err := activity.Columns(group)
		if err != nil || columns[0].PriorMean != math.Log(perRodHour) {
			t.Errorf("%s: intercept prior %v (%v), want ln %v", group, columns[0].PriorMean, err, perRodHour)
		}
	}
	if _, err := activity.Columns("perch"); err == nil || !strings.Contains(err.Error(), "silver, bream or carp") {
		t.Errorf("an unknown group gives %v, want an error that lists the groups", err)
	}
}

func TestBuildRowScalesEachValue(t *testing.T) {
	c := usual()
	c.LogAppetite, c.Warming48hC, c.WindMps, c.CloudFraction, c.RainMm = -0.5, 3, 8, 0.8, math.E-1
	c.PressureChange3hHPa, c.PressureChange24hHPa = -2.4, 12
	c.DayOfYear, c.MidHour = 1, 6
	c.LowLightShare, c.PegEffort7dRodHours = 0.25, 10
	c.PlannedRateGH, c.StartingRateGH, c.WaterC, c.LogCapacityRatio = 300, 150, 17, 0.4
	row, missing, err := activity.BuildRow(c)
	if err != nil || len(missing) != 0 {
		t.Fatalf("missing %v, error %v", missing, err)
	}
	day, z := 2*math.Pi/365.25, math.Ln2
	want := []float64{
		1, -0.5, 1.5, 1, 1, 1, -2, 2,
		math.Sin(day), math.Cos(day), math.Sin(2 * day), math.Cos(2 * day),
		1, 0, 0, -1, // six in the morning is a quarter turn
		0.25, 2, z, z * z, z, 0.4, 0,
	}
	if diff := cmp.Diff(want, row, cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-14 })); diff != "" {
		t.Errorf("row (-want +got):\n%s", diff)
	}
}

func TestUnknownValuesTakeTheirCentreAndAreNamed(t *testing.T) {
	c := usual()
	c.Known = activity.Known{}
	c.WindMps, c.RainMm, c.PlannedRateGH = math.NaN(), -7, 900 // not known, so not read
	row, missing, err := activity.BuildRow(c)
	if err != nil {
		t.Fatal(err)
	}
	wantMissing := []string{
		"log_appetite", "water_warming_48h_c", "wind_mps", "cloud_fraction", "log1p_rain_mm",
		"pressure_change_3h_hpa", "pressure_change_24h_hpa", "low_light_share", "peg_effort_7d_rod_h",
		"feed_z", "feed_z_squared", "feed_z_x_temperature", "log_feeder_capacity",
	}
	if diff := cmp.Diff(wantMissing, missing); diff != "" {
		t.Errorf("missing (-want +got):\n%s", diff)
	}
	columns, _ := activity.Columns("carp")
	for j, c := range columns {
		switch {
		case c.Name == "intercept" || c.Name == "feed_unknown":
			if row[j] != 1 {
				t.Errorf("%s is %v, want 1", c.Name, row[j])
			}
		case !strings.HasPrefix(c.Name, "season") && !strings.HasPrefix(c.Name, "hour") && row[j] != 0:
			t.Errorf("%s is %v, want 0 because it is not known", c.Name, row[j])
		}
	}
}

func TestFeedIsKnownWithoutTheWaterTemperature(t *testing.T) {
	c := usual()
	c.PlannedRateGH, c.Known.WaterC = 300, false
	row, missing, err := activity.BuildRow(c)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff([]string{"feed_z_x_temperature"}, missing); diff != "" {
		t.Errorf("missing (-want +got):\n%s", diff)
	}
	if row[18] != math.Ln2 || row[20] != 0 || row[22] != 0 {
		t.Errorf("z, z x t, feed_unknown are %v, %v, %v; want ln 2, 0, 0", row[18], row[20], row[22])
	}
}

func TestBuildRowRefusesValuesOutsideTheirRange(t *testing.T) {
	for _, c := range []struct {
		want   string
		change func(*activity.Covariates)
	}{
		{"log_appetite is 2", func(c *activity.Covariates) { c.LogAppetite = 2 }},
		{"wind_mps is NaN", func(c *activity.Covariates) { c.WindMps = math.NaN() }},
		{"wind_mps is -1", func(c *activity.Covariates) { c.WindMps = -1 }},
		{"cloud_fraction is 75", func(c *activity.Covariates) { c.CloudFraction = 75 }},
		{"rain_mm is +Inf", func(c *activity.Covariates) { c.RainMm = math.Inf(1) }},
		{"pressure_change_3h_hpa is 1013", func(c *activity.Covariates) { c.PressureChange3hHPa = 1013 }},
		{"day_of_year is 0", func(c *activity.Covariates) { c.DayOfYear = 0 }},
		{"mid_hour_h is 24", func(c *activity.Covariates) { c.MidHour = 24 }},
		{"planned_rate_g_h is 0", func(c *activity.Covariates) { c.PlannedRateGH = 0 }},
		{"starting_rate_g_h is -5", func(c *activity.Covariates) { c.StartingRateGH = -5 }},
		{"water_c is 290", func(c *activity.Covariates) { c.WaterC = 290 }},
	} {
		covariates := usual()
		c.change(&covariates)
		if _, _, err := activity.BuildRow(covariates); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v, want one that says %q", err, c.want)
		}
	}
}

// Feed follows bites. The model must have no place into which feed used, or a
// session's total, could be put: whoever adds a field to either type meets this
// list, and a feed field other than the planned and the starting rate must not
// join it.
func TestFeedUsedCannotBeTold(t *testing.T) {
	for _, c := range []struct {
		holder any
		want   []string
	}{
		{activity.Covariates{}, []string{
			"LogAppetite", "Warming48hC", "WindMps", "CloudFraction", "RainMm",
			"PressureChange3hHPa", "PressureChange24hHPa", "DayOfYear", "MidHour",
			"LowLightShare", "PegEffort7dRodHours", "PlannedRateGH", "StartingRateGH",
			"WaterC", "LogCapacityRatio", "Known",
		}},
		{activity.SessionRecord{}, []string{"ID", "StartH", "Water", "Peg", "Angler", "Intervals", "Weight"}},
		{activity.IntervalRecord{}, []string{"Covariates", "Bites", "Fish", "BitesKnown", "FishKnown", "RodHours"}},
		{activity.Setting{}, []string{"Water", "Peg", "Angler"}},
	} {
		var got []string
		for _, field := range reflect.VisibleFields(reflect.TypeOf(c.holder)) {
			got = append(got, field.Name)
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("fields of %T (-want +got):\n%s", c.holder, diff)
		}
	}
}
