package model

import (
	"regexp"
	"strconv"
	"strings"
	"time"
)

// clock is what the times of one session are read by.
type clock struct {
	zone  *time.Location // of local times
	start time.Time      // of the session; times of day follow it
}

// column is one column of the CSV layout: how its cell is read into a record
// and written from one. An empty cell is never read.
type column[T any] struct {
	name  string
	field string // the field of JSON, where errors of validation name it
	read  func(into *T, cell string, when clock) error
	write func(from *T) string
}

// plainNumber is a number as people write it. Powers of ten, "NaN" and "Inf"
// are none.
var plainNumber = regexp.MustCompile(`^[+-]?(\d{1,18}(\.\d*)?|\.\d+)$`)

func readNumber(name, cell string) (float64, error) {
	if !plainNumber.MatchString(cell) {
		return 0, Invalidf(name, "give a number with a decimal point, such as 12.5", "%q is no number", shorten(cell))
	}
	return strconv.ParseFloat(cell, 64)
}

func numberCell(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func numberColumn[T any, N ~float64](name, field string, at func(*T) *Maybe[N]) column[T] {
	return column[T]{
		name: name, field: field,
		read: func(into *T, cell string, _ clock) error {
			v, err := readNumber(name, cell)
			*at(into) = Known(N(v))
			return err
		},
		write: func(from *T) string {
			if m := at(from); m.Known {
				return numberCell(float64(m.Value))
			}
			return ""
		},
	}
}

func readCount(name, cell string) (int, error) {
	n, err := strconv.Atoi(cell)
	if err != nil {
		return 0, Invalidf(name, "give a whole number, or leave it empty where nobody counted", "%q is no count", shorten(cell))
	}
	return n, nil
}

func countColumn[T any](name, field string, at func(*T) *Maybe[int]) column[T] {
	return column[T]{
		name: name, field: field,
		read: func(into *T, cell string, _ clock) error {
			n, err := readCount(name, cell)
			*at(into) = Known(n)
			return err
		},
		write: func(from *T) string { return countCell(*at(from)) },
	}
}

func countCell(n Maybe[int]) string {
	if !n.Known {
		return ""
	}
	return strconv.Itoa(n.Value)
}

// bitesColumn reads a count, or keeps the words that stand for one: "loads" is
// never made a number.
func bitesColumn[T any](name, field string, at func(*T) (*Maybe[int], *string)) column[T] {
	return column[T]{
		name: name, field: field,
		read: func(into *T, cell string, _ clock) error {
			n, words := at(into)
			if isWords(cell) {
				*words = disarm(cell)
				return nil
			}
			v, err := readCount(name, cell)
			*n = Known(v)
			return err
		},
		write: func(from *T) string {
			n, words := at(from)
			if !n.Known {
				return arm(*words)
			}
			return countCell(*n)
		},
	}
}

func timeColumn[T any](name, field string, at func(*T) *Maybe[time.Time], parse func(field, text string, when clock) (time.Time, error)) column[T] {
	return column[T]{
		name: name, field: field,
		read: func(into *T, cell string, when clock) error {
			t, err := parse(name, cell, when)
			*at(into) = Known(t)
			return err
		},
		write: func(from *T) string {
			if m := at(from); m.Known {
				return m.Value.Format(time.RFC3339Nano)
			}
			return ""
		},
	}
}

// onDate wants the date too; inSession also takes a time of day.
func onDate(field, text string, when clock) (time.Time, error) {
	return ParseTime(field, text, when.zone)
}

func inSession(field, text string, when clock) (time.Time, error) {
	return parseTimeWithin(field, text, when.start, when.zone)
}

func wordColumn[T any, W ~string](name, field string, at func(*T) *W) column[T] {
	return column[T]{
		name: name, field: field,
		read: func(into *T, cell string, _ clock) error {
			*at(into) = W(disarm(cell))
			return nil
		},
		write: func(from *T) string { return arm(string(*at(from))) },
	}
}

func yesNoColumn[T any](name, field string, at func(*T) *bool) column[T] {
	return column[T]{
		name: name, field: field,
		read: func(into *T, cell string, _ clock) error {
			switch strings.ToLower(cell) {
			case "yes", "true":
				*at(into) = true
			case "no", "false":
				*at(into) = false
			default:
				return Invalidf(name, "give yes or no", "%q is neither", shorten(cell))
			}
			return nil
		},
		write: func(from *T) string {
			if *at(from) {
				return "yes"
			}
			return ""
		},
	}
}

// formulaSigns begin a cell that a spreadsheet would take for a formula. The
// apostrophe is among them so that arm can be undone.
const formulaSigns = "=+-@'"

// arm puts an apostrophe before words that a spreadsheet would run as a
// formula (common practice, no source); disarm takes it away.
func arm(words string) string {
	if words != "" && strings.ContainsRune(formulaSigns, rune(words[0])) {
		return "'" + words
	}
	return words
}

func disarm(cell string) string {
	if len(cell) > 1 && cell[0] == '\'' && strings.ContainsRune(formulaSigns, rune(cell[1])) {
		return cell[1:]
	}
	return cell
}
