package caution_test

import (
	"maps"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model"
	"osier/model/caution"
)

func noWind(h *model.ConditionHour)  { h.WindMps = model.Maybe[model.MetresPerSecond]{} }
func noGust(h *model.ConditionHour)  { h.GustMps = model.Maybe[model.MetresPerSecond]{} }
func noRain(h *model.ConditionHour)  { h.RainMm = model.Maybe[model.Millimetres]{} }
func noWater(h *model.ConditionHour) { h.WaterC = model.WaterEstimate{} }
func noLight(h *model.ConditionHour) { h.Light = "" }

// What is missing is said in words, for the hours it is missing in.
func TestNotChecked(t *testing.T) {
	unknownLines := quiet()
	unknownLines.Water.PowerLinesM, unknownLines.Peg = model.Maybe[model.Metres]{}, nil
	unknownPeg := quiet()
	unknownPeg.Water.PowerLinesM = model.Known[model.Metres](50)
	unknownPeg.Peg = &model.Peg{Number: "7"}
	alone := func(in caution.Input) caution.Input {
		in.Alone = true
		return in
	}
	for _, c := range []struct {
		name string
		in   caution.Input
		id   string
		want string
	}{
		{"gust", each(quiet(), 1, 3, noGust), "wind", "Gusts were not checked: none given, from 08:00 to 10:00."},
		{"mean wind", each(quiet(), 0, 4, noWind), "wind", "Mean wind was not checked: none given, from 07:00 to 11:00."},
		{"both winds", each(each(quiet(), 0, 4, noWind), 0, 4, noGust), "wind", "Wind and gusts were not checked: none given, from 07:00 to 11:00."},
		{"air", each(quiet(), 0, 4, noAir), "heat", "Heat was not checked: no air temperature given, from 07:00 to 11:00."},
		{"air", each(quiet(), 0, 4, noAir), "cold_exposure", "Wind chill was not checked: no usable air temperature given, from 07:00 to 11:00."},
		{"wind in cool air", each(each(quiet(), 0, 4, airC(10)), 0, 4, noWind), "cold_exposure", "Wind chill was not checked: no wind given, from 07:00 to 11:00."},
		{"rain in cold wind", each(each(quiet(), 0, 4, airAndWind(4, 6)), 3, 4, noRain), "cold_exposure", "Wind chill was not checked: no rain given, from 09:00 to 11:00."},
		{"water", each(quiet(), 0, 4, noWater), "ice", "Ice was not checked: no water temperature known, from 07:00 to 11:00."},
		{"lines of the site", unknownLines, "overhead_lines", "Power lines were not checked: no distance recorded for this water; look up before you set up, from 07:00 to 11:00."},
		{"lines of the peg", unknownPeg, "overhead_lines", "Power lines were not checked: no distance recorded for this peg; look up before you set up, from 07:00 to 11:00."},
		{"light", alone(each(quiet(), 0, 4, noLight)), "alone", "Being alone was not checked: how light it is is not known, from 07:00 to 11:00."},
		{"water, alone", alone(each(quiet(), 0, 4, noWater)), "alone", "Being alone was not checked: ice was not checked, from 07:00 to 11:00."},
	} {
		var texts []string
		for _, got := range of(caution.Check(c.in), c.id) {
			if got.Level == model.NotChecked {
				texts = append(texts, got.Text)
			}
		}
		if diff := cmp.Diff([]string{c.want}, texts); diff != "" {
			t.Errorf("%s missing (-want +got):\n%s", c.name, diff)
		}
	}
}

func TestWhatCannotMatterIsNotAskedFor(t *testing.T) {
	// Above 10 C there is no wind chill, and dry or wet is nothing to warm air.
	in := each(quiet(), 0, 5, func(h *model.ConditionHour) { noWind(h); noRain(h) })
	if got := of(caution.Check(in), "cold_exposure"); len(got) != 0 {
		t.Errorf("got %+v", got)
	}
}

