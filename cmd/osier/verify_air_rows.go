package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"osier/model/air"
	"osier/model/solar"
)

// sunToleranceS is the accuracy that the sun's equations claim, in seconds.
const sunToleranceS = 60

// sunRows checks sunrise, sunset and noon of each row in seconds after 00:00
// UTC. An empty instant means that there is none on that day.
func sunRows(t airTable, _ *airSummary) ([]verifyCheck, error) {
	cell, err := t.columns("lat", "lon_east", "date_utc", "sunrise_utc", "sunset_utc", "noon_utc")
	if err != nil {
		return nil, err
	}
	var checks []verifyCheck
	for _, row := range t.rows {
		latDeg, errLat := t.number(row.line, "lat", cell(row, "lat"))
		lonDeg, errLon := t.number(row.line, "lon_east", cell(row, "lon_east"))
		if err := errors.Join(errLat, errLon); err != nil {
			return nil, err
		}
		date, err := time.Parse(time.DateOnly, cell(row, "date_utc"))
		if err != nil {
			return nil, t.errorf(row.line, "date_utc is %q; it should be a date such as 2024-06-20", cell(row, "date_utc"))
		}
		sun, known := solar.SunTimes(latDeg, lonDeg, date)
		if !known {
			return nil, t.errorf(row.line, "there is no sun for latitude %v, longitude %v on %s; latitudes run to 90, longitudes to 180, years from 1900 to 2100",
				latDeg, lonDeg, date.Format(time.DateOnly))
		}
		for _, event := range []struct {
			name, column string
			at           time.Time
		}{{"sunrise", "sunrise_utc", sun.Rise}, {"sunset", "sunset_utc", sun.Set}, {"noon", "noon_utc", sun.Noon}} {
			name := fmt.Sprintf("%s %v N %v E %s, s after 00:00 UTC", event.name, latDeg, lonDeg, date.Format(time.DateOnly))
			check, err := sunCheck(name, event.at, cell(row, event.column))
			if err != nil {
				return nil, t.errorf(row.line, "%s: %v", event.column, err)
			}
			checks = append(checks, check)
		}
	}
	return checks, nil
}

func sunCheck(name string, at time.Time, text string) (verifyCheck, error) {
	const source = "NOAA solar calculation details (Meeus), table within 3.5 s of SPA (Reda and Andreas 2004)"
	gotS, known := secondOfDay(at), !at.IsZero()
	if meansNoValue(text) {
		return noValueCheck(name, gotS, known, source), nil
	}
	want, err := time.Parse(time.TimeOnly, text)
	if err != nil {
		return verifyCheck{}, fmt.Errorf("%q should be a time such as 03:42:59", text)
	}
	// The table gives no date to an instant: 23:59:50 and 00:00:10 are 20 s apart.
	const dayS = 24 * 3600
	wantS := secondOfDay(want)
	gotS = wantS + math.Remainder(gotS-wantS, dayS)
	return valueCheck(name, gotS, known, wantS, sunToleranceS, source), nil
}

func secondOfDay(t time.Time) float64 {
	return float64(t.Hour()*3600 + t.Minute()*60 + t.Second())
}

// tendencyRows checks the change, the word and the code of each case. Reports
// that are all without decimals are whole hectopascals.
func tendencyRows(t airTable, _ *airSummary) ([]verifyCheck, error) {
	cell, err := t.columns("case", "reports_utc_hpa", "delta_3h_hpa", "word", "a_fallback")
	if err != nil {
		return nil, err
	}
	var checks []verifyCheck
	for _, row := range t.rows {
		readings, err := parseReadings(cell(row, "reports_utc_hpa"))
		if err != nil {
			return nil, t.errorf(row.line, "reports_utc_hpa: %v", err)
		}
		trend := air.ThreeHourTrend(readings, !strings.Contains(cell(row, "reports_utc_hpa"), "."))
		name := "pressure over 3 h, " + cell(row, "case")
		for _, figure := range []struct {
			name, column, source string
			got                  float64
		}{
			{"change hPa", "delta_3h_hpa", "our rule for irregular reports", trend.ChangeHPa},
			{"code", "a_fallback", "WMO-No. 306, table 0200 and 12.2.3.5.3", float64(trend.Code)},
		} {
			if meansNoValue(cell(row, figure.column)) {
				checks = append(checks, noValueCheck(name+", "+figure.name, figure.got, trend.Known, figure.source))
				continue
			}
			want, err := t.number(row.line, figure.column, cell(row, figure.column))
			if err != nil {
				return nil, err
			}
			checks = append(checks, valueCheck(name+", "+figure.name, figure.got, trend.Known, want, 0, figure.source))
		}
		checks = append(checks, textCheck(name+", word", trend.Word, cell(row, "word"), "UK Met Office, glossary of marine forecast terms"))
	}
	return checks, nil
}

