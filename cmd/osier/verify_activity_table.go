package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"strconv"

	"osier/model/activity"
)

// referenceTable is a CSV file by column.
type referenceTable struct {
	name  string
	order []string
	text  map[string][]string
	rows  int
}

func readTable(files fs.FS, name string) (referenceTable, error) {
	file, err := files.Open(name)
	if err != nil {
		return referenceTable{}, fmt.Errorf("reading %s: %w", name, err)
	}
	defer file.Close()
	reader := csv.NewReader(file)
	header, err := reader.Read()
	if err != nil {
		return referenceTable{}, fmt.Errorf("reading the header of %s: %w", name, err)
	}
	t := referenceTable{name: name, order: header, text: map[string][]string{}}
	for _, column := range header {
		if _, twice := t.text[column]; twice {
			return referenceTable{}, fmt.Errorf("%s has two columns %s", name, column)
		}
		t.text[column] = nil
	}
	for {
		record, err := reader.Read()
		if errors.Is(err, io.EOF) {
			return t, nil
		}
		if err != nil {
			return referenceTable{}, fmt.Errorf("reading %s: %w", name, err)
		}
		for j, column := range header {
			t.text[column] = append(t.text[column], record[j])
		}
		t.rows++
	}
}

// numbers is a column as finite numbers.
func (t referenceTable) numbers(column string) ([]float64, error) {
	values, ok := t.text[column]
	if !ok {
		return nil, fmt.Errorf("%s has no column %s", t.name, column)
	}
	out := make([]float64, len(values))
	for i, text := range values {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("%s row %d: %s is %q; give a number", t.name, i+1, column, text)
		}
		out[i] = v
	}
	return out, nil
}

// counts is a column as whole numbers.
func (t referenceTable) counts(column string) ([]int, error) {
	values, err := t.numbers(column)
	if err != nil {
		return nil, err
	}
	out := make([]int, len(values))
	for i, v := range values {
		if out[i] = int(v); float64(out[i]) != v {
			return nil, fmt.Errorf("%s row %d: %s is %g; give a whole number", t.name, i+1, column, v)
		}
	}
	return out, nil
}

// term is one column of a design: its name and its value in each row.
type term struct {
	name   string
	values []float64
}

// ones is the intercept.
func (t referenceTable) ones() term {
	out := term{"(Intercept)", make([]float64, t.rows)}
	for i := range out.values {
		out.values[i] = 1
	}
	return out
}

// dummies are the treatment contrasts of a column: one term for each level but
// the first.
func (t referenceTable) dummies(column string, levels []string) []term {
	var out []term
	for _, level := range levels[min(1, len(levels)):] {
		of := term{column + level, make([]float64, t.rows)}
		for i, text := range t.text[column] {
			if text == level {
				of.values[i] = 1
			}
		}
		out = append(out, of)
	}
	return out
}

// records makes the records of a fit; hours is nil for an exposure of 1.
func (t referenceTable) records(terms []term, count string, hours []float64, factors ...string) (activity.CountRecords, error) {
	counts, err := t.counts(count)
	if err != nil {
		return activity.CountRecords{}, err
	}
	if hours == nil {
		hours = t.ones().values
	}
	out := activity.CountRecords{Counts: counts, Hours: hours, X: make([]float64, t.rows*len(terms))}
	for j, of := range terms {
		out.Columns = append(out.Columns, of.name)
		for i, v := range of.values {
			out.X[i*len(terms)+j] = v
		}
	}
	for _, name := range factors {
		groups, ok := t.text[name]
		if !ok {
			return activity.CountRecords{}, fmt.Errorf("%s has no column %s", t.name, name)
		}
		out.Factors = append(out.Factors, activity.NewCountFactor(name, groups))
	}
	return out, nil
}
