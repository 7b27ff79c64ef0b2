package main

import (
	"errors"
	"io/fs"
	"math"
	"path"
	"strings"
)

// checksFolder is where a folder of lake records keeps its check files.
const checksFolder = "checks"

// readCheckTable reads a check file that lies in the folder itself or in its
// folder of checks.
func readCheckTable(files fs.FS, file string) (airTable, error) {
	t, err := readAirTable(files, file)
	if errors.Is(err, fs.ErrNotExist) {
		return readAirTable(files, path.Join(checksFolder, file))
	}
	return t, err
}

// halfLastDigit is the rounding error of a printed decimal number: half of its
// last digit.
func halfLastDigit(printed string) float64 {
	_, decimals, _ := strings.Cut(printed, ".")
	return 0.5 * math.Pow10(-len(decimals))
}
