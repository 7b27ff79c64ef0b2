package model

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// longestCell is the longest cell taken, in bytes: notes in letters of four
// bytes, with room to spare.
const longestCell = 8192

// ReadSessionsCSV reads session records of all three styles. The layout is
// described column by column in testdata/sessions/README.md: one header, a row
// for each summary, for each hour of a tally and for each cast of a log; rows
// with the same cell in the column session belong together.
//
// Local times are read in the zone of the defaults. A session with a row that
// is wrong is refused whole, with all its rows; the others go on. Every row
// that is not empty has one report, in the order of the file, its Row being
// the line it starts on; RowStored stands for a row whose session can be
// stored. An error is about the file as a whole: it is no CSV, too long, or
// has a column that is not known, named twice or missing.
func ReadSessionsCSV(r io.Reader, d Defaults) ([]ParsedSession, []RowReport, error) {
	data, err := readImport(r)
	if err != nil {
		return nil, nil, err
	}
	table := csv.NewReader(bytes.NewReader(data))
	table.FieldsPerRecord = -1 // ragged rows are refused one by one
	header, err := table.Read()
	if err != nil {
		return nil, nil, Invalidf("file", "send session records as CSV", "its first line cannot be read as CSV: %v", err)
	}
	if header, err = readHeader(header, d); err != nil {
		return nil, nil, err
	}
	rows, err := readRows(table, header)
	if err != nil {
		return nil, nil, err
	}
	if len(rows) == 0 {
		return nil, nil, Invalidf("file", "send one row at least below the header", "it has a header and no rows")
	}
	var parsed []ParsedSession
	var reports []RowReport
	for _, group := range groupRows(rows) {
		s, told := group.read(d)
		if s != nil {
			parsed = append(parsed, *s)
		}
		reports = append(reports, told...)
	}
	slices.SortStableFunc(reports, func(a, b RowReport) int { return a.Row - b.Row })
	return parsed, reports, nil
}

// readHeader checks the names of the columns and spells them the one way.
func readHeader(cells []string, d Defaults) ([]string, error) {
	known := columnNames()
	header := make([]string, len(cells))
	for i, cell := range cells {
		header[i] = strings.ToLower(strings.TrimSpace(cell))
	}
	if !slices.ContainsFunc(header, func(name string) bool { return slices.Contains(known, name) }) {
		right := "send CSV with a first line of column names separated by commas, such as " + strings.Join(known[:8], ",")
		if strings.ContainsAny(cells[0], ";\t") {
			right = "separate the columns by commas"
		}
		return nil, Invalidf("file", right, "its first line, %q, names no column of a session record", shorten(cells[0]))
	}
	for i, name := range header {
		switch {
		case name == "":
			return nil, Invalidf(fmt.Sprintf("column %d", i+1), "name it or take it out", "it has no name")
		case !slices.Contains(known, name):
			return nil, Invalidf("column "+shorten(name), "take it out or use one of: "+strings.Join(known, ", "), "there is no such column")
		case slices.Contains(header[:i], name):
			return nil, Invalidf("column "+name, "keep one of them", "it is there twice")
		}
	}
	required := slices.Clone(requiredColumns)
	if d.Water == "" {
		required = append(required, "water")
	}
	if d.Angler == "" {
		required = append(required, "angler")
	}
	for _, name := range required {
		if !slices.Contains(header, name) {
			return nil, Invalidf("column "+name, "add it to the first line", "it is missing")
		}
	}
	return header, nil
}

// csvRow is one row of the file: its cells by column, or what is wrong with it.
type csvRow struct {
	line    int
	cells   map[string]string // the empty ones left out
	problem string
}

func readRows(table *csv.Reader, header []string) ([]csvRow, error) {
	var rows []csvRow
	for {
		cells, err := table.Read()
		if errors.Is(err, io.EOF) {
			return rows, nil
		}
		row := csvRow{cells: map[string]string{}}
		for i, cell := range cells {
			if cell = strings.TrimSpace(cell); cell != "" && i < len(header) {
				row.cells[header[i]] = cell
			}
		}
		var broken *csv.ParseError
		switch {
		case errors.As(err, &broken):
			row.line = broken.StartLine
			row.problem = explainQuotes(broken)
		case err != nil:
			return nil, fmt.Errorf("read the session records: %w", err)
		default:
			row.line, _ = table.FieldPos(0)
			row.problem = checkShape(cells, header)
		}
		if row.problem == "" && len(row.cells) == 0 {
			continue
		}
		if len(rows) == mostImportRows {
			return nil, tooManyRows("rows")
		}
		rows = append(rows, row)
	}
}

func explainQuotes(broken *csv.ParseError) string {
	if broken.Line > broken.StartLine {
		return fmt.Sprintf(`a quotation mark opened in this row is not closed as it should be, so lines %d to %d were read as one row; close it, and double a mark inside quoted words ("")`, broken.StartLine, broken.Line)
	}
	return fmt.Sprintf(`quotation marks are astray at character %d; put words that hold one in quotation marks and double it ("")`, broken.Column)
}

// checkShape refuses a ragged row and an outsized cell.
func checkShape(cells, header []string) string {
	if len(cells) != len(header) && strings.TrimSpace(strings.Join(cells, "")) != "" {
		return fmt.Sprintf("the row has %d cells and the header %d columns; put words that hold a comma in quotation marks", len(cells), len(header))
	}
	for i, cell := range cells {
		if len(cell) > longestCell {
			return fmt.Sprintf("%s: the cell has %d bytes; give at most %d", header[i], len(cell), longestCell)
		}
	}
	return ""
}
