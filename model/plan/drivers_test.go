package plan_test

import (
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
	"osier/model/activity"
	"osier/model/feeder"
	"osier/model/fish"
	"osier/model/plan"
)

func outing() plan.Outing {
	return plan.Outing{
		Start: start, End: start.Add(4 * time.Hour), Group: model.Bream,
		PlannedGH: model.Known[model.GramsPerHour](120), CapacityMl: model.Known[model.Millilitres](40), PegEffortH: model.Known(6.0),
	}
}

func TestDriversAreAveragedOverTheHoursFished(t *testing.T) {
	hours := series(ordinary)
	for i, v := range []values{{wind: 2, cloud: 0, rain: 0}, {wind: 4, cloud: 1, rain: 0.6}, {wind: 6, cloud: 1, rain: 0.2}, {wind: 8, cloud: 0.4, rain: 0.4}} {
		h := hourOf(hours, start.Add(time.Duration(i)*time.Hour))
		h.WindMps.Value, h.Cloud.Value, h.RainMm.Value = v.wind, v.cloud, v.rain
	}
	d := history(t, hours).Drivers(outing())
	for what, pair := range map[string][2]float64{
		"wind": {float64(d.WindMps.Value), 5}, "cloud": {d.CloudFraction.Value, 0.6}, "rain": {float64(d.RainMm.Value), 1.2},
		"day of the year": {d.DayOfYear, 38}, "middle of the hours": {d.MidHour, 11},
		"3 h change": {float64(d.Pressure3hHPa.Value), 0},
	} {
		if math.Abs(pair[0]-pair[1]) > 1e-9 {
			t.Errorf("%s %v, want %v", what, pair[0], pair[1])
		}
	}
	if !d.Warming48hC.Known || !d.WaterC.Known || !d.Pressure3hHPa.Known || !d.LowLightShare.Known {
		t.Errorf("drivers %+v, want these known", d)
	}
	if d.PlannedGH != outing().PlannedGH || d.CapacityMl != outing().CapacityMl || d.PegEffortH != outing().PegEffortH {
		t.Errorf("drivers %+v do not carry what was planned", d)
	}
	rate, _ := feeder.StartingRateGH(feeder.Bream, float64(d.WaterC.Value))
	if float64(d.StartingGH.Value) != rate {
		t.Errorf("starting rate %v, the trade's is %v", d.StartingGH.Value, rate)
	}
	choice, err := feeder.ColdStart(feeder.Input{Group: feeder.Bream, WaterC: float64(d.WaterC.Value), WaterLowC: float64(d.WaterC.Value), WaterHighC: float64(d.WaterC.Value), Hours: 4, KnownWater: true, WishedRateGH: 120})
	if err != nil || float64(d.ChoiceMl.Value) != choice.Feeder.CapacityMl {
		t.Errorf("choice %v ml, the trade's for 120 g/h is %v (%v)", d.ChoiceMl.Value, choice.Feeder.CapacityMl, err)
	}
}

func TestAValueKnownForUnderHalfTheHoursIsMissing(t *testing.T) {
	for missing, known := range map[int]bool{0: true, 2: true, 3: false, 4: false} {
		hours := series(ordinary)
		for i := range missing {
			h := hourOf(hours, start.Add(time.Duration(i)*time.Hour))
			h.WindMps, h.Cloud = gone, gone
			hourOf(hours, start.Add(time.Duration(i+1)*time.Hour)).RainMm = gone // what fell in the hour before
		}
		d := history(t, hours).Drivers(outing())
		if d.WindMps.Known != known || d.CloudFraction.Known != known || d.RainMm.Known != known {
			t.Errorf("%d of 4 hours missing: %+v, %+v, %+v; want known: %v", missing, d.WindMps, d.CloudFraction, d.RainMm, known)
		}
	}
}

