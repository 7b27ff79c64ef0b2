package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"slices"
	"strconv"

	"osier/model/feeder"
)

// workedRowsFile holds the trade's worked result: known water, five hours, a
// thermometer reading and no distance named.
const (
	workedRowsFile  = "worked_rows.csv"
	workedRowsHours = 5.0
	workedRowSource = "trade practice table, derived by arithmetic; common practice"
)

// workedColumn is one printed figure of a row: its tolerance is half of its last
// printed digit.
type workedColumn struct {
	name      string
	tolerance float64
	of        func(feeder.Plan) float64
}

var workedNumbers = []workedColumn{
	{"rate_g_h", 0.5, func(p feeder.Plan) float64 { return p.Feed.RateGH }},
	{"fill_factor", 0.005, func(p feeder.Plan) float64 { return p.Feeder.FillFactor }},
	{"soak_min", 0.05, func(p feeder.Plan) float64 { return p.Rhythm.SoakMin }},
	{"fills_per_h", 0.05, func(p feeder.Plan) float64 { return p.Rhythm.FillsPerH }},
	{"opening_fills", 0, func(p feeder.Plan) float64 { return float64(p.Feed.OpeningFills) }},
	{"opening_g", 0.5, func(p feeder.Plan) float64 { return p.Feed.OpeningG }},
	{"total_damp_g", 5, func(p feeder.Plan) float64 { return p.Feed.TotalDampG }},
	{"total_dry_g", 5, func(p feeder.Plan) float64 { return p.Feed.TotalDryG }},
}

// workedHeader is the header that worked_rows.csv must have.
var workedHeader = []string{
	"group", "water_c", "rate_g_h", "level", "step", "fill_factor", "soak_min",
	"fills_per_h", "opening_fills", "opening_g", "total_damp_g", "total_dry_g",
}

// feedSummary says how much was compared.
type feedSummary struct {
	Rows   int `json:"rows"`
	Values int `json:"values"`
}

// verifyFeed makes the cold-start plan for each worked row and compares it with
// every value that is printed there.
func verifyFeed(files fs.FS) (checks []verifyCheck, summary any, err error) {
	file, err := files.Open(workedRowsFile)
	if err != nil {
		return nil, nil, fmt.Errorf("reading the worked rows of feed: %w", err)
	}
	defer file.Close()
	rows, err := readWorkedRows(file)
	if err != nil {
		return nil, nil, fmt.Errorf("reading %s: %w", workedRowsFile, err)
	}
	for _, row := range rows {
		of, err := checkWorkedRow(row)
		if err != nil {
			return nil, nil, fmt.Errorf("%s row %d: %w", workedRowsFile, row.line, err)
		}
		checks = append(checks, of...)
	}
	return checks, feedSummary{Rows: len(rows), Values: len(checks)}, nil
}

// workedRow is one row of the file as text, by column.
type workedRow struct {
	line   int
	values map[string]string
}

// number reads one column as a finite number.
func (r workedRow) number(column string) (float64, error) {
	v, err := strconv.ParseFloat(r.values[column], 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%s is %q; give a number", column, r.values[column])
	}
	return v, nil
}

// readWorkedRows reads the file and holds it to its header.
func readWorkedRows(r io.Reader) ([]workedRow, error) {
	reader := csv.NewReader(r)
	header, err := reader.Read()
	if err != nil {
		return nil, fmt.Errorf("the header: %w", err)
	}
	if !slices.Equal(header, workedHeader) {
		return nil, fmt.Errorf("the header is %q; it must be %q", header, workedHeader)
	}
	var rows []workedRow
	for {
		record, err := reader.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		line, _ := reader.FieldPos(0)
		row := workedRow{line: line, values: make(map[string]string, len(header))}
		for i, column := range header {
			row.values[column] = record[i]
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		return nil, errors.New("it has a header and no rows; give at least one")
	}
	return rows, nil
}

// checkWorkedRow compares one row with the plan made for it.
func checkWorkedRow(row workedRow) ([]verifyCheck, error) {
	waterC, err := row.number("water_c")
	if err != nil {
		return nil, err
	}
	plan, err := feeder.ColdStart(feeder.Input{
		Group:  feeder.Group(row.values["group"]),
		WaterC: waterC, WaterLowC: waterC, WaterHighC: waterC,
		Hours: workedRowsHours, KnownWater: true,
	})
	if err != nil {
		return nil, err
	}
	at := fmt.Sprintf("%s at %g C: ", plan.Group, waterC)
	checks := []verifyCheck{
		textCheck(at+"level", string(plan.Feed.Level), row.values["level"], workedRowSource),
		textCheck(at+"step", plan.Feeder.Step, row.values["step"], workedRowSource),
	}
	for _, column := range workedNumbers {
		want, err := row.number(column.name)
		if err != nil {
			return nil, err
		}
		checks = append(checks, numberCheck(at+column.name, column.of(plan), want, column.tolerance, workedRowSource))
	}
	return checks, nil
}
