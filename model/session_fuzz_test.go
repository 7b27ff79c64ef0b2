package model_test

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"os"
	"testing"

	"osier/model"
)

var fuzzDefaults = model.Defaults{Water: "quillmarsh-pit", Angler: "RJ", Now: testNow}

func seedWith(f *testing.F, files ...string) {
	f.Helper()
	for _, name := range files {
		data, err := os.ReadFile("testdata/sessions/" + name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
}

// FuzzReadSessionsCSV: never a panic; every session that gets through is valid;
// every row with a cell that is not empty has one report.
func FuzzReadSessionsCSV(f *testing.F) {
	seedWith(f, "summary.csv", "hourly.csv", "full_log.csv")
	f.Add([]byte("\ufeffgroup,style,start,end,blank\nbream,summary,2025-06-14T07:00:00Z,09:00,yes\n\"broken"))
	defaults := fuzzDefaults
	defaults.Zone = london(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		parsed, reports, err := model.ReadSessionsCSV(bytes.NewReader(data), defaults)
		if err != nil {
			if parsed != nil || reports != nil {
				t.Fatal("an error about the file comes alone")
			}
			return
		}
		checkReports(t, parsed, reports)
		if rows := rowsIn(data); len(reports) < rows {
			t.Fatalf("%d rows in the file, %d reported", rows, len(reports))
		}
	})
}

// rowsIn counts the sound rows below the header that say anything.
func rowsIn(data []byte) int {
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff"))))
	r.FieldsPerRecord = -1
	n := -1
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return n
		}
		if err == nil && len(bytes.TrimSpace([]byte(joined(cells)))) > 0 {
			n++
		}
	}
}

func joined(cells []string) string {
	all := ""
	for _, c := range cells {
		all += c
	}
	return all
}

// FuzzReadSessionsJSON: the same of JSON.
func FuzzReadSessionsJSON(f *testing.F) {
	seedWith(f, "sessions.json")
	f.Add([]byte(`{"sessions": [{"blank": true, "weight": {"lb": 4, "oz": 12}, "water_temp": {"c": 12}}, {"rods": 0}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		parsed, reports, err := model.ReadSessionsJSON(bytes.NewReader(data), fuzzDefaults)
		if err != nil {
			if parsed != nil || reports != nil {
				t.Fatal("an error about the file comes alone")
			}
			return
		}
		checkReports(t, parsed, reports)
		if len(reports) == 0 {
			t.Fatal("a file without sessions is an error")
		}
	})
}