func TestDriversWithoutWeatherAreMissingAndTheClimateStandsIn(t *testing.T) {
	d := history(t, nothing()).Drivers(outing())
	if d.WindMps.Known || d.CloudFraction.Known || d.RainMm.Known || d.Pressure3hHPa.Known || d.Pressure24hHPa.Known || d.Warming48hC.Known {
		t.Errorf("drivers %+v, want all of the weather missing", d)
	}
	if !d.WaterC.Known || !d.StartingGH.Known {
		t.Errorf("drivers %+v, want the climate's water", d)
	}
	far := outing()
	far.Start, far.End = start.AddDate(1, 0, 0), start.AddDate(1, 0, 0).Add(time.Hour)
	if d := history(t, series(ordinary)).Drivers(far); d.WaterC.Known || d.WindMps.Known || d.DayOfYear != 38 {
		t.Errorf("drivers beyond the history %+v, want only the date", d)
	}
}

func TestLowLightIsASunUnderSixDegrees(t *testing.T) {
	for _, c := range []struct {
		name     string
		from, to int // hours of the day
		want     float64
	}{{"midday", 10, 14, 0}, {"night", 0, 4, 1}, {"from the dark into the day, the sun up at half past seven", 6, 14, 0.375}} {
		o := outing()
		day := start.Truncate(24 * time.Hour)
		o.Start, o.End = day.Add(time.Duration(c.from)*time.Hour), day.Add(time.Duration(c.to)*time.Hour)
		if got := history(t, series(ordinary)).Drivers(o).LowLightShare; !got.Known || got.Value != c.want {
			t.Errorf("%s: %+v, want %v", c.name, got, c.want)
		}
	}
}

func TestCovariatesKeepWhatIsMissingMissing(t *testing.T) {
	none, err := plan.Covariates(model.Bream, model.Drivers{DayOfYear: 38, MidHour: 11})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(activity.Covariates{DayOfYear: 38, MidHour: 11}, none); diff != "" {
		t.Errorf("of no drivers (-want +got):\n%s", diff)
	}
	d := history(t, series(ordinary)).Drivers(outing())
	c := covariates(t, d)
	appetite, err := fish.LogAppetite("bream", float64(d.WaterC.Value))
	if err != nil || c.LogAppetite != appetite || !c.Known.LogAppetite {
		t.Errorf("log appetite %v, want %v (%v)", c.LogAppetite, appetite, err)
	}
	if want := math.Log(float64(d.CapacityMl.Value / d.ChoiceMl.Value)); c.LogCapacityRatio != want || !c.Known.LogCapacityRatio {
		t.Errorf("log capacity ratio %v, want %v", c.LogCapacityRatio, want)
	}
	if c.PlannedRateGH != 120 || c.StartingRateGH != float64(d.StartingGH.Value) || !c.Known.Feed {
		t.Errorf("feed %v of %v, known %v", c.PlannedRateGH, c.StartingRateGH, c.Known.Feed)
	}
	d.PlannedGH = model.Maybe[model.GramsPerHour]{}
	if covariates(t, d).Known.Feed {
		t.Error("feed nobody planned counts as known")
	}
	if _, err := plan.Covariates("pike", d); err == nil {
		t.Error("the appetite of a pike was given")
	}
}

func TestTheUsualIsTheMeanOfRecordedDays(t *testing.T) {
	ordinaryDay := plan.OrdinaryDay(reedmere, start)
	if !ordinaryDay.WaterC.Known || ordinaryDay.WindMps.Value != 5 || ordinaryDay.CloudFraction.Value != 0.5 || ordinaryDay.PlannedGH != ordinaryDay.StartingGH {
		t.Errorf("ordinary day %+v", ordinaryDay)
	}
	got := plan.MeanDay(ordinaryDay, []model.Drivers{
		{WaterC: model.Known[model.Celsius](6), WindMps: model.Known[model.MetresPerSecond](2), PlannedGH: model.Known[model.GramsPerHour](400)},
		{WaterC: model.Known[model.Celsius](8)},
	})
	want := ordinaryDay
	want.WaterC, want.WindMps = model.Known[model.Celsius](7), model.Known[model.MetresPerSecond](2) // feed stays the trade's
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("mean day (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(ordinaryDay, plan.MeanDay(ordinaryDay, nil)); diff != "" {
		t.Errorf("mean of no days (-ordinary +got):\n%s", diff)
	}
}
