package activity

import "math"

// Column describes one column of the model. An effect is the change of the log
// bite rate for one scaled unit, (value - Centre) / Scale. Centre and Scale are
// fixed figures, never estimated, so that fit zero exists and old fits stay
// comparable.
type Column struct {
	Name       string  `json:"name"`
	Meaning    string  `json:"meaning"`
	ScaledUnit string  `json:"scaled_unit"`
	Centre     float64 `json:"centre"`
	Scale      float64 `json:"scale"`
	PriorMean  float64 `json:"prior_mean"`
	PriorSD    float64 `json:"prior_sd"`
}

// column adds how a value is read from covariates; false means not known.
type column struct {
	Column
	read func(Covariates) (float64, bool)
}

// columnTable holds the columns in the order in which records may earn them.
// Centres, scales and priors are our choice, ordered by the evidence on catch
// rates: appetite strong, pressure and weather centred on no effect or close
// to it. The intercept's prior depends on the group and is set by Columns.
var columnTable = []column{
	{
		Column{"intercept", "bites per rod-hour with all else at its centre", "", 0, 1, 0, interceptSD},
		func(Covariates) (float64, bool) { return 1, true },
	},
	{
		Column{"log_appetite", "appetite at the water temperature fished", "2.7-fold appetite", 0, 1, 0.6, 0.25},
		func(c Covariates) (float64, bool) { return c.LogAppetite, c.Known.LogAppetite },
	},
	{
		Column{"water_warming_48h_c", "warming of the water over 48 h", "2 C", 0, 2, 0.05, 0.08},
		func(c Covariates) (float64, bool) { return c.Warming48hC, c.Known.Warming48hC },
	},
	{
		Column{"wind_mps", "wind", "3 m/s", 5, 3, 0.05, 0.10},
		func(c Covariates) (float64, bool) { return c.WindMps, c.Known.WindMps },
	},
	{
		Column{"cloud_fraction", "cloud", "0.3 of the sky", 0.5, 0.3, 0, 0.10},
		func(c Covariates) (float64, bool) { return c.CloudFraction, c.Known.CloudFraction },
	},
	{
		Column{"log1p_rain_mm", "rain", "unit of ln(1 + mm)", 0, 1, 0, 0.10},
		func(c Covariates) (float64, bool) { return math.Log1p(c.RainMm), c.Known.RainMm },
	},
	{
		Column{"pressure_change_3h_hpa", "pressure change over 3 h", "1.2 hPa", 0, 1.2, 0, 0.05},
		func(c Covariates) (float64, bool) { return c.PressureChange3hHPa, c.Known.PressureChange3hHPa },
	},
	{
		Column{"pressure_change_24h_hpa", "pressure change over 24 h", "6 hPa", 0, 6, 0, 0.05},
		func(c Covariates) (float64, bool) { return c.PressureChange24hHPa, c.Known.PressureChange24hHPa },
	},
	harmonic("season_sin_1", "season, yearly sine", math.Sin, 1, yearPhase),
	harmonic("season_cos_1", "season, yearly cosine", math.Cos, 1, yearPhase),
	harmonic("season_sin_2", "season, half-yearly sine", math.Sin, 2, yearPhase),
	harmonic("season_cos_2", "season, half-yearly cosine", math.Cos, 2, yearPhase),
	harmonic("hour_sin_1", "hour of day, daily sine", math.Sin, 1, dayPhase),
	harmonic("hour_cos_1", "hour of day, daily cosine", math.Cos, 1, dayPhase),
	harmonic("hour_sin_2", "hour of day, half-daily sine", math.Sin, 2, dayPhase),
	harmonic("hour_cos_2", "hour of day, half-daily cosine", math.Cos, 2, dayPhase),
	{
		Column{"low_light_share", "low light", "whole session in low light", 0, 1, 0.1, 0.2},
		func(c Covariates) (float64, bool) { return c.LowLightShare, c.Known.LowLightShare },
	},
	{
		Column{"peg_effort_7d_rod_h", "own fishing on the peg in the last 7 days", "5 rod-hours", 0, 5, -0.2, 0.15},
		func(c Covariates) (float64, bool) { return c.PegEffort7dRodHours, c.Known.PegEffort7dRodHours },
	},
	{
		Column{"feed_z", "planned feed against the starting rate", "2.7-fold planned feed", 0, 1, 0, 0.15},
		func(c Covariates) (float64, bool) { return c.logFeedRatio(), c.Known.Feed },
	},
	{
		Column{"feed_z_squared", "distance of planned feed from the starting rate", "squared unit of z", 0, 1, -0.4, 0.3},
		func(c Covariates) (float64, bool) { z := c.logFeedRatio(); return z * z, c.Known.Feed },
	},
	{
		Column{"feed_z_x_temperature", "planned feed in warm water against cold", "2.7-fold planned feed in water 5 C warmer", 0, 1, 0, 0.1},
		func(c Covariates) (float64, bool) {
			return c.logFeedRatio() * (c.WaterC - 12) / 5, c.Known.Feed && c.Known.WaterC
		},
	},
	{
		Column{"log_feeder_capacity", "feeder capacity against the trade's choice", "2.7-fold capacity", 0, 1, 0, 0.1},
		func(c Covariates) (float64, bool) { return c.LogCapacityRatio, c.Known.LogCapacityRatio },
	},
	{
		Column{"feed_unknown", "planned feed not recorded", "session without a plan", 0, 1, 0, 0.2},
		func(c Covariates) (float64, bool) {
			if c.Known.Feed {
				return 0, true
			}
			return 1, true
		},
	},
}

// harmonic is one sine or cosine column of the given order.
func harmonic(name, meaning string, wave func(float64) float64, order float64, phase func(Covariates) float64) column {
	return column{
		Column{name, meaning, "full wave", 0, 1, 0, 0.2},
		func(c Covariates) (float64, bool) { return wave(order * phase(c)), true },
	}
}

// yearPhase is the date as an angle; 365.25 days make a turn.
func yearPhase(c Covariates) float64 { return 2 * math.Pi * float64(c.DayOfYear) / 365.25 }

// dayPhase is the hour as an angle; 24 h make a turn.
func dayPhase(c Covariates) float64 { return 2 * math.Pi * c.MidHour / 24 }

// Columns returns the model's columns in order with the priors for the group
// (silver, bream or carp). The intercept comes first. Any other group is an error.
func Columns(group string) ([]Column, error) {
	intercept, err := priorIntercept(group)
	if err != nil {
		return nil, err
	}
	out := make([]Column, len(columnTable))
	for j, c := range columnTable {
		out[j] = c.Column
	}
	out[0].PriorMean = intercept
	return out, nil
}