// parseReadings reads "10:50=1012.0;11:50=1011.1". A time earlier than the one
// before it is on the next day.
func parseReadings(text string) ([]air.Reading, error) {
	var readings []air.Reading
	days := 0
	for _, part := range strings.Split(text, ";") {
		clock, value, _ := strings.Cut(part, "=")
		at, errTime := time.Parse("15:04", strings.TrimSpace(clock))
		hPa, errValue := parseFinite(strings.TrimSpace(value))
		if errTime != nil || errValue != nil {
			return nil, fmt.Errorf("%q should be a time and a pressure such as 10:50=1012.0", part)
		}
		at = at.AddDate(0, 0, days)
		if n := len(readings); n > 0 && at.Before(readings[n-1].At) {
			days++
			at = at.AddDate(0, 0, 1)
		}
		readings = append(readings, air.Reading{At: at, HPa: hPa})
	}
	return readings, nil
}

func parseFinite(text string) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q should be a number", text)
	}
	return v, nil
}

// beaufortRows checks that both limits of each force in knots and in m/s, and
// its mean in knots, give that force. The columns in km/h and mph are whole
// numbers of other units and do not bound the force.
func beaufortRows(t airTable, _ *airSummary) ([]verifyCheck, error) {
	cell, err := t.columns("force", "term", "knots", "m_per_s", "mean_knots_uk")
	if err != nil {
		return nil, err
	}
	var checks []verifyCheck
	for _, row := range t.rows {
		want, err := t.number(row.line, "force", cell(row, "force"))
		if err != nil {
			return nil, err
		}
		for _, c := range []struct {
			column, unit, source string
			force                func(float64) (int, string)
		}{
			{"knots", "kt", "WMO-No. 306, Section E", air.BeaufortKnots},
			{"m_per_s", "m/s", "WMO-No. 306, Section E", air.Beaufort},
			{"mean_knots_uk", "kt", "UK Met Office, Beaufort scale, mean speeds", air.BeaufortKnots},
		} {
			speeds, err := parseSpeeds(cell(row, c.column))
			if err != nil {
				return nil, t.errorf(row.line, "%s: %v", c.column, err)
			}
			for _, speed := range speeds {
				force, term := c.force(speed)
				name := fmt.Sprintf("Beaufort, %v %s", speed, c.unit)
				checks = append(checks, numberCheck(name+", force", float64(force), want, 0, c.source),
					textCheck(name+", term", term, cell(row, "term"), c.source))
			}
		}
	}
	return checks, nil
}

// parseSpeeds reads the speeds that bound a force: "<1", "4-6", "64 and over",
// "13", or nothing.
func parseSpeeds(text string) ([]float64, error) {
	if text == "" {
		return nil, nil
	}
	if _, below := strings.CutPrefix(text, "<"); below {
		return []float64{0}, nil
	}
	low, high, isRange := strings.Cut(strings.TrimSuffix(text, " and over"), "-")
	limits := []string{low}
	if isRange {
		limits = append(limits, high)
	}
	var speeds []float64
	for _, limit := range limits {
		v, err := parseFinite(limit)
		if err != nil {
			return nil, fmt.Errorf("%q should be a speed or a range such as 4-6", text)
		}
		speeds = append(speeds, v)
	}
	return speeds, nil
}
