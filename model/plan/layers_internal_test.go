package plan

import (
	"testing"
	"time"

	"osier/model"
	"osier/model/water"
)

// In water with layers the feed goes by where the feeder lies, and the caps of
// heat by the figure near the surface (design 8.8).
func TestTheFeedGoesByTheBottom(t *testing.T) {
	one := model.ConditionHour{WaterC: model.WaterEstimate{Value: 20, Low: 18, High: 22}}
	two := one
	two.WaterC.AtBottom = model.Known(model.DepthEstimate{Value: 14, Low: 11, High: 16})
	for _, c := range []struct {
		name             string
		hours            []model.ConditionHour
		value, low, high float64
	}{
		{"one layer", []model.ConditionHour{one, one}, 20, 18, 22},
		{"two layers", []model.ConditionHour{two, two}, 14, 11, 22},
		{"one hour of each", []model.ConditionHour{one, two}, 17, 14.5, 22},
	} {
		if value, low, high := waterOver(c.hours); value != c.value || low != c.low || high != c.high {
			t.Errorf("%s: %v (%v to %v), want %v (%v to %v)", c.name, value, low, high, c.value, c.low, c.high)
		}
	}
}

// A reading is held against the figures of its depth: one at the bottom of
// layered water is no mistake for being far from the surface.
func TestAReadingIsHeldAgainstItsDepth(t *testing.T) {
	at := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC)
	h := &History{
		Water: model.Water{MeanDepthM: 8}, zone: time.UTC, Now: at,
		hours: []model.WeatherHour{{At: at}},
		temps: []water.Estimate{{
			At: at, SurfaceC: 22, SurfaceDepthM: 0.5, LowC: 20, HighC: 24,
			BottomC: 12, BottomDepthM: 6, BottomLowC: 9, BottomHighC: 12, Basis: water.Modelled,
		}},
	}
	for _, c := range []struct {
		name      string
		depthM    model.Maybe[model.Metres]
		low, high float64
	}{
		{"no depth", model.Maybe[model.Metres]{}, 20, 24},
		{"near the surface", model.Known(model.Metres(4)), 20, 24},
		{"near the bottom", model.Known(model.Metres(4.1)), 9, 24},
	} {
		got, _ := h.Between(at, at.Add(time.Second), c.depthM)
		if got.Value.Low != c.low || got.Value.High != c.high {
			t.Errorf("%s: %v to %v, want %v to %v", c.name, got.Value.Low, got.Value.High, c.low, c.high)
		}
	}
}
