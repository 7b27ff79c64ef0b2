package main

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"

	"osier/model/water"
)

// Sources of the formula checks.
const (
	heatBalanceSource = "Edinger, Brady and Geyer 1974 with Ryan and Harleman 1973, reference pack (water and fish, 1.2)"
	shortwaveSource   = "Kasten and Czeplak 1980"
	lagSource         = "step and sine response of a first-order lag, reference pack (water and fish, 1.5)"
)

// waterFormulas runs the rows of the tables in the folder checks that are there.
func waterFormulas(files fs.FS) (checks []verifyCheck, err error) {
	for _, f := range []struct {
		name   string
		inputs []string
		source string
		of     func(in []float64) (map[string]float64, error)
	}{
		{"heat_balance", []string{"tw_c", "ta_c", "rh_pct", "w2_ms", "cloud", "sw_wm2"}, heatBalanceSource, heatBalanceFigures},
		{"shortwave", []string{"sin_elev", "cloud"}, shortwaveSource, func(in []float64) (map[string]float64, error) {
			sunWm2, err := water.ShortwaveWm2(in[0], in[1])
			return map[string]float64{"sw_wm2": sunWm2}, err
		}},
		{"lag_response", []string{"depth_m", "K_wm2k"}, lagSource, lagFigures},
	} {
		table, err := readAirTable(files, "checks/"+f.name+".csv")
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		made, err := formulaChecks(table, f.name, f.inputs, f.source, f.of)
		if err != nil {
			return nil, err
		}
		checks = append(checks, made...)
	}
	return checks, nil
}

// formulaChecks compares each printed figure that the formula gives.
func formulaChecks(t airTable, name string, inputs []string, source string, of func([]float64) (map[string]float64, error)) (checks []verifyCheck, err error) {
	cell, err := t.columns(inputs...)
	if err != nil {
		return nil, err
	}
	for _, row := range t.rows {
		in := make([]float64, len(inputs))
		for i, input := range inputs {
			if in[i], err = t.number(row.line, input, cell(row, input)); err != nil {
				return nil, err
			}
		}
		figures, err := of(in)
		if err != nil {
			return nil, t.errorf(row.line, "%v", err)
		}
		for i, column := range t.header {
			got, given := figures[column]
			if !given || row.cells[i] == "" || slices.Contains(inputs, column) {
				continue
			}
			want, err := t.number(row.line, column, row.cells[i])
			if err != nil {
				return nil, err
			}
			at := fmt.Sprintf("%s line %d, %s", name, row.line, column)
			checks = append(checks, numberCheck(at, got, want, printedTolerance(row.cells[i], want), source))
		}
	}
	return checks, nil
}

// printedTolerance is the larger of half of the last printed digit, with a
// hundredth to spare for the rounding of numbers, and a ten-thousandth of the
// figure.
func printedTolerance(text string, want float64) float64 {
	_, decimals, _ := strings.Cut(text, ".")
	return math.Max(0.505*math.Pow10(-len(decimals)), 1e-4*math.Abs(want))
}

func heatBalanceFigures(in []float64) (map[string]float64, error) {
	f := water.Forcing{AirC: in[1], RHPct: in[2], Wind2mMps: in[3], CloudFraction: in[4], ShortwaveWm2: in[5]}
	b, errBalance := water.Balance(in[0], f)
	equilibriumC, errEquilibrium := water.EquilibriumC(f)
	return map[string]float64{
		"ea_hpa": b.AirVapourHPa, "es_tw_hpa": b.WaterVapourHPa, "sw_abs": b.SunWm2, "lw_abs": b.SkyWm2, "lw_back": b.BackWm2,
		"f_wm2hpa": b.ExchangeWm2HPa, "evap": b.EvaporationWm2, "cond": b.ConductionWm2, "net": b.NetWm2, "K": b.CoefficientWm2K,
		"te_c": equilibriumC,
	}, errors.Join(errBalance, errEquilibrium)
}

func lagFigures(in []float64) (map[string]float64, error) {
	lag, err := water.LagResponse(in[0], in[1])
	if err != nil {
		return nil, err
	}
	const day, week, year = 1.0, 7.0, 365.25
	figures := map[string]float64{
		"tau_days": lag.TauDays, "step_frac_1d": lag.Step(1), "step_frac_3d": lag.Step(3), "step_frac_7d": lag.Step(7),
	}
	figures["amp_daily"], figures["lag_daily_h"] = lag.Sine(day)
	figures["amp_weekly"], figures["lag_weekly_h"] = lag.Sine(week)
	amplitude, lagH := lag.Sine(year)
	figures["amp_annual"], figures["lag_annual_d"] = amplitude, lagH/24
	return figures, nil
}
