package model

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// rowGroup is the rows of one session.
type rowGroup struct {
	key      string
	rows     []csvRow
	problems [][]string // by row
}

// groupRows puts the rows of each session together, in the order of their
// first rows. A row without a key is a session of its own.
func groupRows(rows []csvRow) []*rowGroup {
	var groups []*rowGroup
	byKey := map[string]*rowGroup{}
	for _, row := range rows {
		key := row.cells["session"]
		g := byKey[key]
		if g == nil || key == "" {
			g = &rowGroup{key: key}
			byKey[key] = g
			groups = append(groups, g)
		}
		g.rows = append(g.rows, row)
		g.problems = append(g.problems, nil)
	}
	return groups
}

// read makes a session of the rows, or refuses all of them.
func (g *rowGroup) read(d Defaults) (*ParsedSession, []RowReport) {
	s, repeats := g.session(d)
	reports := make([]RowReport, len(g.rows))
	if at := g.firstProblem(); at >= 0 {
		for i, row := range g.rows {
			reports[i] = RowReport{Row: row.line, Session: shorten(g.key), Status: RowRefused, Problems: g.problems[i]}
			if len(g.problems[i]) == 0 {
				reports[i].Problems = []string{fmt.Sprintf("refused with the rest of its session: see row %d", g.rows[at].line)}
			}
		}
		return nil, reports
	}
	parsed := &ParsedSession{Session: s}
	for i, row := range g.rows {
		parsed.Rows = append(parsed.Rows, row.line)
		reports[i] = RowReport{Row: row.line, Session: s.ID, Status: RowStored}
		if repeats[i] {
			reports[i].Status = RowDuplicate
			reports[i].Problems = []string{fmt.Sprintf("it only repeats what was said from row %d on", g.rows[0].line)}
		}
	}
	return parsed, reports
}

func (g *rowGroup) firstProblem() int {
	for i, p := range g.problems {
		if len(p) > 0 {
			return i
		}
	}
	return -1
}

func (g *rowGroup) blame(row int, err error) {
	if err != nil {
		g.problems[row] = append(g.problems[row], err.Error())
	}
}

// session reads the rows into a completed session. The record is of use only
// where no row has a problem. Repeats marks the rows that say nothing that no
// row before them said.
func (g *rowGroup) session(d Defaults) (s Session, repeats map[int]bool) {
	for i, row := range g.rows {
		if row.problem != "" {
			g.problems[i] = append(g.problems[i], row.problem)
		}
	}
	if g.firstProblem() >= 0 {
		return s, nil
	}
	told, toldIn := g.sharedCells()
	when, err := clockOf(told["start"], d.zone(told["water"]))
	if err != nil {
		g.blame(toldIn["start"], err)
		return s, nil
	}
	var row sessionRow
	for _, c := range sessionColumns {
		if cell := told[c.name]; cell != "" {
			g.blame(toldIn[c.name], c.read(&row, cell, when))
		}
	}
	details := g.readDetails(&row, when)
	if style := row.s.Style; g.key == "" && (style == Hourly || style == FullLog) {
		g.blame(0, Invalidf("session", "give all rows of a session the same mark in this column", "a session of style %s needs it", style))
	}
	if g.firstProblem() >= 0 {
		return s, nil
	}
	if s, err = row.session(); err == nil {
		s, err = s.finished(d)
	}
	if err != nil {
		g.blameField(err, details)
	}
	repeats = map[int]bool{}
	for i := range g.rows {
		repeats[i] = true
	}
	for _, i := range toldIn {
		delete(repeats, i)
	}
	for _, i := range details {
		delete(repeats, i)
	}
	return s, repeats
}

// sharedCells takes each cell of the session from the first row that has it
// and refuses a later one that says otherwise.
func (g *rowGroup) sharedCells() (told map[string]string, toldIn map[string]int) {
	told, toldIn = map[string]string{}, map[string]int{}
	for _, c := range sessionColumns {
		for i, row := range g.rows {
			cell := row.cells[c.name]
			switch {
			case cell == "" || cell == told[c.name]:
			case told[c.name] == "":
				told[c.name], toldIn[c.name] = cell, i
			default:
				g.blame(i, Invalidf(c.name, "repeat it as it was, or leave it empty after the first row", "row %d says %q, and this row %q", g.rows[toldIn[c.name]].line, shorten(told[c.name]), shorten(cell)))
			}
		}
	}
	return told, toldIn
}

// clockOf reads the start, by which other times are read: those without a date
// follow it, in the offset it was given with, or else in the zone.
func clockOf(start string, zone *time.Location) (clock, error) {
	if start == "" {
		return clock{}, Invalidf("start", timeForms, "it is missing")
	}
	t, err := ParseTime("start", start, zone)
	if err != nil {
		return clock{}, err
	}
	if _, err := time.Parse(time.RFC3339, start); err == nil {
		zone = t.Location()
	}
	return clock{zone: zone, start: t}, nil
}

// readDetails reads the hours and casts and gives, for each, the row it is in.
// A row may hold one of either; validation refuses what the style does not
// allow. Words in place of an hour's bites join those of the session.
func (g *rowGroup) readDetails(row *sessionRow, when clock) (details []int) {
	var words []string
	for i, r := range g.rows {
		var hour hourRow
		var cast castRow
		isHour := readColumns(g, i, hourColumns, &hour, r.cells, when)
		isCast := readColumns(g, i, castColumns, &cast, r.cells, when)
		if isHour && isCast {
			g.blame(i, Invalidf("hour_start", "give each a row of its own", "the row tells of an hour and of a cast"))
		}
		if isHour {
			row.s.Intervals = append(row.s.Intervals, hour.interval())
		}
		if isCast {
			row.s.Casts = append(row.s.Casts, cast.cast())
		}
		if isHour || isCast {
			details = append(details, i)
		}
		if hour.bitesText != "" {
			words = append(words, hour.start.Value.Format("15:04")+" "+hour.bitesText)
		}
	}
	if row.s.BitesText == "" && !row.s.Bites.Known {
		row.s.BitesText = strings.Join(words, "; ")
	}
	return details
}

func readColumns[T any](g *rowGroup, at int, columns []column[T], into *T, cells map[string]string, when clock) (found bool) {
	for _, c := range columns {
		if cell := cells[c.name]; cell != "" {
			found = true
			g.blame(at, c.read(into, cell, when))
		}
	}
	return found
}

// blameField puts an error of validation to the row and the column it is
// about, or to the first row where it is about the whole session.
func (g *rowGroup) blameField(err error, details []int) {
	at := 0
	var wrong *Error
	if errors.As(err, &wrong) {
		var i int
		if n, _ := fmt.Sscanf(wrong.Field, "intervals[%d]", &i); n == 1 && i < len(details) {
			at = details[i]
		} else if n, _ := fmt.Sscanf(wrong.Field, "casts[%d]", &i); n == 1 && i < len(details) {
			at = details[i]
		}
		named := *wrong
		named.Field = columnOf(wrong.Field)
		err = &named
	}
	g.blame(at, err)
}
