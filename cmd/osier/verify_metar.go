package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"

	"osier/model"
)

// The files that verify metar reads, where they are. Snapshots are those that
// match the pattern; bulletins is a folder.
const (
	decodedReportsFile = "metar_decoded.csv"
	snapshotPattern    = "awc_cache_*.csv"
	datedReportsFile   = "curated_dated_a.csv"
	undatedReportsFile = "world_undated.txt"
	bulletinsPattern   = "bulletins/*.txt"
)

// metarSummary is the comparison with the snapshots: how many of their values
// the decoder reproduces, and every one that it does not.
type metarSummary struct {
	Rows          int                  `json:"rows"`
	Values        int                  `json:"values"`
	EqualFraction model.Maybe[float64] `json:"equal_fraction"`
	Differences   []metarDifference    `json:"differences"`
	Absent        []string             `json:"absent,omitempty"` // files and patterns that are not there
}

// verifyMetar decodes the reports of a folder and compares them with the rows
// decoded by hand and with the snapshots' own decode; reports without a second
// opinion must be readable and probable.
func verifyMetar(files fs.FS) (checks []verifyCheck, summary any, err error) {
	found := metarSummary{Differences: []metarDifference{}}
	for _, part := range []struct {
		pattern string
		check   func(name string, text []byte) ([]verifyCheck, error)
	}{
		{decodedReportsFile, checkDecodedReports},
		{snapshotPattern, found.compareSnapshot},
		{datedReportsFile, checkDatedReports},
		{undatedReportsFile, checkUndatedReports},
		{bulletinsPattern, checkBulletin},
	} {
		names, err := fs.Glob(files, part.pattern)
		if err != nil {
			return nil, nil, fmt.Errorf("looking for %s: %w", part.pattern, err)
		}
		if len(names) == 0 {
			found.Absent = append(found.Absent, part.pattern)
		}
		for _, name := range names {
			text, err := fs.ReadFile(files, name)
			if err != nil {
				return nil, nil, fmt.Errorf("reading the reference reports: %w", err)
			}
			of, err := part.check(name, text)
			if err != nil {
				return nil, nil, fmt.Errorf("reading %s: %w", name, err)
			}
			checks = append(checks, of...)
		}
	}
	if found.Values > 0 {
		checks = append(checks, found.equalCheck())
	}
	if len(checks) == 0 {
		return nil, nil, model.NotFoundf("against", fmt.Sprintf("give a folder with %s or %s", decodedReportsFile, snapshotPattern),
			"the folder holds no METAR reference")
	}
	return checks, found, nil
}

// metarTable is a CSV file whose columns are addressed by name; of columns
// with the same name the first counts.
type metarTable struct {
	column map[string]int
	rows   [][]string
}

// readMetarTable reads a file that has the columns named. Lines above the
// header, which begins with the first of them, are passed over. Reports hold
// stray quotes, so a quote inside a field is only a character.
func readMetarTable(text []byte, columns ...string) (metarTable, error) {
	start := bytes.Index(text, []byte(columns[0]+","))
	if start < 0 {
		return metarTable{}, fmt.Errorf("it has no header; the header begins with %s", columns[0])
	}
	reader := csv.NewReader(bytes.NewReader(text[start:]))
	reader.LazyQuotes, reader.FieldsPerRecord = true, -1
	records, err := reader.ReadAll()
	if err != nil {
		return metarTable{}, err
	}
	table := metarTable{column: map[string]int{}, rows: records[1:]}
	for i, name := range slices.Backward(records[0]) {
		table.column[name] = i
	}
	for _, name := range columns {
		if _, ok := table.column[name]; !ok {
			return metarTable{}, fmt.Errorf("the header has no column %s", name)
		}
	}
	if len(table.rows) == 0 {
		return metarTable{}, errors.New("it has a header and no rows; give at least one")
	}
	return table, nil
}

// text gives one field, "" when the row is too short to have it.
func (t metarTable) text(row int, column string) string {
	i := t.column[column]
	if i >= len(t.rows[row]) {
		return ""
	}
	return t.rows[row][i]
}

// finite reads a figure of a reference file.
func finite(text, column string) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%s is %q; give a number", column, text)
	}
	return v, nil
}

// figure turns a value of the model into a plain number.
func figure[T ~int | ~float64](m model.Maybe[T]) model.Maybe[float64] {
	return model.Maybe[float64]{Value: float64(m.Value), Known: m.Known}
}
