package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"

	"osier/model"
)

// Sixteen ounces of 28.349523125 g make a pound (International Yard and Pound
// Agreement, 1959: 0.45359237 kg).
const (
	gramsPerOunce  = 28.349523125
	ouncesPerPound = 16
)

func poundsAndOunces(g model.Grams) (lb, oz int) {
	all := int(math.Round(float64(g) / gramsPerOunce))
	return all / ouncesPerPound, all % ouncesPerPound
}

// sentRecords are the records as they were sent in.
type sentRecords struct {
	sessions      []model.Session
	decimalPounds map[string]bool // sessions whose weight is written as a decimal pound
}

// csv holds every record but the full logs.
func (r sentRecords) csv() ([]byte, error) {
	var table bytes.Buffer
	if err := model.WriteSessionsCSV(&table, r.only(func(s model.Style) bool { return s != model.FullLog })); err != nil {
		return nil, fmt.Errorf("write the invented records: %w", err)
	}
	rows, err := csv.NewReader(&table).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("write the invented records in pounds: %w", err)
	}
	r.writeInPounds(rows)
	var out bytes.Buffer
	if err := csv.NewWriter(&out).WriteAll(rows); err != nil {
		return nil, fmt.Errorf("write the invented records: %w", err)
	}
	return out.Bytes(), nil
}

// json holds the full logs.
func (r sentRecords) json() ([]byte, error) {
	logs := r.only(func(s model.Style) bool { return s == model.FullLog })
	body, err := json.Marshal(map[string]any{"sessions": logs})
	if err != nil {
		return nil, fmt.Errorf("write the invented logs: %w", err)
	}
	return append(body, '\n'), nil
}

func (r sentRecords) only(fit func(model.Style) bool) []model.Session {
	return slices.DeleteFunc(slices.Clone(r.sessions), func(s model.Session) bool { return !fit(s.Style) })
}

// writeInPounds rewrites the weights of those who weigh in pounds and ounces,
// which the writer of records gives in kilograms.
func (r sentRecords) writeInPounds(rows [][]string) {
	column := func(name string) int { return slices.Index(rows[0], name) }
	id, angler, kg, lb, oz := column("id"), column("angler"), column("weight_kg"), column("weight_lb"), column("weight_oz")
	inPounds := map[string]bool{}
	for _, a := range demoAnglers {
		inPounds[a.handle] = a.pounds
	}
	weights := map[string]model.Grams{}
	for _, s := range r.sessions {
		weights[s.ID] = s.Weight.Value.G
	}
	for _, row := range rows[1:] {
		if !inPounds[row[angler]] || row[kg] == "" {
			continue
		}
		pounds, ounces := poundsAndOunces(weights[row[id]])
		row[kg], row[lb], row[oz] = "", strconv.Itoa(pounds), strconv.Itoa(ounces)
		if r.decimalPounds[row[id]] {
			row[lb], row[oz] = fmt.Sprintf("%d.%d", pounds, ounces), ""
		}
	}
}
