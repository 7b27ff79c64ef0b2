package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"strings"
)

// airTable is one reference file: comma-separated, one header line.
type airTable struct {
	file       string
	header     []string
	headerLine int
	rows       []airRow
}

type airRow struct {
	line  int
	cells []string
}

// readAirTable reads a reference file. A file that is not there is
// fs.ErrNotExist.
func readAirTable(files fs.FS, file string) (airTable, error) {
	content, err := fs.ReadFile(files, file)
	if err != nil {
		return airTable{}, fmt.Errorf("reading %s: %w", file, err)
	}
	const byteOrderMark = "\xef\xbb\xbf" // spreadsheets put it first
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(content, []byte(byteOrderMark))))
	t := airTable{file: file}
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return airTable{}, fmt.Errorf("reading %s: %w", file, err)
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		line, _ := r.FieldPos(0)
		if t.header == nil {
			t.header, t.headerLine = cells, line
			continue
		}
		t.rows = append(t.rows, airRow{line: line, cells: cells})
	}
	if t.header == nil {
		return airTable{}, fmt.Errorf("reading %s: the file is empty; it should begin with a line that names its columns", file)
	}
	return t, nil
}

// columns gives a function that reads a row's cell by the name of its column,
// or an error when one of the names is not there.
func (t airTable) columns(names ...string) (func(row airRow, name string) string, error) {
	position := map[string]int{}
	for _, name := range names {
		i := slices.Index(t.header, name)
		if i < 0 {
			return nil, t.errorf(t.headerLine, "there is no column %q; there should be %s", name, strings.Join(names, ", "))
		}
		position[name] = i
	}
	return func(row airRow, name string) string { return row.cells[position[name]] }, nil
}

// number reads a finite number that stands in the named place of a line.
func (t airTable) number(line int, place, text string) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, t.errorf(line, "%s is %q; it should be a number", place, text)
	}
	return v, nil
}

func (t airTable) errorf(line int, format string, args ...any) error {
	return fmt.Errorf("%s line %d: %s", t.file, line, fmt.Sprintf(format, args...))
}
