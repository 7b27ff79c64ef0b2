package main

import (
	"fmt"
	"strings"
	"time"

	"osier/jobs/feed/metar"
	"osier/model"
)

const decodedReportSource = "decoded by hand after WMO-No. 306 FM 15 and FMH-1 (1995)"

// decodedNumbers are the columns of a hand-decoded row that hold numbers, with
// the grain in which they were written.
var decodedNumbers = []struct {
	column    string
	tolerance float64
	of        func(metar.Report) model.Maybe[float64]
}{
	{"temp_c", 0.05, func(r metar.Report) model.Maybe[float64] { return figure(r.AirC) }},
	{"dew_c", 0.05, func(r metar.Report) model.Maybe[float64] { return figure(r.DewC) }},
	{"wind_dir_deg", 0, func(r metar.Report) model.Maybe[float64] { return figure(r.WindFromDeg) }},
	{"wind_ms", 0.01, func(r metar.Report) model.Maybe[float64] { return figure(r.WindMps) }},
	{"gust_ms", 0.01, func(r metar.Report) model.Maybe[float64] { return figure(r.GustMps) }},
	{"qnh_hpa", 0.1, func(r metar.Report) model.Maybe[float64] { return figure(r.QNHHPa) }},
	{"slp_hpa", 0.1, func(r metar.Report) model.Maybe[float64] { return figure(r.SeaLevelHPa) }},
}

// decodedTexts are the columns that hold words.
var decodedTexts = []struct {
	column string
	of     func(metar.Report) string
}{
	{"station", func(r metar.Report) string { return r.Station }},
	{"wx_now", func(r metar.Report) string { return strings.Join(r.Weather, " ") }},
	{"wx_recent", func(r metar.Report) string { return strings.Join(r.Recent, " ") }},
	{"thunder", func(r metar.Report) string { return string(r.ThunderReported()) }},
}

// What a column may say besides a value: nothing, the value must be missing;
// "*", nothing is asserted; "?x", x or missing.
const (
	notAsserted = "*"
	orMissing   = "?"
	missing     = "missing"
)

// checkDecodedReports holds the decoder against every asserted column of the
// rows decoded by hand.
func checkDecodedReports(_ string, text []byte) ([]verifyCheck, error) {
	columns := []string{"id", "ref_date_utc", "time_group", "raw"}
	for _, c := range decodedNumbers {
		columns = append(columns, c.column)
	}
	for _, c := range decodedTexts {
		columns = append(columns, c.column)
	}
	table, err := readMetarTable(text, columns...)
	if err != nil {
		return nil, err
	}
	var checks []verifyCheck
	for row := range table.rows {
		of, err := checkDecodedReport(table, row)
		if err != nil {
			return nil, fmt.Errorf("row %s: %w", table.text(row, "id"), err)
		}
		checks = append(checks, of...)
	}
	return checks, nil
}

// checkDecodedReport checks one row. A row without a time is no METAR and must
// be refused.
func checkDecodedReport(table metarTable, row int) ([]verifyCheck, error) {
	id := table.text(row, "id") + " "
	report, err := metar.Decode(table.text(row, "raw"))
	verdict := func(refused bool) string {
		if refused {
			return "refused"
		}
		return "read"
	}
	wantRefused := table.text(row, "time_group") == ""
	checks := []verifyCheck{textCheck(id+"report", verdict(err != nil), verdict(wantRefused), decodedReportSource)}
	if err != nil || wantRefused {
		return checks, nil
	}
	check, err := timeCheck(id+"time", report, table.text(row, "ref_date_utc"))
	if err != nil {
		return nil, err
	}
	checks = append(checks, check)
	for _, c := range decodedNumbers {
		if want := table.text(row, c.column); want != notAsserted {
			check, err := maybeCheck(id+c.column, c.of(report), want, c.tolerance)
			if err != nil {
				return nil, err
			}
			checks = append(checks, check)
		}
	}
	for _, c := range decodedTexts {
		if want := table.text(row, c.column); want != notAsserted {
			checks = append(checks, wordsCheck(id+c.column, c.of(report), want))
		}
	}
	return checks, nil
}

// timeCheck resolves the report's time with its true time as the reference.
func timeCheck(name string, report metar.Report, trueTime string) (verifyCheck, error) {
	want, err := time.Parse(time.RFC3339, trueTime)
	if err != nil {
		return verifyCheck{}, fmt.Errorf("ref_date_utc is %q; give a time as in 2014-12-18T07:50:00Z", trueTime)
	}
	got, err := metar.ResolveTime(report.Day, report.Hour, report.Minute, want)
	if err != nil {
		return textCheck(name, err.Error(), trueTime, decodedReportSource), nil
	}
	return textCheck(name, got.Format(time.RFC3339), want.UTC().Format(time.RFC3339), decodedReportSource), nil
}

// maybeCheck compares a number that may be missing with what the column
// asserts.
func maybeCheck(name string, got model.Maybe[float64], want string, tolerance float64) (verifyCheck, error) {
	digits, mayMiss := strings.CutPrefix(want, orMissing)
	if digits == "" {
		if got.Known {
			return textCheck(name, fmt.Sprint(got.Value), missing, decodedReportSource), nil
		}
		return textCheck(name, missing, missing, decodedReportSource), nil
	}
	number, err := finite(digits, name)
	if err != nil {
		return verifyCheck{}, err
	}
	if !got.Known {
		check := textCheck(name, missing, want, decodedReportSource)
		check.OK = mayMiss
		return check, nil
	}
	return numberCheck(name, got.Value, number, tolerance, decodedReportSource), nil
}

// wordsCheck does the same for words.
func wordsCheck(name, got, want string) verifyCheck {
	words, mayMiss := strings.CutPrefix(want, orMissing)
	if mayMiss && got == "" {
		words = ""
	}
	return textCheck(name, got, words, decodedReportSource)
}
