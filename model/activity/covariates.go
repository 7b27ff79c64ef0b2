package activity

import (
	"fmt"
	"math"
)

// Covariates are the conditions of one session as they are known before its
// first cast: forecasts for a session to come, records for one that is over.
//
// A value counts only when its flag in Known is set; without the flag it is
// ignored and its column takes its centre. Feed enters through PlannedRateGH
// alone. There is no field for feed used, because feed used follows the bites
// and would seem to cause them.
type Covariates struct {
	// LogAppetite is ln f(T), the natural log of the group's appetite share at
	// the water temperature of the depth fished; -20 to 1, 0 being full appetite.
	LogAppetite float64 `json:"log_appetite"`
	// Warming48hC is the water's warming over the 48 h before, C; -30 to 30.
	Warming48hC float64 `json:"warming_48h_c"`
	// WindMps is the mean wind of the session, m/s; 0 to 75.
	WindMps float64 `json:"wind_mps"`
	// CloudFraction is the share of sky covered; 0 to 1.
	CloudFraction float64 `json:"cloud_fraction"`
	// RainMm is the rain that falls during the session, mm; 0 to 500.
	RainMm float64 `json:"rain_mm"`
	// PressureChange3hHPa is the change over the 3 h before the start, hPa; -60 to 60.
	PressureChange3hHPa float64 `json:"pressure_change_3h_hpa"`
	// PressureChange24hHPa is the change over the 24 h before the start, hPa; -100 to 100.
	PressureChange24hHPa float64 `json:"pressure_change_24h_hpa"`
	// DayOfYear is the local date, 1 January being 1; 1 to 366.
	DayOfYear int `json:"day_of_year"`
	// MidHour is the local hour of day halfway through the session; 0 to under 24.
	MidHour float64 `json:"mid_hour_h"`
	// LowLightShare is the share of the session in twilight or darkness; 0 to 1.
	LowLightShare float64 `json:"low_light_share"`
	// PegEffort7dRodHours is the angler's own fishing on this peg in the 7 days
	// before, rod-hours; 0 to 1000. Other people's is not for them to know.
	PegEffort7dRodHours float64 `json:"peg_effort_7d_rod_h"`
	// PlannedRateGH is the feed planned before the first cast, damp g/h; 1 to 5000.
	PlannedRateGH float64 `json:"planned_rate_g_h"`
	// StartingRateGH is the trade's starting rate for the group at this water
	// temperature, before any cap, damp g/h; 1 to 5000.
	StartingRateGH float64 `json:"starting_rate_g_h"`
	// WaterC is the modelled water temperature at the depth fished, C; -1 to 45.
	WaterC float64 `json:"water_c"`
	// LogCapacityRatio is the natural log of the feeder's capacity over the
	// capacity that the trade's cold start would choose; -5 to 5.
	LogCapacityRatio float64 `json:"log_capacity_ratio"`

	Known Known `json:"known"`
}

// Known says which covariates are known. The date and the hour always are.
type Known struct {
	LogAppetite          bool `json:"log_appetite"`
	Warming48hC          bool `json:"warming_48h_c"`
	WindMps              bool `json:"wind_mps"`
	CloudFraction        bool `json:"cloud_fraction"`
	RainMm               bool `json:"rain_mm"`
	PressureChange3hHPa  bool `json:"pressure_change_3h_hpa"`
	PressureChange24hHPa bool `json:"pressure_change_24h_hpa"`
	LowLightShare        bool `json:"low_light_share"`
	PegEffort7dRodHours  bool `json:"peg_effort_7d_rod_h"`
	// Feed covers the planned and the starting rate: z needs both.
	Feed             bool `json:"feed"`
	WaterC           bool `json:"water_c"`
	LogCapacityRatio bool `json:"log_capacity_ratio"`
}

// check refuses values outside the ranges above. The limits are our choice:
// wide enough for any real day, narrow enough to catch a wrong unit.
func (c Covariates) check() error {
	bounds := []struct {
		name             string
		known            bool
		value, low, high float64
	}{
		{"log_appetite", c.Known.LogAppetite, c.LogAppetite, -20, 1},
		{"warming_48h_c", c.Known.Warming48hC, c.Warming48hC, -30, 30},
		{"wind_mps", c.Known.WindMps, c.WindMps, 0, 75},
		{"cloud_fraction", c.Known.CloudFraction, c.CloudFraction, 0, 1},
		{"rain_mm", c.Known.RainMm, c.RainMm, 0, 500},
		{"pressure_change_3h_hpa", c.Known.PressureChange3hHPa, c.PressureChange3hHPa, -60, 60},
		{"pressure_change_24h_hpa", c.Known.PressureChange24hHPa, c.PressureChange24hHPa, -100, 100},
		{"day_of_year", true, float64(c.DayOfYear), 1, 366},
		{"mid_hour_h", true, c.MidHour, 0, math.Nextafter(24, 0)},
		{"low_light_share", c.Known.LowLightShare, c.LowLightShare, 0, 1},
		{"peg_effort_7d_rod_h", c.Known.PegEffort7dRodHours, c.PegEffort7dRodHours, 0, 1000},
		{"planned_rate_g_h", c.Known.Feed, c.PlannedRateGH, 1, 5000},
		{"starting_rate_g_h", c.Known.Feed, c.StartingRateGH, 1, 5000},
		{"water_c", c.Known.WaterC, c.WaterC, -1, 45},
		{"log_capacity_ratio", c.Known.LogCapacityRatio, c.LogCapacityRatio, -5, 5},
	}
	for _, b := range bounds {
		// Written so that NaN fails too.
		if b.known && !(b.value >= b.low && b.value <= b.high) {
			return fmt.Errorf("%s is %g; it must be a number from %g to %g, or be marked as not known where that is possible",
				b.name, b.value, b.low, b.high)
		}
	}
	return nil
}

// logFeedRatio is z, the log of the planned feed rate over the starting rate;
// 0 where feed is not known.
func (c Covariates) logFeedRatio() float64 {
	if !c.Known.Feed {
		return 0
	}
	return math.Log(c.PlannedRateGH / c.StartingRateGH)
}
