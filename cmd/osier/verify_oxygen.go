package main

import (
	"errors"
	"fmt"
	"io/fs"

	"osier/model/water"
)

const (
	oxygenFile   = "do_saturation.csv"
	oxygenSource = "Benson and Krause 1980, 1984 (USGS OWQ Technical Memorandum 2011.03)"

	// The printed pressures count 760 mmHg as one atmosphere. The usual 1.333224
	// is that, rounded; the rounding shows in the last digit of two rows.
	hPaPerMmHg = 1013.25 / 760
)

// oxygenSummary says how much was compared.
type oxygenSummary struct {
	Rows int `json:"rows"`
}

// verifyOxygen holds the oxygen saturation of fresh water against each row of
// the check file, to half of the last digit printed there.
func verifyOxygen(files fs.FS) (checks []verifyCheck, summary any, err error) {
	table, err := readCheckTable(files, oxygenFile)
	if err != nil {
		return nil, nil, err
	}
	cell, err := table.columns("temp_c", "pressure_mmhg", "do_sat_mgl")
	if err != nil {
		return nil, nil, err
	}
	for _, row := range table.rows {
		waterC, errWater := table.number(row.line, "temp_c", cell(row, "temp_c"))
		mmHg, errPressure := table.number(row.line, "pressure_mmhg", cell(row, "pressure_mmhg"))
		printed := cell(row, "do_sat_mgl")
		want, errWant := table.number(row.line, "do_sat_mgl", printed)
		if err := errors.Join(errWater, errPressure, errWant); err != nil {
			return nil, nil, err
		}
		got, known := water.OxygenSaturation(waterC, mmHg*hPaPerMmHg, 0)
		name := fmt.Sprintf("oxygen saturation at %v C and %v mmHg, mg/L", waterC, mmHg)
		checks = append(checks, valueCheck(name, got, known, want, halfLastDigit(printed), oxygenSource))
	}
	return checks, oxygenSummary{Rows: len(table.rows)}, nil
}
