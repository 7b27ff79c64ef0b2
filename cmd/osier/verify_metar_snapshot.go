package main

import (
	"fmt"
	"math"
	"strings"

	"osier/jobs/feed/metar"
	"osier/model"
	"osier/model/air"
)

const snapshotSource = "decode of the US Aviation Weather Center in the snapshot files"

// Of the snapshots' values this share must be reproduced.
const wantEqualFraction = 0.9995

// metarDifference is a value of a snapshot that the decoder does not give.
type metarDifference struct {
	File    string               `json:"file"`
	Row     int                  `json:"row"` // the first below the header is 1
	Station string               `json:"station"`
	What    string               `json:"what"`
	Ours    model.Maybe[float64] `json:"ours"`
	Theirs  float64              `json:"theirs"`
	Raw     string               `json:"raw"`
	Note    string               `json:"note,omitempty"` // why, where that is known
}

// snapshotValues are the columns compared, each in the unit of the snapshot.
var snapshotValues = []struct {
	what, column string
	tolerance    float64
	ours         func(metar.Report) model.Maybe[float64]
}{
	{"temperature", "temp_c", 0.05, func(r metar.Report) model.Maybe[float64] { return figure(r.AirC) }},
	{"dew", "dewpoint_c", 0.05, func(r metar.Report) model.Maybe[float64] { return figure(r.DewC) }},
	{"wind", "wind_speed_kt", 0, func(r metar.Report) model.Maybe[float64] { return wholeKnots(r.WindMps) }},
	{"gust", "wind_gust_kt", 0, func(r metar.Report) model.Maybe[float64] { return wholeKnots(r.GustMps) }},
	{"altimeter", "altim_in_hg", 0.005, func(r metar.Report) model.Maybe[float64] { return inHg(r.QNHHPa) }},
	{"sea_level", "sea_level_pressure_mb", 0.05, func(r metar.Report) model.Maybe[float64] { return figure(r.SeaLevelHPa) }},
}

func wholeKnots(m model.Maybe[model.MetresPerSecond]) model.Maybe[float64] {
	return model.Maybe[float64]{Value: math.Round(float64(m.Value) / air.MpsPerKnot), Known: m.Known}
}

func inHg(m model.Maybe[model.Hectopascals]) model.Maybe[float64] {
	return model.Maybe[float64]{Value: float64(m.Value) / air.HPaPerInHg, Known: m.Known}
}

// compareSnapshot counts the values of one snapshot that the decoder gives
// too, and lists the others. A value that the snapshot does not have is not
// counted.
func (s *metarSummary) compareSnapshot(name string, text []byte) ([]verifyCheck, error) {
	columns := []string{"raw_text", "station_id"}
	for _, v := range snapshotValues {
		columns = append(columns, v.column)
	}
	table, err := readMetarTable(text, columns...)
	if err != nil {
		return nil, err
	}
	for row := range table.rows {
		if err := s.compareRow(name, table, row); err != nil {
			return nil, fmt.Errorf("row %d: %w", row+1, err)
		}
	}
	s.Rows += len(table.rows)
	return nil, nil
}

func (s *metarSummary) compareRow(name string, table metarTable, row int) error {
	raw := table.text(row, "raw_text")
	// A refused report is a report without values: each that the centre has
	// will be listed.
	report, _ := metar.Decode(raw)
	for _, v := range snapshotValues {
		digits := table.text(row, v.column)
		if digits == "" {
			continue
		}
		theirs, err := finite(digits, v.column)
		if err != nil {
			return err
		}
		s.Values++
		ours := v.ours(report)
		if ours.Known && math.Abs(ours.Value-theirs) <= v.tolerance+1e-9 {
			continue
		}
		s.Differences = append(s.Differences, metarDifference{
			File: name, Row: row + 1, Station: table.text(row, "station_id"), What: v.what,
			Ours: ours, Theirs: theirs, Raw: raw, Note: differenceNote(v.what, raw, ours, theirs, report),
		})
	}
	return nil
}

// equalCheck closes the comparison.
func (s *metarSummary) equalCheck() verifyCheck {
	fraction := 1 - float64(len(s.Differences))/float64(s.Values)
	s.EqualFraction = model.Known(fraction)
	check := numberCheck("share of the snapshots' values reproduced", fraction, 1, 1-wantEqualFraction, snapshotSource)
	check.OK = fraction >= wantEqualFraction
	return check
}

// differenceNote explains the kinds of difference that are understood.
func differenceNote(what, raw string, ours model.Maybe[float64], theirs float64, report metar.Report) string {
	temperature := what == "temperature" || what == "dew"
	switch {
	case temperature && ours.Known && theirs == 0 && hasGroup(raw, isShortRunwayGroup):
		return "the centre took a runway group for the temperature"
	case temperature && !ours.Known && hasGroup(raw, isCloudStuckToTemperature):
		return "the temperature is stuck to the cloud; such a group is not read"
	case (what == "wind" || what == "gust") && ours.Known && strings.Contains(raw, "MPS ") && math.Abs(ours.Value-theirs) <= 1:
		return "metres per second: the centre's whole knots come from a coarser factor"
	case (what == "wind" || what == "gust") && !ours.Known && strings.Contains(raw, "//KT"):
		return "the centre fills in a part that the station left as slashes"
	case what == "altimeter" && !ours.Known && hasGroup(raw, isPressureWithPoint):
		return "a pressure with a decimal point; exactly four digits are demanded"
	case what == "sea_level" && ours.Known && report.Suspect && math.Abs(math.Abs(ours.Value-theirs)-100) < 0.1:
		return "the altimeter setting is improbable, so the leading digits of the sea-level pressure are open"
	}
	return ""
}

func hasGroup(raw string, is func(group string) bool) bool {
	for group := range strings.FieldsSeq(raw) {
		if is(group) {
			return true
		}
	}
	return false
}

// isShortRunwayGroup knows R05/0500/, a visual range without its last part.
func isShortRunwayGroup(group string) bool {
	return len(group) > 4 && group[0] == 'R' && group[1] <= '9' && strings.HasSuffix(group, "/")
}

// isCloudStuckToTemperature knows FEW03027/20 and NSC17/05.
func isCloudStuckToTemperature(group string) bool {
	amount := group[:min(3, len(group))]
	stroke := strings.IndexByte(group, '/')
	return strings.Contains("FEW SCT BKN OVC NSC SKC CLR", amount) && len(amount) == 3 &&
		stroke > 4 && stroke == len(group)-3
}

// isPressureWithPoint knows Q1020.5.
func isPressureWithPoint(group string) bool {
	return len(group) > 6 && group[0] == 'Q' && group[5] == '.'
}
