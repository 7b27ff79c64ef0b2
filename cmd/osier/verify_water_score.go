package main

import (
	"fmt"
	"io/fs"
	"math"
	"time"

	"osier/model/air"
	"osier/model/water"
)

// waterScore is how well a lake is met, over daily means in the second half of
// its record.
type waterScore struct {
	RMSEZeroC   float64  `json:"rmse_zero_c"`
	BiasZeroC   float64  `json:"bias_zero_c"`
	RMSEWeeklyC float64  `json:"rmse_weekly_c"`
	N           int      `json:"n"`
	Cover80     float64  `json:"cover80"`        // share of days within the 80 % interval
	CoverWeekly float64  `json:"cover80_weekly"` // the same with weekly readings
	PackZeroC   *float64 `json:"pack_rmse_zero_c,omitempty"`
	PackWeeklyC *float64 `json:"pack_rmse_weekly_c,omitempty"`
}

// lakeDay is a day on which the water was measured.
type lakeDay struct {
	day      string         // of the lake's own clock
	estimate water.Estimate // the day's mean, at the day's middle
	waterC   float64
}

func (l waterLake) score(files fs.FS) (waterScore, error) {
	days, err := l.days(files)
	if err != nil {
		return waterScore{}, err
	}
	if len(days) < 4 {
		return waterScore{}, fmt.Errorf("%s has the water's temperature on %d days; at least 4 are needed", l.File, len(days))
	}
	half := len(days) / 2
	var zero, weekly errorSum
	for _, d := range days[half:] {
		zero.add(d.estimate, d.waterC)
	}
	for phase := range daysAWeek {
		if err := weekly.addWeekly(days, half, phase); err != nil {
			return waterScore{}, err
		}
	}
	return waterScore{
		RMSEZeroC: zero.rmse(), BiasZeroC: air.Round(zero.sumC/zero.n, 4), RMSEWeeklyC: weekly.rmse(), N: len(days) - half,
		Cover80: air.Round(zero.covered/zero.n, 3), CoverWeekly: air.Round(weekly.covered/weekly.n, 3),
	}, nil
}

// days runs the model over the record and takes the means of the days measured.
func (l waterLake) days(files fs.FS) ([]lakeDay, error) {
	site, hours, err := l.record(files)
	if err != nil {
		return nil, err
	}
	return lakeDays(site, hours)
}

// record reads the site and its hours, with the cloud worked out where only the
// sunlight was measured.
func (l waterLake) record(files fs.FS) (water.Site, []lakeHour, error) {
	site, windAtWater, err := l.site()
	if err != nil {
		return site, nil, err
	}
	hours, err := l.hours(files, windAtWater)
	if err != nil {
		return site, nil, err
	}
	return site, hours, inferCloud(site, hours)
}

func lakeDays(site water.Site, hours []lakeHour) ([]lakeDay, error) {
	weather := make([]water.Hour, len(hours))
	for i, h := range hours {
		weather[i] = h.weather
	}
	from := weather[0].At.Add(-time.Hour)
	state, err := water.StartFromAir(site, from, weather)
	if err != nil {
		if state, err = water.StartFromClimate(site, from); err != nil {
			return nil, err
		}
	}
	estimates, _, err := water.Run(site, state, weather, nil)
	if err != nil {
		return nil, err
	}
	var days []lakeDay
	for first, last := 0, 0; first < len(hours); first = last {
		for last = first; last < len(hours) && hours[last].day == hours[first].day; last++ {
		}
		if day, measured := dayMean(hours[first:last], estimates[first:last]); measured {
			days = append(days, day)
		}
	}
	return days, nil
}

// dayMean takes the mean of a day's estimates and readings; false without any
// reading.
func dayMean(hours []lakeHour, estimates []water.Estimate) (lakeDay, bool) {
	day := lakeDay{day: hours[0].day, estimate: estimates[len(estimates)/2]}
	e := &day.estimate
	e.SurfaceC, e.LowC, e.HighC = 0, 0, 0
	readings, share := 0.0, 1/float64(len(estimates))
	for i, h := range hours {
		e.SurfaceC += estimates[i].SurfaceC * share
		e.LowC += estimates[i].LowC * share
		e.HighC += estimates[i].HighC * share
		if h.waterC.Known {
			readings++
			day.waterC += h.waterC.Value
		}
	}
	day.waterC /= readings
	return day, readings > 0
}

// daysAWeek is how many measured days lie from one reading to the next.
const daysAWeek = 7

// errorSum gathers model less measurement.
type errorSum struct{ n, sumC, squares, covered float64 }

func (s *errorSum) add(e water.Estimate, waterC float64) {
	errorC := e.SurfaceC - waterC
	s.n++
	s.sumC += errorC
	s.squares += errorC * errorC
	if e.LowC <= waterC && waterC <= e.HighC {
		s.covered++
	}
}

func (s *errorSum) rmse() float64 { return air.Round(math.Sqrt(s.squares/s.n), 4) }

// addWeekly takes every seventh measured day as a reading and scores the test
// days that are none. All seven weekdays to begin with are pooled by the caller,
// so that no lucky one can be picked.
func (s *errorSum) addWeekly(days []lakeDay, half, phase int) error {
	var residuals []water.Residual
	for i := phase; i < len(days); i += daysAWeek {
		d := days[i]
		residuals = append(residuals, water.Residual{At: d.estimate.At, DiffC: d.waterC - d.estimate.SurfaceC, MemorySdC: d.estimate.MemorySdC})
	}
	calibration, err := water.NewCalibration(residuals)
	if err != nil {
		return err
	}
	for i := half; i < len(days); i++ {
		if i%daysAWeek != phase {
			s.add(calibration.Apply(days[i].estimate), days[i].waterC)
		}
	}
	return nil
}