func TestAnHourBesideAnUnknownOneIsNotCheckedForTwoHoursOfCold(t *testing.T) {
	unknownAfter := each(each(quiet(), 1, 2, airAndWind(-4, 0)), 2, 3, noAir)
	unknownBefore := each(each(quiet(), 1, 2, noAir), 2, 3, airAndWind(-4, 0))
	for _, c := range []struct {
		in   caution.Input
		want []string
	}{
		{unknownAfter, []string{"not checked 08:00-09:00", "not checked 09:00-10:00", "note 08:00-09:00"}},
		{unknownBefore, []string{"not checked 08:00-09:00", "not checked 09:00-10:00", "note 09:00-10:00"}},
	} {
		if diff := cmp.Diff(c.want, levels(of(caution.Check(c.in), "cold_exposure"))); diff != "" {
			t.Errorf("(-want +got):\n%s", diff)
		}
	}
}

func TestNoHoursAtAllCheckNothing(t *testing.T) {
	in := quiet()
	in.Hours = nil
	var ids []string
	for _, c := range caution.Check(in) {
		if c.Level != model.NotChecked || !strings.Contains(c.Text, "not checked") {
			t.Errorf("%s is %s: %s", c.ID, c.Level, c.Text)
		}
		ids = append(ids, c.ID)
	}
	if want := []string{"cold_exposure", "cold_water", "fish_cold", "fish_heat", "heat", "ice", "lightning", "low_oxygen", "slippery_bank", "waves", "wind"}; !slices.Equal(ids, want) {
		t.Errorf("not checked: %v, want %v", ids, want)
	}
}

// A forecast older than six hours raises, and clears nothing.
func TestOldForecast(t *testing.T) {
	windy := each(quiet(), 0, 2, windAndGust(9, 15))
	fresh := caution.Check(windy)
	windy.ForecastAgeH = forecastAge(6)
	if diff := cmp.Diff(fresh, caution.Check(windy)); diff != "" {
		t.Errorf("six hours are not yet old (-fresh +got):\n%s", diff)
	}
	windy.ForecastAgeH = forecastAge(6.1)
	old := caution.Check(windy)
	if diff := cmp.Diff(fresh, raised(old)); diff != "" {
		t.Errorf("an old forecast raises what a fresh one does (-fresh +old):\n%s", diff)
	}
	var texts []string
	for _, c := range old {
		if c.Level == model.NotChecked {
			texts = append(texts, c.Text)
		}
	}
	want := []string{
		"Wind chill was not checked: the forecast is 6.1 h old and clears nothing, from 07:00 to 11:00.",
		"Cold water was not checked: the water is worked out from an old forecast, from 07:00 to 11:00.",
		"Cold air for the fish was not checked: no air temperature given, or only by an old forecast, from 07:00 to 11:00.",
		"Heat was not checked: the forecast is 6.1 h old and clears nothing, from 07:00 to 11:00.",
		"Ice was not checked: the forecast is 6.1 h old and clears nothing, from 07:00 to 11:00.",
		"Thunder was not checked: the forecast is 6.1 h old and clears nothing, from 07:00 to 11:00.",
		"A slippery bank was not checked: too little rain known of the day before, from 07:00 to 11:00.",
		"Waves were not checked: no wind or gusts given, or only by an old forecast, from 07:00 to 11:00.",
		"Wind was not checked: the forecast is 6.1 h old and clears nothing, from 09:00 to 11:00.",
	}
	if diff := cmp.Diff(want, texts); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	windy.ForecastAgeH = model.Maybe[float64]{}
	if diff := cmp.Diff(levels(old), levels(caution.Check(windy))); diff != "" {
		t.Errorf("an unknown age counts as old (-old +got):\n%s", diff)
	}
}

