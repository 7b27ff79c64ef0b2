package activity_test

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"osier/model/activity"
)

const sharedStatistics = "../../../shared/data/statistics"

// Smallest number of right digits over the coefficients. The figures are one
// below what was measured for centred and scaled columns solved by QR.
var certifiedDigits = map[string]float64{
	"norris": 12.3, "longley": 12.3,
	"wampler1": 8.2, "wampler2": 12.1, "wampler3": 8.1, "wampler4": 7.5, "wampler5": 5.4,
}

// correctDigits is -log10 of the worst relative error.
func correctDigits(got, want []float64) float64 {
	worst := 1e-16
	for i, w := range want {
		worst = max(worst, math.Abs(got[i]-w)/math.Abs(w))
	}
	return -math.Log10(worst)
}

// NIST StRD, linear regression, Norris (lower difficulty) and Longley (higher
// difficulty): data and certified values.
var (
	norris = [][]float64{
		{0.1, 0.2},
		{338.8, 337.4},
		{118.1, 118.2},
		{888.0, 884.6},
		{9.2, 10.1},
		{228.1, 226.5},
		{668.5, 666.3},
		{998.5, 996.3},
		{449.1, 448.6},
		{778.9, 777.0},
		{559.2, 558.2},
		{0.3, 0.4},
		{0.1, 0.6},
		{778.1, 775.5},
		{668.8, 666.9},
		{339.3, 338.0},
		{448.9, 447.5},
		{10.8, 11.6},
		{557.7, 556.0},
		{228.3, 228.1},
		{998.0, 995.8},
		{888.8, 887.6},
		{119.6, 120.2},
		{0.3, 0.3},
		{0.6, 0.3},
		{557.6, 556.8},
		{339.3, 339.1},
		{888.0, 887.2},
		{998.5, 999.0},
		{778.9, 779.0},
		{10.2, 11.1},
		{117.6, 118.3},
		{228.9, 229.2},
		{668.4, 669.1},
		{449.2, 448.9},
		{0.2, 0.5},
	}
	longley = [][]float64{
		{60323, 83.0, 234289, 2356, 1590, 107608, 1947},
		{61122, 88.5, 259426, 2325, 1456, 108632, 1948},
		{60171, 88.2, 258054, 3682, 1616, 109773, 1949},
		{61187, 89.5, 284599, 3351, 1650, 110929, 1950},
		{63221, 96.2, 328975, 2099, 3099, 112075, 1951},
		{63639, 98.1, 346999, 1932, 3594, 113270, 1952},
		{64989, 99.0, 365385, 1870, 3547, 115094, 1953},
		{63761, 100.0, 363112, 3578, 3350, 116219, 1954},
		{66019, 101.2, 397469, 2904, 3048, 117388, 1955},
		{67857, 104.6, 419180, 2822, 2857, 118734, 1956},
		{68169, 108.4, 442769, 2936, 2798, 120445, 1957},
		{66513, 110.8, 444546, 4681, 2637, 121950, 1958},
		{68655, 112.6, 482704, 3813, 2552, 123366, 1959},
		{69564, 114.2, 502601, 3931, 2514, 125368, 1960},
		{69331, 115.7, 518173, 4806, 2572, 127852, 1961},
		{70551, 116.9, 554894, 4007, 2827, 130081, 1962},
	}
	certified = []struct {
		source           string
		data             [][]float64
		coefficients, se []float64
		residualSD       float64
		digits           float64
	}{
		{
			"NIST StRD Norris", norris,
			[]float64{-0.262323073774029, 1.00211681802045},
			[]float64{0.232818234301152, 0.000429796848199937},
			0.884796396144373, certifiedDigits["norris"],
		},
		{
			"NIST StRD Longley", longley,
			[]float64{
				-3482258.63459582, 15.0618722713733, -0.035819179292591, -2.02022980381683,
				-1.03322686717359, -0.0511041056535807, 1829.15146461355,
			},
			[]float64{
				890420.383607373, 84.9149257747669, 0.0334910077722432, 0.488399681651699,
				0.214274163161675, 0.22607320006937, 455.478499142212,
			},
			304.854073561965, certifiedDigits["longley"],
		},
	}
)

