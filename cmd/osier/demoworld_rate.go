package main

import (
	"math"
	"time"

	"osier/model"
	"osier/model/feeder"
	"osier/model/solar"
)

// demoCoefficients is the true model of the bites: trade pack section 7.
// Pressure and the moon do nothing, and feed given during a session does
// nothing to its bites: only the planned rate does.
type demoCoefficients struct {
	Intercept      float64 `json:"intercept"`
	AnglerSd       float64 `json:"angler_sd"`
	WaterDaySd     float64 `json:"water_day_sd"`
	SessionSd      float64 `json:"session_sd"`
	AppetiteTop    float64 `json:"appetite_top"`
	AppetiteFromC  float64 `json:"appetite_from_c"`
	AppetiteScaleC float64 `json:"appetite_scale_c"`
	HeatFromC      float64 `json:"heat_from_c"`
	HeatPerC2      float64 `json:"heat_per_c2"`
	WarmingPerC    float64 `json:"warming_24h_per_c"`
	WarmingClipC   float64 `json:"warming_24h_clip_c"`
	Wind           float64 `json:"wind_3_to_8_mps"`
	ClearSky       float64 `json:"clear_sky_over_clear_water"`
	Hour           float64 `json:"hours_at_the_ends_of_light"`
	FeedScale      float64 `json:"feed_scale"` // the effect is -0.5 (z / scale)^2
	PressurePerHPa float64 `json:"pressure_per_hpa"`
	Moon           float64 `json:"moon"`
	Size           float64 `json:"negative_binomial_size"`
	LandedShare    float64 `json:"landed_share"`
	LinersPerH     float64 `json:"line_bites_per_h"`
	LinersPerBite  float64 `json:"line_bites_per_bite"`
	PlanSd         float64 `json:"planned_feed_sd"`
}

var demoRules = demoCoefficients{
	Intercept: -0.5, AnglerSd: 0.35, WaterDaySd: 0.30, SessionSd: 0.45,
	AppetiteTop: 1.9, AppetiteFromC: 3, AppetiteScaleC: 7, HeatFromC: 23, HeatPerC2: -0.05,
	WarmingPerC: 0.10, WarmingClipC: 3, Wind: 0.20, ClearSky: -0.25, Hour: 0.3, FeedScale: 0.8,
	Size: 1.5, LandedShare: 0.6, LinersPerH: 0.8, LinersPerBite: 0.4, PlanSd: 0.5,
}

// demoWaterEffects are those of the waters in their order.
var demoWaterEffects = []float64{0, -0.35, 0.45}

const (
	coldWaterC    = 8.0 // below it an angler's feed bias may differ
	clearOktas    = 1   // and below: a clear sky
	rippleLowMps  = 3.0
	rippleHighMps = 8.0
	lightEndsH    = 2.0
)

// temperature is f(T) of the rules.
func (c demoCoefficients) temperature(waterC float64) float64 {
	rise := c.AppetiteTop * (1 - math.Exp(-math.Max(0, waterC-c.AppetiteFromC)/c.AppetiteScaleC))
	return rise + c.HeatPerC2*math.Pow(math.Max(0, waterC-c.HeatFromC), 2)
}

// weather is what sky, wind and warming do in one hour.
func (c demoCoefficients) weather(h demoHour, warming24hC float64, colour model.Colour) float64 {
	sum := c.WarmingPerC * math.Max(-c.WarmingClipC, math.Min(c.WarmingClipC, warming24hC))
	if h.windMps >= rippleLowMps && h.windMps <= rippleHighMps {
		sum += c.Wind
	}
	if h.oktas <= clearOktas && colour == "clear" {
		sum += c.ClearSky
	}
	return sum
}

// hourOfDay favours the last two hours of light in winter, and the first two
// and last two in summer.
func (c demoCoefficients) hourOfDay(middle time.Time, light solar.Times, waterC float64) float64 {
	season, _ := feeder.SeasonBand(waterC)
	late := light.Set.Sub(middle).Hours() <= lightEndsH && middle.Before(light.Set)
	early := middle.Sub(light.Rise).Hours() <= lightEndsH && middle.After(light.Rise)
	if season == feeder.Winter && late || season == feeder.Summer && (late || early) {
		return c.Hour
	}
	return 0
}

// feed is the cost of a planned rate that is not the trade's.
func (c demoCoefficients) feed(z float64) float64 { return -0.5 * math.Pow(z/c.FeedScale, 2) }
