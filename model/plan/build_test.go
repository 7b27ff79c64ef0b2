package plan_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/model"
	"osier/model/feeder"
	"osier/model/plan"
)

// With no records the plan is the trade's own, to the gram (design, section
// 8.5): here the trade is asked in the test's own words.
func TestWithNoRecordsThePlanIsTheTradesToTheGram(t *testing.T) {
	for _, c := range []struct {
		name  string
		group model.Group
		ask   func(*plan.Input)
		also  func(*feeder.Input)
	}{
		{"bream, nothing said", model.Bream, func(*plan.Input) {}, func(*feeder.Input) {}},
		{"silver, on a water that is known", model.Silver, func(in *plan.Input) { in.KnownWater = true }, func(in *feeder.Input) { in.KnownWater = true }},
		{"carp at 60 m across the wind with a light rod", model.Carp, func(in *plan.Input) {
			in.Question.DistanceM, in.Question.DepthM = model.Known[model.Metres](60), model.Known[model.Metres](3)
			in.Question.BearingDeg, in.Question.RodMaxG = model.Known[model.Degrees](140), model.Known[model.Grams](60)
		}, func(in *feeder.Input) {
			in.DistanceM, in.DepthM, in.CastBearingDeg, in.CastBearingKnown, in.RodMaxG = 60, 3, 140, true, 60
		}},
		{"with one's own kit", model.Bream, func(in *plan.Input) {
			in.Kit = &model.Kit{
				Angler: "VP", Feeders: []model.OwnFeeder{{Type: "cage", CapacityMl: 30, WeightG: 30}, {Type: "cage", CapacityMl: 60, WeightG: 40}},
				RodMaxG: model.Known[model.Grams](90), TenFillsG: model.Known[model.Grams](240), TenFillsMl: model.Known[model.Millilitres](30),
			}
		}, func(in *feeder.Input) {
			in.Kit = feeder.Kit{RodRatingG: 90, DensityGMl: 0.8, Feeders: []feeder.KitFeeder{{Type: "cage", CapacityMl: 30, WeightG: 30}, {Type: "cage", CapacityMl: 60, WeightG: 40}}}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := input(t, series(ordinary))
			in.Question.Group = c.group
			if fit, err := priorOf(c.group); err != nil {
				t.Fatal(err)
			} else {
				in.Fit = fit
			}
			c.ask(&in)
			p := build(t, in)
			trade := feeder.Input{Group: feeder.Group(c.group), DistanceM: 25, DepthM: 2, Hours: 4, Wind: feeder.Wind{SpeedMps: 3, SpeedKnown: true, FromDeg: 230, FromKnown: true}}
			for _, h := range p.Conditions {
				trade.WaterC += h.WaterC.Value / 4
				trade.WaterLowC += h.WaterC.Low / 4
				trade.WaterHighC += h.WaterC.High / 4
			}
			c.also(&trade)
			want, err := feeder.ColdStart(trade)
			if err != nil {
				t.Fatal(err)
			}
			for what, pair := range map[string][2]float64{
				"rate":          {float64(p.Feed.RateGH), want.Feed.RateGH},
				"opening":       {float64(p.Feed.OpeningG), want.Feed.OpeningG},
				"total damp":    {float64(p.Feed.TotalDampG), want.Feed.TotalDampG},
				"total dry":     {float64(p.Feed.TotalDryG), want.Feed.TotalDryG},
				"mix":           {float64(p.Feed.MixDryG), want.Feed.MixDryG},
				"capacity":      {float64(p.Feeder.CapacityMl), want.Feeder.CapacityMl},
				"weight":        {float64(p.Feeder.WeightG.Value), want.Cast.WeightG},
				"loaded mass":   {float64(p.Feeder.LoadedMassG.Value), want.Cast.LoadedMassG},
				"fills":         {float64(p.Feed.OpeningFills), float64(want.Feed.OpeningFills)},
				"soak":          {p.Rhythm.SoakMin, want.Rhythm.SoakMin},
				"recast":        {p.Rhythm.RecastMin, want.Rhythm.RecastIntervalMin},
				"fills an hour": {p.Rhythm.FillsPerH, want.Rhythm.FillsPerH},
			} {
				if math.Abs(pair[0]-pair[1]) > 0.06 { // both are rounded: to 0.1 g and to 0.01 min
					t.Errorf("%s %v, the trade's %v", what, pair[0], pair[1])
				}
			}
			if p.Feed.Level != string(want.Feed.Level) || p.Feeder.Type != want.Feeder.Type || p.Feeder.Step != want.Feeder.Step || p.Bait.Groundbait != want.Season.Groundbait {
				t.Errorf("level %s, feeder %s %s, groundbait %q; the trade's %s, %s %s, %q", p.Feed.Level, p.Feeder.Type, p.Feeder.Step, p.Bait.Groundbait,
					want.Feed.Level, want.Feeder.Type, want.Feeder.Step, want.Season.Groundbait)
			}
			if diff := cmp.Diff(want.Take, p.Take); diff != "" {
				t.Errorf("what to take (-trade +plan):\n%s", diff)
			}
		})
	}
}

