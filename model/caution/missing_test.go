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
	unknownLines.Water.PowerLinesM = model.Maybe[model.Metres]{}
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
	if want := []string{"cold_exposure", "heat", "ice", "lightning", "wind"}; !slices.Equal(ids, want) {
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
		"Heat was not checked: the forecast is 6.1 h old and clears nothing, from 07:00 to 11:00.",
		"Ice was not checked: the forecast is 6.1 h old and clears nothing, from 07:00 to 11:00.",
		"Thunder was not checked: the forecast is 6.1 h old and clears nothing, from 07:00 to 11:00.",
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
// water's low end, and 45 C; lines at least as far from the peg as from the
// site; thunder observed only up to now.
func anyOuting(t *rapid.T) caution.Input {
	in := quiet()
	in.Alone = rapid.Bool().Draw(t, "alone")
	site := rapid.Float64Range(0, 300).Draw(t, "site")
	in.Water.PowerLinesM = model.Known(model.Metres(site))
	if rapid.Bool().Draw(t, "peg named") {
		in.Peg = &model.Peg{Number: "7", PowerLinesM: model.Known(model.Metres(site + rapid.Float64Range(0, 50).Draw(t, "peg")))}
	}
	in.ForecastAgeH = forecastAge(rapid.Float64Range(0, 12).Draw(t, "age"))
	cold := rapid.Float64Range(-25, 30).Draw(t, "season")
	for i := range in.Hours {
		h := &in.Hours[i]
		low := rapid.Float64Range(0, math.Max(1, cold)).Draw(t, "water")
		h.WaterC = model.WaterEstimate{Value: low + 1, Low: low, High: low + 2, Kind: model.Modelled}
		h.AirC = model.Known(model.Celsius(math.Max(cold+rapid.Float64Range(-8, 8).Draw(t, "air"), low-10)))
		h.WindMps = model.Known(model.MetresPerSecond(rapid.Float64Range(0, 25).Draw(t, "wind")))
		h.GustMps = model.Known(model.MetresPerSecond(rapid.Float64Range(0, 25).Draw(t, "gust")))
		h.RainMm = model.Known(model.Millimetres(rapid.SampledFrom([]float64{0, 0, 0.5}).Draw(t, "rain")))
		h.Light = rapid.SampledFrom([]model.Light{model.Dark, model.Twilight, model.Daylight}).Draw(t, "light")
		h.Thunder.Symbol = model.Known(rapid.IntRange(0, 9).Draw(t, "symbol") == 0)
		h.Thunder.Probability = model.Known(rapid.Float64Range(0, 0.45).Draw(t, "chance"))
		if !h.At.After(in.Now) {
			h.Thunder.Observed = rapid.SampledFrom([]model.Thunder{model.ThunderNone, model.ThunderNone, model.ThunderNow}).Draw(t, "heard")
			h.Thunder.Symbol, h.Thunder.Probability = model.Known(false), model.Known(0.0)
		}
	}
	if rapid.Bool().Draw(t, "ice seen") {
		in.Reports = []model.Report{report(model.SawIce, from.Add(-time.Duration(rapid.IntRange(-2, 200).Draw(t, "ago"))*time.Hour))}
	}
	return in
}

var blanks = map[string]func(*model.ConditionHour){
	"air": noAir, "wind": noWind, "gust": noGust, "rain": noRain, "water": noWater, "light": noLight,
	"observed":    func(h *model.ConditionHour) { h.Thunder.Observed = model.ThunderUnknown },
	"symbol":      func(h *model.ConditionHour) { h.Thunder.Symbol = model.Maybe[bool]{} },
	"probability": func(h *model.ConditionHour) { h.Thunder.Probability = model.Maybe[float64]{} },
	"everything":  func(h *model.ConditionHour) { *h = model.ConditionHour{At: h.At, Weather: model.Missing} },
	"not a number": func(h *model.ConditionHour) {
		h.AirC.Value, h.WindMps.Value, h.GustMps.Value = model.Celsius(math.NaN()), model.MetresPerSecond(math.Inf(1)), model.MetresPerSecond(math.NaN())
		h.WaterC.Low, h.Thunder.Probability.Value = math.NaN(), math.NaN()
	},
}

// Whatever is taken away, a stop or care that was there is there still, or the
// check says for that time that it did not check.
func TestRemovingAReadingNeverClears(t *testing.T) {
	names := slices.Sorted(maps.Keys(blanks))
	rapid.Check(t, func(t *rapid.T) {
		in := anyOuting(t)
		before := caution.Check(in)

		blank := blanks[rapid.SampledFrom(names).Draw(t, "blank")]
		first := rapid.IntRange(0, len(in.Hours)-1).Draw(t, "first")
		last := min(len(in.Hours), first+rapid.IntRange(1, 60).Draw(t, "count"))
		fewer := in
		fewer.Hours = slices.Clone(in.Hours)
		for i := first; i < last; i++ {
			blank(&fewer.Hours[i])
		}
		switch rapid.SampledFrom([]string{"", "lines", "peg", "age", "hours"}).Draw(t, "also") {
		case "lines":
			fewer.Water.PowerLinesM = model.Maybe[model.Metres]{}
		case "peg":
			if in.Peg != nil {
				fewer.Peg = &model.Peg{Number: "7"}
			}
		case "age":
			fewer.ForecastAgeH = model.Maybe[float64]{}
		case "hours":
			fewer.Hours = slices.Delete(fewer.Hours, first, last)
		}
		after := caution.Check(fewer)
		checkFinite(t, after)

		for at := in.From; at.Before(in.Until); at = at.Add(5 * time.Minute) {
			for _, c := range before {
				if (c.Level == model.Stop || c.Level == model.Care) && holds(c, at) && !keeps(after, c, at) {
					t.Fatalf("%s %s at %s is gone: %s\nleft: %+v", c.ID, c.Level, at.Format("15:04"), c.Text, after)
				}
			}
		}
	})
}

func holds(c model.Caution, at time.Time) bool { return !at.Before(c.From) && at.Before(c.Until) }

func keeps(cautions []model.Caution, was model.Caution, at time.Time) bool {
	return slices.ContainsFunc(cautions, func(c model.Caution) bool {
		same := c.Level == model.Stop || c.Level == was.Level || c.Level == model.NotChecked
		return c.ID == was.ID && holds(c, at) && same
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
