package main

import (
	"fmt"
	"io/fs"
	"math"
	"regexp"
	"slices"
	"strconv"
	"time"

	"osier/model/water"
)

// waterLake is one entry of the list of lakes.
type waterLake struct {
	File       string   `json:"file"`
	LatDeg     *float64 `json:"lat"`
	LonDeg     *float64 `json:"lon"`
	MeanDepthM *float64 `json:"mean_depth_m"`
	Clock      string   `json:"clock"`
	Wind       string   `json:"wind"`
}

var (
	windFactor = regexp.MustCompile(`wind_factor\s+([0-9.]+)`)
	utcOffset  = regexp.MustCompile(`UTC([+-]\d{1,2})(?::(\d\d))?`)
	utcClock   = regexp.MustCompile(`\bUTC\b`)
)

// site makes the model's site, and says whether the wind was measured over the
// water. Without a wind factor the default shelter applies.
func (l waterLake) site() (site water.Site, windAtWater bool, err error) {
	if l.LatDeg == nil || l.LonDeg == nil || l.MeanDepthM == nil {
		return water.Site{}, false, fmt.Errorf("%s must give it lat, lon and mean_depth_m", waterLakesFile)
	}
	site = water.NewSite(*l.LatDeg, *l.LonDeg, *l.MeanDepthM)
	if m := windFactor.FindStringSubmatch(l.Wind); m != nil {
		factor, err := strconv.ParseFloat(m[1], 64)
		if err != nil {
			return water.Site{}, false, fmt.Errorf("wind_factor is %q; it should be a number such as 0.65", m[1])
		}
		if factor == 1 {
			return site, true, nil // missing wind is still a sheltered station's
		}
		site.Shelter = factor
	}
	return site, false, nil
}

// zone is the clock of the file: UTC with an offset, UTC, or where none is named
// the whole hour nearest to the sun.
func (l waterLake) zone() *time.Location {
	if m := utcOffset.FindStringSubmatch(l.Clock); m != nil {
		hours, _ := strconv.Atoi(m[1])
		minutes, _ := strconv.Atoi(m[2])
		if hours < 0 {
			minutes = -minutes
		}
		return time.FixedZone(l.Clock, hours*3600+minutes*60)
	}
	if utcClock.MatchString(l.Clock) {
		return time.UTC
	}
	return time.FixedZone("sun", int(math.Round(*l.LonDeg/15))*3600)
}

// lakeHour is one hour of a record.
type lakeHour struct {
	day     string // of the lake's own clock
	weather water.Hour
	waterC  water.Reading
}

// lakeColumns are the columns that are read; those that are not there are
// missing in every row.
var lakeColumns = []string{"air_c", "wind_ms", "rh_pct", "sw_wm2", "cloud_frac", "water_c"}

// hours reads the record hour by hour: the mean of a day is held through its
// hours, and a gap is hours of which nothing is known.
func (l waterLake) hours(files fs.FS, windAtWater bool) ([]lakeHour, error) {
	table, err := readAirTable(files, l.File)
	if err != nil {
		return nil, err
	}
	for _, needed := range []string{"time", "air_c", "water_c"} {
		if !slices.Contains(table.header, needed) {
			return nil, table.errorf(table.headerLine, "there is no column %q; there should be time, air_c, water_c and what else is known", needed)
		}
	}
	zone := l.zone()
	var out []lakeHour
	for _, row := range table.rows {
		values := map[string]water.Reading{}
		for i, column := range table.header {
			if row.cells[i] == "" || !slices.Contains(lakeColumns, column) {
				continue
			}
			v, err := table.number(row.line, column, row.cells[i])
			if err != nil {
				return nil, err
			}
			values[column] = water.Known(v)
		}
		stamp := row.cells[slices.Index(table.header, "time")]
		end, span, err := lakeTime(stamp, zone)
		if err != nil {
			return nil, table.errorf(row.line, "%v", err)
		}
		if out, err = fillGap(out, end.Add(-time.Duration(span)*time.Hour)); err != nil {
			return nil, table.errorf(row.line, "%v", err)
		}
		for h := span - 1; h >= 0; h-- {
			out = append(out, lakeHour{day: stamp[:len(time.DateOnly)], waterC: values["water_c"], weather: water.Hour{
				At: end.Add(-time.Duration(h) * time.Hour), AirC: values["air_c"], RHPct: values["rh_pct"], WindMps: values["wind_ms"],
				CloudFraction: values["cloud_frac"], ShortwaveWm2: values["sw_wm2"], WindAtWater: windAtWater,
			}})
		}
	}
	if len(out) == 0 {
		return nil, table.errorf(table.headerLine, "there is a header and no row")
	}
	return out, nil
}

// lakeTime reads a date, which stands for the 24 hours that begin with it, or
// the end of an hour.
func lakeTime(stamp string, zone *time.Location) (end time.Time, spanH int, err error) {
	if day, err := time.ParseInLocation(time.DateOnly, stamp, zone); err == nil {
		return day.Add(24 * time.Hour), 24, nil
	}
	for _, layout := range []string{"2006-01-02T15:04", "2006-01-02T15:04:05"} {
		if end, err := time.ParseInLocation(layout, stamp, zone); err == nil {
			return end, 1, nil
		}
	}
	return time.Time{}, 0, fmt.Errorf("time is %q; it should be a date such as 2020-05-22 or an hour such as 2020-05-22T14:00", stamp)
}

// longestGap bounds what is filled, so that a mistyped year is found.
const longestGap = 10 * 366 * 24 * time.Hour

// fillGap adds unknown hours up to the instant where the next row begins.
func fillGap(out []lakeHour, to time.Time) ([]lakeHour, error) {
	if len(out) == 0 {
		return out, nil
	}
	last := out[len(out)-1].weather.At
	if gap := to.Sub(last); gap < 0 || gap > longestGap {
		return nil, fmt.Errorf("the time does not follow the row before within ten years; give the rows in order of time")
	}
	for last = last.Add(time.Hour); !last.After(to); last = last.Add(time.Hour) {
		out = append(out, lakeHour{day: last.Format(time.DateOnly), weather: water.Hour{At: last}})
	}
	return out, nil
}

// inferCloud works out the cloud of each day whose sunlight was measured and
// whose cloud was not.
func inferCloud(site water.Site, hours []lakeHour) error {
	measured, clear := map[string]float64{}, map[string]float64{}
	for i := range hours {
		h := &hours[i]
		if !h.weather.ShortwaveWm2.Known {
			continue
		}
		solar := h.weather.At.UTC().Add(-30*time.Minute + time.Duration(site.LonDeg*240*float64(time.Second)))
		sine, err := water.SinElevation(site.LatDeg, solar.YearDay(), float64(solar.Hour())+float64(solar.Minute())/60)
		if err != nil {
			return err
		}
		clearWm2, err := water.ShortwaveWm2(math.Max(-1, math.Min(1, sine)), 0)
		if err != nil {
			return err
		}
		measured[h.day] += math.Max(0, h.weather.ShortwaveWm2.Value)
		clear[h.day] += clearWm2
	}
	for i := range hours {
		if h := &hours[i]; !h.weather.CloudFraction.Known {
			if cloud, ok := water.CloudFromSunlight(measured[h.day], clear[h.day]); ok {
				h.weather.CloudFraction = water.Known(cloud)
			}
		}
	}
	return nil
}