// anyOuting draws an outing in which everything is known, within the bounds
// that the checks assume of readings: air between -40 C, or 10 C below the
// water's low end, and 15 C above its high end; a dusk at most 5 C above the
// water of the day after; lines at least as far from the peg as from the site;
// thunder observed only up to now.
func anyOuting(t *rapid.T) caution.Input {
	in := onDay(rapid.SampledFrom([]time.Month{1, 4, 6, 8, 11}).Draw(t, "month"), 9)
	in.Alone, in.Keepnet, in.Officer = rapid.Bool().Draw(t, "alone"), rapid.Bool().Draw(t, "keepnet"), rapid.Bool().Draw(t, "officer")
	in.Water.Bank = rapid.SampledFrom([]model.Bank{"earth", "grass", "platform"}).Draw(t, "bank")
	in.From = in.From.Add(time.Duration(rapid.IntRange(0, 3).Draw(t, "later")) * time.Hour)
	site := rapid.Float64Range(0, 300).Draw(t, "site")
	in.Water.PowerLinesM = model.Known(model.Metres(site))
	in.Peg = &model.Peg{
		Number: "7", PowerLinesM: model.Known(model.Metres(site + rapid.Float64Range(0, 50).Draw(t, "peg"))),
		FacingDeg: model.Known[model.Degrees](180), PlatformHeightM: model.Known(model.Metres(rapid.Float64Range(0, 1).Draw(t, "platform"))),
	}
	in.ForecastAgeH = forecastAge(rapid.Float64Range(0, 12).Draw(t, "age"))
	if rapid.Bool().Draw(t, "fished elsewhere") {
		in.LastElsewhere, in.LastElsewhereWater = model.Known(in.From.Add(-72*time.Hour)), "drovelow-mere"
	}
	if rapid.Bool().Draw(t, "ice seen") {
		in.Reports = []model.Report{report(model.SawIce, in.From.Add(-time.Duration(rapid.IntRange(-2, 200).Draw(t, "ago"))*time.Hour))}
	}
	drawHours(t, &in)
	return in
}

func drawHours(t *rapid.T, in *caution.Input) {
	cold := rapid.Float64Range(-25, 30).Draw(t, "season")
	strongest := rapid.SampledFrom([]float64{1.9, 2.9, 25}).Draw(t, "strongest")
	falls := rapid.SampledFrom([][]float64{{0}, {0, 0, 0.5}, {0, 3}}).Draw(t, "falls")
	storms := rapid.SampledFrom([]int{9, 200}).Draw(t, "storms")
	for i := range in.Hours {
		h := &in.Hours[i]
		low := rapid.Float64Range(math.Max(0, cold-5), math.Max(1, cold)).Draw(t, "water")
		h.WaterC = model.WaterEstimate{Value: low + 1, Low: low, High: low + 2, Kind: model.Modelled}
		h.AirC = model.Known(model.Celsius(math.Max(cold+rapid.Float64Range(-8, 8).Draw(t, "air"), low-10)))
		h.WindMps = model.Known(model.MetresPerSecond(rapid.Float64Range(0, strongest).Draw(t, "wind")))
		h.GustMps = model.Known(model.MetresPerSecond(rapid.Float64Range(0, strongest).Draw(t, "gust")))
		h.WindFromDeg = model.Known(model.Degrees(rapid.Float64Range(0, 359).Draw(t, "from")))
		h.CloudFraction = model.Known(rapid.Float64Range(0, 1).Draw(t, "cloud"))
		h.PressureHPa = model.Known(model.Hectopascals(rapid.Float64Range(950, 1045).Draw(t, "pressure")))
		h.RainMm = model.Known(model.Millimetres(rapid.SampledFrom(falls).Draw(t, "rain")))
		h.Light = rapid.SampledFrom([]model.Light{model.Dark, model.Twilight, model.Daylight}).Draw(t, "light")
		h.Thunder.Symbol = model.Known(rapid.IntRange(0, storms).Draw(t, "symbol") == 0)
		h.Thunder.Probability = model.Known(rapid.Float64Range(0, 0.45).Draw(t, "chance"))
		if !h.At.After(in.Now) {
			h.Thunder.Observed = model.ThunderNone
			if rapid.IntRange(0, storms).Draw(t, "heard") == 0 {
				h.Thunder.Observed = model.ThunderNow
			}
			h.Thunder.Symbol, h.Thunder.Probability = model.Known(false), model.Known(0.0)
		}
	}
}

var blanks = map[string]func(*model.ConditionHour){
	"air": noAir, "wind": noWind, "gust": noGust, "rain": noRain, "water": noWater, "light": noLight,
	"direction":   func(h *model.ConditionHour) { h.WindFromDeg = model.Maybe[model.Degrees]{} },
	"cloud":       func(h *model.ConditionHour) { h.CloudFraction = model.Maybe[float64]{} },
	"pressure":    func(h *model.ConditionHour) { h.PressureHPa, h.PressureKind = model.Maybe[model.Hectopascals]{}, "" },
	"observed":    func(h *model.ConditionHour) { h.Thunder.Observed = model.ThunderUnknown },
	"symbol":      func(h *model.ConditionHour) { h.Thunder.Symbol = model.Maybe[bool]{} },
	"probability": func(h *model.ConditionHour) { h.Thunder.Probability = model.Maybe[float64]{} },
	"everything":  func(h *model.ConditionHour) { *h = model.ConditionHour{At: h.At, Weather: model.Missing} },
	"not a number": func(h *model.ConditionHour) {
		h.AirC.Value, h.WindMps.Value, h.GustMps.Value = model.Celsius(math.NaN()), model.MetresPerSecond(math.Inf(1)), model.MetresPerSecond(math.NaN())
		h.WaterC.Low, h.Thunder.Probability.Value = math.NaN(), math.NaN()
		h.RainMm.Value, h.PressureHPa.Value = model.Millimetres(math.NaN()), model.Hectopascals(math.Inf(-1))
	},
}

