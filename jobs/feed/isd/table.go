package isd

import (
	"encoding/csv"
	"errors"
	"fmt"
	"strings"

	"osier/model"
)

// table is a CSV file of the archive: a header that names the columns, then a
// row a line. Each line is read by itself, so that a stray quotation mark costs
// its line and not the rest of the file.
type table struct {
	columns map[string]int
	width   int
	rows    []string // the lines after the header
}

// firstRow is the number of the line after the header.
const firstRow = 2

// readTable reads the header, which must name the needed columns.
func readTable(file string, body []byte, needed []string) (table, error) {
	all := lines(body)
	header, err := splitRow(all[0])
	if err != nil {
		return table{}, model.Invalidf(file, "it begins with a header line", "its first line cannot be read as CSV: %v", err)
	}
	t := table{columns: map[string]int{}, width: len(header), rows: all[1:]}
	for i, name := range header {
		t.columns[name] = i
	}
	for _, name := range needed {
		if _, ok := t.columns[name]; !ok {
			return table{}, model.Invalidf(file, "its header names "+name, "there is no such column")
		}
	}
	return t, nil
}

// read gives the cells of a row by the names of their columns; those of a
// column that the table does not have are empty.
func (t table) read(text string) (func(column string) string, error) {
	cells, err := splitRow(text)
	if err != nil {
		return nil, err
	}
	if len(cells) != t.width {
		return nil, fmt.Errorf("it has %d cells and the header %d", len(cells), t.width)
	}
	return func(column string) string {
		i, ok := t.columns[column]
		if !ok {
			return ""
		}
		return cells[i]
	}, nil
}

// splitRow reads one line of CSV. The reader's own error names its line as the
// first of one, which would mislead.
func splitRow(text string) ([]string, error) {
	reader := csv.NewReader(strings.NewReader(text))
	reader.FieldsPerRecord = -1
	cells, err := reader.Read()
	var fault *csv.ParseError
	switch {
	case errors.As(err, &fault):
		return nil, fault.Err
	case err != nil:
		return nil, errors.New("it is empty")
	}
	return cells, nil
}
