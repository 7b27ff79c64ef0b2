package activity

import "fmt"

// BuildRow turns covariates into one row of the design, in the order of
// Columns: 1 for the intercept, then each (value - centre) / scale.
//
// A value that is not known takes its centre, so 0 in the row, and the name of
// its column is returned in missing, in column order. Unknown feed sets the
// feed terms to 0 and feed_unknown to 1. A known value outside the range that
// Covariates gives for it, or not a number, is an error that names it.
func BuildRow(c Covariates) (row []float64, missing []string, err error) {
	if err := c.check(); err != nil {
		return nil, nil, fmt.Errorf("covariates: %w", err)
	}
	row, missing = make([]float64, len(columnTable)), []string{}
	for j, col := range columnTable {
		value, known := col.read(c)
		if !known {
			missing = append(missing, col.Name)
			continue
		}
		row[j] = (value - col.Centre) / col.Scale
	}
	return row, missing, nil
}
