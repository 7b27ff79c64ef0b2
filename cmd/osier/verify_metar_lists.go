package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"osier/jobs/feed/metar"
)

// Reports of a list have no second opinion. Nearly all must be readable and
// free of values that the decoder itself finds improbable. Our choice; example
// bulletins hold reports that were spoilt on purpose, and a list may have a
// report under the day before or after its own.
const (
	reportsSource     = "plausibility, our choice"
	maxRefusedReports = 0.01
	maxRefusedInABull = 0.20
	maxSuspectReports = 0.05
	maxMisdated       = 0.05
)

// checkUndatedReports reads a list of one report a line.
func checkUndatedReports(name string, text []byte) ([]verifyCheck, error) {
	var reports []string
	for line := range strings.Lines(string(text)) {
		if line = strings.TrimSpace(line); line != "" {
			reports = append(reports, line)
		}
	}
	return checkReports(name, reports, maxRefusedReports)
}

// checkBulletin reads one bulletin.
func checkBulletin(name string, text []byte) ([]verifyCheck, error) {
	return checkReports(name, metar.SplitBulletin(string(text)), maxRefusedInABull)
}

// checkDatedReports reads a list with the day of each report, which its own
// time must lead back to.
func checkDatedReports(name string, text []byte) ([]verifyCheck, error) {
	table, err := readMetarTable(text, "station", "report_date", "raw")
	if err != nil {
		return nil, err
	}
	var reports []string
	misdated := 0
	for row := range table.rows {
		raw := table.text(row, "raw")
		reports = append(reports, raw)
		date, err := time.Parse(time.DateOnly, table.text(row, "report_date"))
		if err != nil {
			return nil, fmt.Errorf("row %d: report_date is %q; give a day as in 2018-09-09", row+1, table.text(row, "report_date"))
		}
		if report, err := metar.Decode(raw); err == nil && !isOfDay(report, table.text(row, "station"), date) {
			misdated++
		}
	}
	checks, err := checkReports(name, reports, maxRefusedReports)
	if err != nil {
		return nil, err
	}
	share := 1 - float64(misdated)/float64(len(reports))
	return append(checks, numberCheck(name+": share with the station and day of the list", share, 1, maxMisdated, reportsSource)), nil
}

// isOfDay says whether the report is of the station and, seen from the end of
// the day, of that day.
func isOfDay(report metar.Report, station string, day time.Time) bool {
	at, err := metar.ResolveTime(report.Day, report.Hour, report.Minute, day.Add(24*time.Hour-time.Minute))
	return err == nil && report.Station == station && at.Truncate(24*time.Hour).Equal(day)
}

// checkReports counts what is refused and what is improbable.
func checkReports(name string, reports []string, maxRefused float64) ([]verifyCheck, error) {
	if len(reports) == 0 {
		return nil, errors.New("it holds no report; give at least one")
	}
	read, suspect := 0, 0
	for _, raw := range reports {
		report, err := metar.Decode(raw)
		if err != nil {
			continue
		}
		read++
		if report.Suspect {
			suspect++
		}
	}
	all := float64(len(reports))
	return []verifyCheck{
		numberCheck(fmt.Sprintf("%s: share of %d reports read", name, len(reports)), float64(read)/all, 1, maxRefused, reportsSource),
		numberCheck(name+": share with no improbable value", 1-float64(suspect)/all, 1, maxSuspectReports, reportsSource),
	}, nil
}
