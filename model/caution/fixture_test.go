package caution_test

import (
	"slices"
	"testing"
	"time"

	"osier/model"
	"osier/model/caution"
)

// The outing of most tests: 07:00 to 11:00 in London summer time, planned at
// five in the morning.
var (
	from  = time.Date(2025, 4, 9, 6, 0, 0, 0, time.UTC)
	until = from.Add(4 * time.Hour)
	now   = from.Add(-2 * time.Hour)
)

func forecastAge(h float64) model.Maybe[float64] { return model.Known(h) }

// quiet is an outing about which everything is known and nothing is wrong.
func quiet() caution.Input {
	in := caution.Input{
		Water: model.Water{ID: "quillmarsh-pit", Zone: "Europe/London", PowerLinesM: model.Known[model.Metres](900), LatDeg: 52, Bank: "grass"},
		Around: caution.Around{
			Peg:           &model.Peg{Number: "1", FacingDeg: model.Known[model.Degrees](180), PlatformHeightM: model.Known[model.Metres](1), PowerLinesM: model.Known[model.Metres](900)},
			WarningsKnown: true, AnglerKnown: true,
		},
		From: from, Until: until, Now: now, ForecastAgeH: forecastAge(1),
	}
	for at := from.Add(-195 * time.Hour); !at.After(until.Add(5 * time.Hour)); at = at.Add(time.Hour) {
		in.Hours = append(in.Hours, quietHour(at))
	}
	return in
}

func quietHour(at time.Time) model.ConditionHour {
	h := model.ConditionHour{
		At: at, Weather: model.Forecasted,
		AirC:        model.Known[model.Celsius](12),
		WindMps:     model.Known[model.MetresPerSecond](3),
		GustMps:     model.Known[model.MetresPerSecond](5),
		WindFromDeg: model.Known[model.Degrees](0), CloudFraction: model.Known(0.5),
		PressureHPa: model.Known[model.Hectopascals](1015), PressureKind: model.SeaLevel,
		RainMm:  model.Known[model.Millimetres](0),
		WaterC:  model.WaterEstimate{Value: 16, Low: 15, High: 17, Kind: model.Modelled},
		Light:   model.Daylight,
		Thunder: model.ThunderHour{Symbol: model.Known(false), Probability: model.Known(0.0), From: model.Provenance{Kind: model.Forecasted}},
	}
	if at.Before(from.Add(-48 * time.Hour)) {
		h.RainMm = model.Known[model.Millimetres](0.1) // no dry spell
	}
	if !at.After(now) {
		h.Weather = model.Observed
		h.Thunder.Observed = model.ThunderNone
		h.Thunder.From.Kind = model.Observed
	}
	return h
}

// each changes every hour that starts in [a, b), counted in hours from the
// beginning of the outing.
func each(in caution.Input, a, b int, change func(*model.ConditionHour)) caution.Input {
	for i := range in.Hours {
		at := in.Hours[i].At.Sub(in.From)
		if at >= time.Duration(a)*time.Hour && at < time.Duration(b)*time.Hour {
			change(&in.Hours[i])
		}
	}
	return in
}

// of picks the cautions of one check.
func of(cautions []model.Caution, id string) []model.Caution {
	return slices.DeleteFunc(slices.Clone(cautions), func(c model.Caution) bool { return c.ID != id })
}

// levels shortens cautions to what a table can hold: level, from and until.
func levels(cautions []model.Caution) []string {
	var out []string
	for _, c := range cautions {
		out = append(out, string(c.Level)+" "+c.From.Format("15:04")+"-"+c.Until.Format("15:04"))
	}
	return out
}

func only(t *testing.T, in caution.Input, id string) model.Caution {
	t.Helper()
	found := of(caution.Check(in), id)
	if len(found) != 1 {
		t.Fatalf("%s: %d cautions, want one: %+v", id, len(found), found)
	}
	return found[0]
}

func report(kind model.ReportKind, at time.Time) model.Report {
	return model.Report{ID: "r1", Water: "quillmarsh-pit", Kind: kind, At: at}
}