// split takes the response out of the first column.
func split(rows [][]float64) (x [][]float64, y []float64) {
	for _, r := range rows {
		y = append(y, r[0])
		x = append(x, r[1:])
	}
	return x, y
}

func numbered(p int) []string {
	names := make([]string, p)
	for j := range names {
		names[j] = "x" + strconv.Itoa(j+1)
	}
	return names
}

func TestLeastSquaresReachesCertifiedValues(t *testing.T) {
	for _, c := range certified {
		x, y := split(c.data)
		s, err := activity.LeastSquares(x, y, numbered(len(x[0])))
		if err != nil {
			t.Fatalf("%s: %v", c.source, err)
		}
		se := make([]float64, len(c.se))
		for i := range se {
			se[i] = math.Sqrt(s.Covariance[i][i])
		}
		library, qr, err := activity.CoefficientsBothWays(x, y, true)
		if err != nil {
			t.Fatalf("%s: %v", c.source, err)
		}
		for _, figure := range []struct {
			name      string
			got, want []float64
		}{
			{"coefficients", s.Coefficients, c.coefficients},
			{"coefficients by the library", library, c.coefficients},
			{"coefficients by QR", qr, c.coefficients},
			{"standard errors", se, c.se},
			{"residual sd", []float64{s.ResidualSD}, []float64{c.residualSD}},
		} {
			digits := correctDigits(figure.got, figure.want)
			t.Logf("%s: %s right to %.1f digits", c.source, figure.name, digits)
			if digits < c.digits {
				t.Errorf("%s: %s right to %.1f digits, want %.1f", c.source, figure.name, digits, c.digits)
			}
		}
	}
}

func TestLeastSquaresOnAllCertifiedSets(t *testing.T) {
	folder := filepath.Join(sharedStatistics, "strd")
	text, err := os.ReadFile(filepath.Join(folder, "certified.json"))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("the shared NIST sets are not here; Norris and Longley are checked from this file's own copy")
	}
	var sets map[string]struct {
		Certified struct {
			Coef []float64 `json:"coef"`
		} `json:"certified"`
	}
	if err := json.Unmarshal(text, &sets); err != nil {
		t.Fatal(err)
	}
	for name, digits := range certifiedDigits {
		want := sets[name].Certified.Coef
		if len(want) == 0 {
			t.Fatalf("%s has no certified coefficients", name)
		}
		x, y := readSet(t, filepath.Join(folder, name+".csv"), len(want)-1)
		s, err := activity.LeastSquares(x, y, numbered(len(x[0])))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		_, qr, err := activity.CoefficientsBothWays(x, y, true)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		library, byQR := correctDigits(s.Coefficients, want), correctDigits(qr, want)
		t.Logf("%s: library %.1f digits, QR %.1f", name, library, byQR)
		if library < digits || byQR < digits {
			t.Errorf("%s: library %.1f digits, QR %.1f; want %.1f", name, library, byQR, digits)
		}
	}
}

// readSet reads y and the columns; a single x with more coefficients is a polynomial.
func readSet(t *testing.T, path string, columns int) (x [][]float64, y []float64) {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, record := range records[1:] {
		numbers := make([]float64, len(record))
		for i, field := range record {
			if numbers[i], err = strconv.ParseFloat(field, 64); err != nil {
				t.Fatal(err)
			}
		}
		row := numbers[1:]
		for power := len(row) + 1; power <= columns; power++ {
			row = append(row, math.Pow(row[0], float64(power)))
		}
		y, x = append(y, numbers[0]), append(x, row)
	}
	return x, y
}
