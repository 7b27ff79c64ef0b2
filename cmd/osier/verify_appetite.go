package main

import (
	"fmt"
	"io/fs"

	"osier/model/fish"
)

const appetiteFile = "appetite_ft.csv"

// appetiteColumn says which species of the table a column of the check file is
// for. A column may be printed as a ratio to the value at some temperature.
type appetiteColumn struct {
	species    string
	relativeTo float64 // in C; 0 where the column holds the value itself
}

var appetiteColumns = map[string]appetiteColumn{
	"carp":            {species: "common carp"},
	"perch_1g":        {species: "perch, 1 g"},
	"perch_100g":      {species: "perch, 100 g"},
	"bream_prov":      {species: "bream"},
	"roach_prov":      {species: "roach, capped"},
	"crucian_prov":    {species: "crucian carp"},
	"zander_adult":    {species: "zander"},
	"roach_exp_rel20": {species: "roach", relativeTo: 20},
	"pikeminnow":      {species: "northern pikeminnow"},
}

// appetiteSummary says how much was compared.
type appetiteSummary struct {
	Rows           int            `json:"rows"`
	ChecksByColumn map[string]int `json:"checks_by_column"`
}

// verifyAppetite holds the temperature functions of model/fish against each
// cell of the check file, to half of the last digit printed there. An empty
// cell is not printed.
func verifyAppetite(files fs.FS) (checks []verifyCheck, summary any, err error) {
	table, err := readCheckTable(files, appetiteFile)
	if err != nil {
		return nil, nil, err
	}
	if table.header[0] != "temp_c" {
		return nil, nil, table.errorf(table.headerLine, "the first column is %q; it should be temp_c", table.header[0])
	}
	found := appetiteSummary{Rows: len(table.rows), ChecksByColumn: map[string]int{}}
	for i, name := range table.header[1:] {
		column, known := appetiteColumns[name]
		if !known {
			return nil, nil, table.errorf(table.headerLine, "no species is known for column %q", name)
		}
		made, err := column.checks(table, i+1)
		if err != nil {
			return nil, nil, err
		}
		found.ChecksByColumn[name] = len(made)
		checks = append(checks, made...)
	}
	return checks, found, nil
}

// checks compares each cell of the column at a position.
func (c appetiteColumn) checks(t airTable, position int) ([]verifyCheck, error) {
	species, ok := fish.Find(c.species)
	if !ok {
		return nil, fmt.Errorf("there is no species %q in the table of parameters", c.species)
	}
	unit := 1.0
	if c.relativeTo != 0 {
		var err error
		if unit, err = species.Curve.At(c.relativeTo); err != nil {
			return nil, fmt.Errorf("%s: %w", species.Name, err)
		}
	}
	var checks []verifyCheck
	for _, row := range t.rows {
		printed := row.cells[position]
		if printed == "" {
			continue
		}
		waterC, err := t.number(row.line, t.header[0], row.cells[0])
		if err != nil {
			return nil, err
		}
		want, err := t.number(row.line, "column "+t.header[position], printed)
		if err != nil {
			return nil, err
		}
		got, err := species.Curve.At(waterC)
		name := fmt.Sprintf("appetite of %s (%s) at %v C", species.Name, species.Status, waterC)
		checks = append(checks, valueCheck(name, got/unit, err == nil, want, halfLastDigit(printed), species.Source))
	}
	return checks, nil
}