// takings are what else can be taken away, besides the readings of hours.
var takings = map[string]func(*caution.Input){
	"nothing":   func(*caution.Input) {},
	"lines":     func(in *caution.Input) { in.Water.PowerLinesM = model.Maybe[model.Metres]{} },
	"peg lines": func(in *caution.Input) { p := *in.Peg; p.PowerLinesM = model.Maybe[model.Metres]{}; in.Peg = &p },
	"facing":    func(in *caution.Input) { p := *in.Peg; p.FacingDeg = model.Maybe[model.Degrees]{}; in.Peg = &p },
	"height":    func(in *caution.Input) { p := *in.Peg; p.PlatformHeightM = model.Maybe[model.Metres]{}; in.Peg = &p },
	"peg":       func(in *caution.Input) { in.Peg = nil },
	"age":       func(in *caution.Input) { in.ForecastAgeH = model.Maybe[float64]{} },
	"warnings":  func(in *caution.Input) { in.WarningsKnown = false },
	"angler":    func(in *caution.Input) { in.AnglerKnown, in.LastElsewhere = false, model.Maybe[time.Time]{} },
}

// Whatever is taken away, what was raised is raised there still, or the check
// says for that time that it did not check.
func TestRemovingAReadingNeverClears(t *testing.T) {
	names, kinds := slices.Sorted(maps.Keys(blanks)), slices.Sorted(maps.Keys(takings))
	rapid.Check(t, func(t *rapid.T) {
		in := anyOuting(t)
		before := caution.Check(in)

		blank := blanks[rapid.SampledFrom(names).Draw(t, "blank")]
		first := rapid.IntRange(0, len(in.Hours)-1).Draw(t, "first")
		last := min(len(in.Hours), first+rapid.IntRange(1, len(in.Hours)).Draw(t, "count"))
		fewer := in
		fewer.Hours = slices.Clone(in.Hours)
		for i := first; i < last; i++ {
			blank(&fewer.Hours[i])
		}
		takings[rapid.SampledFrom(kinds).Draw(t, "also")](&fewer)
		if rapid.Bool().Draw(t, "drop") {
			fewer.Hours = slices.Delete(fewer.Hours, first, last)
		}
		after := caution.Check(fewer)
		checkFinite(t, after)

		for at := in.From; at.Before(in.Until); at = at.Add(10 * time.Minute) {
			for _, c := range before {
				if holds(c, at) && !keeps(after, c, at) {
					t.Fatalf("%s %s at %s is gone: %s\nleft: %+v", c.ID, c.Level, at.Format("15:04"), c.Text, after)
				}
			}
		}
	})
}

func holds(c model.Caution, at time.Time) bool { return !at.Before(c.From) && at.Before(c.Until) }

func keeps(cautions []model.Caution, was model.Caution, at time.Time) bool {
	rank := map[model.CautionLevel]int{model.NotChecked: 0, model.Note: 1, model.Care: 2, model.Stop: 3}
	return slices.ContainsFunc(cautions, func(c model.Caution) bool {
		return c.ID == was.ID && holds(c, at) && (c.Level == model.NotChecked || rank[c.Level] >= rank[was.Level])
	})
}

func checkFinite(t *rapid.T, cautions []model.Caution) {
	for _, c := range cautions {
		for name, v := range c.Inputs {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%s: input %s is %v", c.ID, name, v)
			}
		}
		if strings.ContainsAny(c.Text, "{}\n") || strings.Contains(c.Text, "NaN") || strings.Contains(c.Text, "Inf") {
			t.Fatalf("%s: text %q", c.ID, c.Text)
		}
	}
}
