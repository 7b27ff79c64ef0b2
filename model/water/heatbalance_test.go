package water_test

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"math"
	"os"
	"strconv"
	"testing"

	"osier/model/water"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %.6g within %g", what, got, want, tolerance)
	}
}

// shared reads a check file of the project's shared data, rows as numbers under
// the names of the columns.
func shared(t *testing.T, name string) []map[string]float64 {
	t.Helper()
	f, err := os.Open("../../../shared/data/water/checks/" + name)
	if errors.Is(err, fs.ErrNotExist) {
		t.Skipf("shared/data/water/checks/%s is not here; the printed figures are checked by the other tests", name)
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]float64
	for _, row := range rows[1:] {
		m := map[string]float64{}
		for i, text := range row {
			if m[rows[0][i]], err = strconv.ParseFloat(text, 64); err != nil {
				t.Fatal(err)
			}
		}
		out = append(out, m)
	}
	if len(out) == 0 {
		t.Fatalf("%s has no rows", name)
	}
	return out
}

// Bolton 1980 at the temperatures printed in the reference pack (section 1.1).
func TestSaturationVapour(t *testing.T) {
	for tempC, want := range map[float64]float64{0: 6.112, 10: 12.272, 20: 23.369, 30: 42.456} {
		got, slope, err := water.SaturationVapourHPa(tempC)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "saturation", got, want, 5.1e-4)
		above, _, _ := water.SaturationVapourHPa(tempC + 0.005)
		below, _, _ := water.SaturationVapourHPa(tempC - 0.005)
		near(t, "slope", slope, (above-below)/0.01, 1e-4)
	}
	if _, _, err := water.SaturationVapourHPa(-243.5); err == nil {
		t.Error("no error at the pole of the formula")
	}
}

// The balance row printed in the reference pack (section 1.5).
func TestBalanceOfThePrintedRow(t *testing.T) {
	f := water.Forcing{AirC: 18, RHPct: 70, Wind2mMps: 2, CloudFraction: 0.5, ShortwaveWm2: 200}
	b, err := water.Balance(20, f)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "absorbed sun", b.SunWm2, 186.0, 0.05)
	near(t, "absorbed sky", b.SkyWm2, 357.16, 0.006)
	near(t, "back radiation", b.BackWm2, 406.20, 0.006)
	near(t, "f", b.ExchangeWm2HPa, 10.27, 0.006)
	near(t, "evaporation", b.EvaporationWm2, 91.77, 0.006)
	near(t, "conduction", b.ConductionWm2, 12.74, 0.006)
	near(t, "net", b.NetWm2, 32.44, 0.006)
	near(t, "K", b.CoefficientWm2K, 26.79, 0.006)
	te, err := water.EquilibriumC(f)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "equilibrium", te, 20.99, 0.006)
}

// Calm, saturated, overcast and dark, with water as warm as the air: nothing
// flows (reference pack, section 1.5).
func TestNothingFlowsBetweenEquals(t *testing.T) {
	f := water.Forcing{AirC: 15, RHPct: 100, CloudFraction: 1}
	b, err := water.Balance(15, f)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "net", b.NetWm2, 0, 1e-9)
	te, err := water.EquilibriumC(f)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "equilibrium", te, 15, 1e-6)
}

// Every cell of the shared check file, to the five figures it prints.
func TestSharedHeatBalance(t *testing.T) {
	for _, row := range shared(t, "heat_balance.csv") {
		f := water.Forcing{AirC: row["ta_c"], RHPct: row["rh_pct"], Wind2mMps: row["w2_ms"], CloudFraction: row["cloud"], ShortwaveWm2: row["sw_wm2"]}
		b, err := water.Balance(row["tw_c"], f)
		if err != nil {
			t.Fatal(err)
		}
		te, err := water.EquilibriumC(f)
		if err != nil {
			t.Fatal(err)
		}
		for column, got := range map[string]float64{
			"ea_hpa": b.AirVapourHPa, "es_tw_hpa": b.WaterVapourHPa, "sw_abs": b.SunWm2, "lw_abs": b.SkyWm2,
			"lw_back": b.BackWm2, "f_wm2hpa": b.ExchangeWm2HPa, "evap": b.EvaporationWm2, "cond": b.ConductionWm2,
			"net": b.NetWm2, "K": b.CoefficientWm2K, "te_c": te,
		} {
			want, ok := row[column]
			if !ok {
				t.Fatalf("no column %q", column)
			}
			near(t, column, got, want, 5.1e-5*math.Abs(want)+1e-9)
		}
	}
}

// Weather within range yields finite terms, a K no smaller than the back
// radiation's share, and an equilibrium at which nothing flows.
func TestBalanceIsFiniteAndHasAnEquilibrium(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawForcing(t)
		waterC := rapid.Float64Range(0, 35).Draw(t, "water")
		b, err := water.Balance(waterC, f)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range []float64{b.NetWm2, b.CoefficientWm2K, b.ExchangeWm2HPa, b.SkyWm2} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%+v", b)
			}
		}
		if b.CoefficientWm2K < 4 || b.ExchangeWm2HPa < 0 {
			t.Fatalf("K %v, f %v", b.CoefficientWm2K, b.ExchangeWm2HPa)
		}
		te, err := water.EquilibriumC(f)
		if err != nil {
			t.Fatal(err)
		}
		at, err := water.Balance(te, f)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(at.NetWm2) > 1e-6 {
			t.Fatalf("net at the equilibrium %v C is %v", te, at.NetWm2)
		}
	})
}

func drawForcing(t *rapid.T) water.Forcing {
	return water.Forcing{
		AirC:          rapid.Float64Range(-30, 40).Draw(t, "air"),
		RHPct:         rapid.Float64Range(10, 100).Draw(t, "humidity"),
		Wind2mMps:     rapid.Float64Range(0, 15).Draw(t, "wind"),
		CloudFraction: rapid.Float64Range(0, 1).Draw(t, "cloud"),
		ShortwaveWm2:  rapid.Float64Range(0, 500).Draw(t, "sun"),
	}
}

func TestBalanceRefusesWhatIsNoWeather(t *testing.T) {
	good := water.Forcing{AirC: 10, RHPct: 80, Wind2mMps: 3, CloudFraction: 0.5, ShortwaveWm2: 100}
	for name, spoil := range map[string]func(*water.Forcing){
		"air":      func(f *water.Forcing) { f.AirC = math.NaN() },
		"humidity": func(f *water.Forcing) { f.RHPct = 111 },
		"wind":     func(f *water.Forcing) { f.Wind2mMps = -1 },
		"cloud":    func(f *water.Forcing) { f.CloudFraction = 8 },
		"sun":      func(f *water.Forcing) { f.ShortwaveWm2 = math.Inf(1) },
	} {
		f := good
		spoil(&f)
		if _, err := water.Balance(10, f); err == nil {
			t.Errorf("%s: Balance gave no error", name)
		}
		if _, err := water.EquilibriumC(f); err == nil {
			t.Errorf("%s: EquilibriumC gave no error", name)
		}
	}
	if _, err := water.Balance(math.NaN(), good); err == nil {
		t.Error("water of NaN: no error")
	}
	over := good
	over.RHPct = 104
	full := good
	full.RHPct = 100
	a, errA := water.Balance(10, over)
	b, errB := water.Balance(10, full)
	if errA != nil || errB != nil || a != b {
		t.Errorf("humidity of 104 %% is not read as 100 %%: %v, %v", errA, errB)
	}
}