// The rate, the capacity and the rhythm are one choice (design, section 1).
func TestTheRateIsCapacityTimesFillTimesDensityTimesFills(t *testing.T) {
	p := build(t, input(t, series(ordinary)))
	rate := float64(p.Feeder.CapacityMl) * p.Feeder.FillFactor * feeder.DefaultDensityGMl * p.Rhythm.FillsPerH
	if math.Abs(rate-float64(p.Feed.RateGH)) > 0.01*rate {
		t.Errorf("capacity, fill, density and fills give %.1f g/h, the plan says %v", rate, p.Feed.RateGH)
	}
}

func TestEveryNumberOfAPlanIsFinite(t *testing.T) {
	for name, hours := range everyWeather() {
		t.Run(name, func(t *testing.T) {
			b, err := json.Marshal(build(t, input(t, hours)))
			if err != nil {
				t.Fatal(err)
			}
			var document any
			if err := json.Unmarshal(b, &document); err != nil {
				t.Fatal(err)
			}
			walk("plan", document, func(path string, v any) {
				if n, ok := v.(float64); ok && (math.IsNaN(n) || math.IsInf(n, 0) || math.Abs(n) > 1e7) {
					t.Errorf("%s is %v", path, n)
				}
				if s, ok := v.(string); ok && (strings.Contains(s, "NaN") || strings.Contains(s, "Inf") || strings.Contains(s, "%!")) {
					t.Errorf("%s says %q", path, s)
				}
			})
		})
	}
}

func walk(path string, v any, visit func(path string, v any)) {
	visit(path, v)
	switch v := v.(type) {
	case map[string]any:
		for k, e := range v {
			walk(path+"."+k, e, visit)
		}
	case []any:
		for i, e := range v {
			walk(fmt.Sprintf("%s[%d]", path, i), e, visit)
		}
	}
}

// keys is what design.md, section 4, asks a plan document to have.
var keys = []string{
	"plan_id", "issued_at", "water", "group", "start", "hours", "fit",
	"weather.source", "weather.age_min", "weather.provenance",
	"conditions[0].air_temp_c", "conditions[0].feels_like_c", "conditions[0].wind_mps", "conditions[0].gust_mps", "conditions[0].pressure_hpa",
	"conditions[0].pressure_tendency_3h_hpa", "conditions[0].pressure_tendency_text",
	"conditions[0].water_temp_c.value", "conditions[0].water_temp_c.low", "conditions[0].water_temp_c.high",
	"cautions",
	"feed.level", "feed.rate_g_h", "feed.opening_fills", "feed.opening_release", "feed.total_damp_g", "feed.total_dry_g",
	"feeder.type", "feeder.step", "feeder.capacity_ml", "feeder.fill_factor", "feeder.weight_g", "feeder.loaded_mass_g",
	"rhythm.soak_min", "rhythm.recast_interval_min", "rhythm.fills_per_h", "rhythm.basis",
	"hook_length_cm.low", "hook_length_cm.high",
	"bait.groundbait", "bait.particles_share", "bait.hook_baits[0]",
	"tackle.rod_length_m", "tackle.rod_rating_g", "tackle.tip_oz", "tackle.main_line_lb",
	"patience_min", "take[0]",
	"activity.bites_per_h.mean", "activity.bites_per_h.low50", "activity.bites_per_h.high50", "activity.bites_per_h.low90", "activity.bites_per_h.high90",
	"activity.bites.low50", "activity.bites.high50", "activity.bites.low90", "activity.bites.high90",
	"activity.fish.mean", "activity.fish.low90", "activity.fish.high90",
	"activity.blank_probability", "activity.no_bite_probability", "activity.step",
	"hours_compared", "reasons", "evidence.sessions", "evidence.similar_sessions", "evidence.anglers", "evidence.basis",
	"alternatives", "would_change[0]", "deferral", "demo",
}

func TestAPlanDocumentHasEveryFieldOfTheContract(t *testing.T) {
	b, err := json.Marshal(build(t, input(t, series(ordinary))))
	if err != nil {
		t.Fatal(err)
	}
	var document map[string]any
	if err := json.Unmarshal(b, &document); err != nil {
		t.Fatal(err)
	}
	have := map[string]any{}
	walk("", document, func(path string, v any) { have[strings.TrimPrefix(path, ".")] = v })
	for _, key := range keys {
		if _, there := have[key]; !there {
			t.Errorf("the plan document has no %s", key)
		}
	}
	for _, list := range []string{"cautions", "take", "reasons", "alternatives", "would_change", "notes"} {
		if _, ok := have[list].([]any); !ok {
			t.Errorf("%s is %v, want a list", list, have[list])
		}
	}
	if have["deferral"] != model.Deferral {
		t.Errorf("deferral %v", have["deferral"])
	}
}

func TestWhatThePlanCannotBeMadeFromIsRefusedByField(t *testing.T) {
	in := input(t, series(ordinary))
	in.Question.DistanceM = model.Known[model.Metres](500)
	_, err := plan.Build(in)
	if model.CodeOf(err) != model.Invalid || !strings.HasPrefix(err.Error(), "distance_m: ") {
		t.Errorf("error %v, want it invalid about distance_m", err)
	}
}
