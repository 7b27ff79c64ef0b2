package awc

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"osier/model"
)

// mostStations is the most rows that one answer holds (Data API page, 2026).
const mostStations = 400

// ReportsURL is the address of the newest reports of the stations named, 1 to
// 400 location indicators such as EGXX, as JSON. For more stations the cache
// file is the right thing to ask for.
func ReportsURL(stations []string) (string, error) {
	if len(stations) < 1 || len(stations) > mostStations {
		return "", model.Invalidf("stations", "name 1 to 400 stations, and take the cache file for more", "there are %d", len(stations))
	}
	for _, id := range stations {
		if !stationID.MatchString(id) {
			return "", model.Invalidf("stations", "give location indicators of four letters and digits", "%.20q is none", id)
		}
	}
	return "https://aviationweather.gov/api/data/metar?ids=" + strings.Join(stations, ",") + "&format=json", nil
}

// jsonRow is the part of a row of JSON that is read. The shape of 2023 writes
// null where that of 2025 and later leaves the key out; both are nil here.
type jsonRow struct {
	RawOb       string   `json:"rawOb"`
	ICAOID      string   `json:"icaoId"`
	Name        string   `json:"name"`
	Lat         *float64 `json:"lat"`
	Lon         *float64 `json:"lon"`
	Elev        *float64 `json:"elev"`
	ObsTime     *float64 `json:"obsTime"` // seconds since 1970
	ReportTime  string   `json:"reportTime"`
	ReceiptTime string   `json:"receiptTime"`
}

// ParseJSON reads an answer of the data API: the same rows as ParseCache, in
// the order of the answer. No reports, as an empty list or as no body at all
// (status 204), is an answer too: it gives no rows and no error.
//
// The numbers that the centre decoded are not read, since the raw report has
// them all and more exactly: the altimeter setting, for one, is converted with
// 33.8653 hPa to the inch. So a row without a raw report is left out, with a
// warning that names its station, as is one that cannot be placed or dated. No
// row is marked as a correction, for which the JSON has no word: the raw report
// says COR itself.
func ParseJSON(body []byte) ([]Row, []string, error) {
	texts, err := jsonRows(body)
	if err != nil {
		return nil, nil, err
	}
	var rows []Row
	var warnings []string
	for i, text := range texts {
		var in jsonRow
		err := json.Unmarshal(text, &in)
		var row Row
		if err == nil {
			row, err = in.row()
		}
		if err != nil {
			warnings = append(warnings, fmt.Sprintf("row %d, of %.20q, is left out: %v", i+1, in.ICAOID, err))
			continue
		}
		rows = append(rows, row)
	}
	return rows, warnings, nil
}

// jsonRows takes the list apart and tells the usual wrong answers apart.
func jsonRows(body []byte) ([]json.RawMessage, error) {
	const right = "an answer of the data API is a JSON list of reports"
	text := bytes.TrimSpace(body)
	switch {
	case len(text) == 0:
		return nil, nil
	case text[0] == '<':
		return nil, model.Invalidf("METAR answer", right, "it is a web page, not JSON")
	}
	var rows []json.RawMessage
	if err := json.Unmarshal(text, &rows); err != nil {
		wrong := "it cannot be read"
		if syntax := (*json.SyntaxError)(nil); errors.As(err, &syntax) && syntax.Offset >= int64(len(text)) {
			wrong = "it breaks off before its end"
		} else if text[0] == '{' {
			wrong = fmt.Sprintf("it is %.200q", text)
		}
		return nil, &model.Error{Code: model.Invalid, Field: "METAR answer", Wrong: wrong, Right: right, Err: err}
	}
	return rows, nil
}

func (in jsonRow) row() (row Row, err error) {
	row.Raw = printable(in.RawOb)
	if row.Station, err = in.station(); err != nil {
		return Row{}, err
	}
	if row.Raw == "" {
		return Row{}, errors.New("it has no rawOb, and the centre's own decoding is not read")
	}
	row.ObservedAt, err = in.observedAt()
	return row, err
}

func (in jsonRow) station() (model.Station, error) {
	s := model.Station{ID: in.ICAOID, Source: Source, Name: printable(in.Name)}
	if !stationID.MatchString(s.ID) {
		return s, errors.New("its icaoId is no location indicator of four letters and digits")
	}
	if in.Lat == nil || in.Lon == nil {
		return s, errors.New("it has no lat or no lon")
	}
	s.LatDeg, s.LonDeg = *in.Lat+0, *in.Lon+0 // + 0: never -0
	if err := model.Between("lat", s.LatDeg, -90, 90, "degrees"); err != nil {
		return s, err
	}
	if err := model.Between("lon", s.LonDeg, -180, 180, "degrees"); err != nil {
		return s, err
	}
	if in.Elev == nil {
		return s, nil
	}
	// The lowest shore and the highest summit on earth, with room.
	if err := model.Between("elev", *in.Elev, -500, 9000, "m"); err != nil {
		return s, err
	}
	s.ElevationM = model.Known(model.Metres(*in.Elev + 0))
	return s, nil
}

// observedAt is obsTime. Where that is missing, the later of the nominal hour
// and the arrival stands in for it: neither is the minute of the report, which
// the raw text tells, but that minute is surely not after both.
func (in jsonRow) observedAt() (time.Time, error) {
	if in.ObsTime != nil {
		// From 1970 to 2200, our choice, so that the year has four digits.
		if err := model.Between("obsTime", *in.ObsTime, 1, 7258118400, "s since 1970"); err != nil {
			return time.Time{}, err
		}
		return time.Unix(int64(*in.ObsTime), 0).UTC(), nil
	}
	var at time.Time
	for _, text := range []string{in.ReportTime, in.ReceiptTime} {
		if t, ok := apiTime(text); ok && t.After(at) {
			at = t
		}
	}
	if at.IsZero() {
		return at, errors.New("it has no obsTime, and no reportTime or receiptTime that can be read")
	}
	return at, nil
}

// apiTime reads the forms of 2023, 2023-10-27 15:25:34, and of 2025 and later,
// 2026-07-29T14:00:00.000Z. Both are UTC.
func apiTime(text string) (time.Time, bool) {
	for _, layout := range []string{time.RFC3339, time.DateTime} {
		if t, err := time.Parse(layout, text); err == nil && t.UTC().Year() >= 1970 && t.UTC().Year() <= 2200 {
			return t.UTC(), true
		}
	}
	return time.Time{}, false
}
