package model

import (
	"encoding/csv"
	"fmt"
	"io"
)

// WriteSessionsCSV writes sessions in the layout that ReadSessionsCSV reads:
// what is read again equals what was written, but for queries and the time of
// entry, which belong to the place where a record is kept. Words that a
// spreadsheet would take for a formula are written with an apostrophe before
// them, which the reader takes away.
func WriteSessionsCSV(w io.Writer, sessions []Session) error {
	table := csv.NewWriter(w)
	rows := [][]string{columnNames()}
	for _, s := range sessions {
		rows = append(rows, sessionRows(s)...)
	}
	if err := table.WriteAll(rows); err != nil {
		return fmt.Errorf("write the session records: %w", err)
	}
	return nil
}

// sessionRows writes what holds for the session in its first row only.
func sessionRows(s Session) [][]string {
	row := rowOf(s)
	own := writeColumns(sessionColumns, &row)
	again := make([]string, len(sessionColumns))
	again[0] = own[0] // the mark that keeps the rows together
	noHour, noCast := make([]string, len(hourColumns)), make([]string, len(castColumns))
	var rows [][]string
	add := func(hour, cast []string) {
		first := own
		if len(rows) > 0 {
			first = again
		}
		cells := append([]string(nil), first...)
		cells = append(cells, hour...)
		rows = append(rows, append(cells, cast...))
	}
	for _, v := range s.Intervals {
		add(writeColumns(hourColumns, &hourRow{v: v, start: Known(v.Start), end: Known(v.End)}), noCast)
	}
	for _, c := range s.Casts {
		add(noHour, writeColumns(castColumns, &castRow{c: c, in: Known(c.In), out: Known(c.Out)}))
	}
	if len(rows) == 0 {
		add(noHour, noCast)
	}
	return rows
}

func writeColumns[T any](columns []column[T], from *T) []string {
	cells := make([]string, len(columns))
	for i, c := range columns {
		cells[i] = c.write(from)
	}
	return cells
}
