package metar_test

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"osier/jobs/feed/metar"
)

// weatherDir lies beside the project where the shared data are.
const weatherDir = "../../../../shared/data/weather/metar"

// readRows gives the rows of a CSV file as maps by the first column of a name.
// Lines above the header are skipped.
func readRows(t testing.TB, name, firstColumn string) []map[string]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(weatherDir, name))
	if err != nil {
		t.Skip("the shared weather data are not here: " + err.Error())
	}
	start := bytes.Index(text, []byte(firstColumn+","))
	if start < 0 {
		t.Fatalf("%s has no column %s", name, firstColumn)
	}
	reader := csv.NewReader(bytes.NewReader(text[start:]))
	reader.LazyQuotes, reader.FieldsPerRecord = true, -1
	records, err := reader.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, column := range records[0] {
			if _, taken := row[column]; !taken && i < len(record) {
				row[column] = record[i]
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// Every asserted column of the reports that the weather reference decoded by
// hand: empty must be missing, ?x is x or missing, * is not asserted.
func TestReportsDecodedByHand(t *testing.T) {
	rows := readRows(t, "metar_decoded.csv", "id")
	if len(rows) != 61 {
		t.Errorf("%d rows, want 61", len(rows))
	}
	for _, row := range rows {
		r, err := metar.Decode(row["raw"])
		if row["time_group"] == "" {
			if err == nil {
				t.Errorf("%s: taken, want refused", row["id"])
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", row["id"], err)
			continue
		}
		s := summary(r)
		for _, column := range []struct {
			name, key string
			tolerance float64
		}{
			{"temp_c", "air", 0.05},
			{"dew_c", "dew", 0.05},
			{"wind_dir_deg", "from", 0},
			{"wind_ms", "wind", 0.01},
			{"gust_ms", "gust", 0.01},
			{"qnh_hpa", "qnh", 0.1},
			{"slp_hpa", "slp", 0.1},
		} {
			if want := row[column.name]; !asserts(want, s[column.key], column.tolerance) {
				t.Errorf("%s %s is %q, want %q\n%s", row["id"], column.name, s[column.key], want, row["raw"])
			}
		}
		weather, recent := strings.Join(r.Weather, " "), strings.Join(r.Recent, " ")
		for name, got := range map[string]string{"station": r.Station, "wx_now": weather, "wx_recent": recent, "thunder": s["said"]} {
			want, maybe := strings.CutPrefix(row[name], "?")
			if got != want && (!maybe || got != "") {
				t.Errorf("%s %s is %q, want %q\n%s", row["id"], name, got, want, row["raw"])
			}
		}
		checkTime(t, row, r)
	}
}

// asserts compares texts of numbers; two decimals were written where three
// were measured, hence the grain of 1e-9.
func asserts(want, got string, tolerance float64) bool {
	want, maybe := strings.CutPrefix(want, "?")
	switch {
	case want == "*", maybe && got == "":
		return true
	case want == "" || got == "":
		return want == got
	}
	w, err1 := strconv.ParseFloat(want, 64)
	g, err2 := strconv.ParseFloat(got, 64)
	return err1 == nil && err2 == nil && math.Abs(w-g) <= tolerance+1e-9
}

func checkTime(t *testing.T, row map[string]string, r metar.Report) {
	t.Helper()
	want, err := time.Parse(time.RFC3339, row["ref_date_utc"])
	if err != nil {
		t.Fatal(err)
	}
	got, err := metar.ResolveTime(r.Day, r.Hour, r.Minute, want)
	if err != nil || !got.Equal(want) {
		t.Errorf("%s: got %v, %v; want %v", row["id"], got, err, want)
	}
}

// benchReports stand in where the snapshot is not.
func benchReports(b *testing.B) []string {
	b.Helper()
	name := "awc_cache_2022-10-23T00Z.csv"
	var reports []string
	if _, err := os.Stat(filepath.Join(weatherDir, name)); err != nil {
		for _, row := range wholeReports {
			reports = append(reports, row.raw)
		}
		return reports
	}
	for _, row := range readRows(b, name, "raw_text") {
		reports = append(reports, row["raw_text"])
	}
	return reports
}

func BenchmarkDecode(b *testing.B) {
	reports := benchReports(b)
	size := 0
	for _, raw := range reports {
		size += len(raw)
	}
	b.ReportAllocs()
	b.SetBytes(int64(size / len(reports)))
	n := 0
	for b.Loop() {
		_, _ = metar.Decode(reports[n%len(reports)])
		n++
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "reports/s")
}

// A report costs its list of weather groups and its list of recent ones.
func TestDecodeAllocatesLittle(t *testing.T) {
	for _, row := range wholeReports {
		if n := testing.AllocsPerRun(10, func() { _, _ = metar.Decode(row.raw) }); n > 3 {
			t.Errorf("%s: %v allocations, want at most 3", row.source, n)
		}
	}
}
