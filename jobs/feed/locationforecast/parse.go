package locationforecast

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"time"

	"osier/model"
)

// document is the part of an answer that is read. Feeds grow; what else is in
// it does not matter.
type document struct {
	Geometry struct {
		Coordinates []float64 `json:"coordinates"` // longitude, latitude, height
	} `json:"geometry"`
	Properties struct {
		Meta struct {
			UpdatedAt string         `json:"updated_at"`
			Units     map[string]any `json:"units"`
		} `json:"meta"`
		Timeseries []entry `json:"timeseries"`
	} `json:"properties"`
}

type entry struct {
	Time string `json:"time"`
	Data struct {
		Instant struct {
			Details details `json:"details"`
		} `json:"instant"`
		Next1Hours *period `json:"next_1_hours"`
		Next6Hours *period `json:"next_6_hours"`
	} `json:"data"`

	at time.Time // Time, read
}

// period is what is said of the hours after an instant.
type period struct {
	Summary struct {
		SymbolCode string `json:"symbol_code"`
	} `json:"summary"`
	Details details `json:"details"`

	hours float64
}

// Parse reads an answer of either variant. FetchedAt is left to the caller.
// A fault in one value or one entry is a warning, and what it spoilt is
// missing; an answer that is no forecast at all is an error that says what it
// was. Entries come back in the order of time, each instant once.
func Parse(body []byte) (model.Forecast, []string, error) {
	doc, err := decode(body)
	if err != nil {
		return model.Forecast{}, nil, err
	}
	forecast := model.Forecast{Source: Source}
	if forecast.LonDeg, forecast.LatDeg, err = place(doc.Geometry.Coordinates); err != nil {
		return model.Forecast{}, nil, err
	}
	if forecast.IssuedAt, err = parseTime(doc.Properties.Meta.UpdatedAt); err != nil {
		return model.Forecast{}, nil, model.Invalidf("properties.meta.updated_at", "it should be a time such as 2026-02-06T20:27:06Z", "%.40q is none", doc.Properties.Meta.UpdatedAt)
	}
	r := &reader{units: doc.Properties.Meta.Units, unitSaid: map[string]bool{}}
	entries := r.inOrder(doc.Properties.Timeseries)
	if len(entries) == 0 {
		return model.Forecast{}, r.warnings, model.Invalidf("properties.timeseries", "a forecast lists hours with their time", "no entry in it has a time that can be read")
	}
	for i := range entries {
		forecast.Hours = append(forecast.Hours, r.hour(&entries[i], untilNext(entries, i)))
	}
	return forecast, r.warnings, nil
}

// decode tells the usual wrong answers apart.
func decode(body []byte) (document, error) {
	const right = "a Locationforecast answer is one JSON object with properties.timeseries"
	text := bytes.TrimSpace(body)
	switch {
	case len(text) == 0:
		return document{}, model.Invalidf("forecast", right, "the answer is empty")
	case text[0] == '<':
		return document{}, model.Invalidf("forecast", right, "the answer is a web page, not JSON")
	}
	var doc document
	if err := json.Unmarshal(text, &doc); err != nil {
		wrong := "the answer cannot be read"
		if syntax := (*json.SyntaxError)(nil); errors.As(err, &syntax) && syntax.Offset >= int64(len(text)) {
			wrong = "the answer breaks off before its end"
		}
		return document{}, &model.Error{Code: model.Invalid, Field: "forecast", Wrong: wrong, Right: right, Err: err}
	}
	if len(doc.Properties.Timeseries) == 0 {
		return document{}, model.Invalidf("properties.timeseries", right, "it is missing or empty")
	}
	return doc, nil
}

func place(coordinates []float64) (lonDeg, latDeg float64, err error) {
	if len(coordinates) < 2 {
		return 0, 0, model.Invalidf("geometry.coordinates", "they should be longitude, latitude and height", "there are %d", len(coordinates))
	}
	lonDeg, latDeg = coordinates[0], coordinates[1]
	if err := model.Between("geometry.coordinates: longitude", lonDeg, -180, 180, "degrees"); err != nil {
		return 0, 0, err
	}
	if err := model.Between("geometry.coordinates: latitude", latDeg, -90, 90, "degrees"); err != nil {
		return 0, 0, err
	}
	return lonDeg, latDeg, nil
}

// parseTime reads RFC 3339 into UTC. A year that its offset pushes out of four
// digits could not be written again.
func parseTime(text string) (time.Time, error) {
	at, err := time.Parse(time.RFC3339, text)
	if err == nil && (at.UTC().Year() < 0 || at.UTC().Year() > 9999) {
		err = errors.New("the year has more than four digits")
	}
	return at.UTC(), err
}

// inOrder drops entries whose time cannot be read or was there before, and
// sorts the rest.
func (r *reader) inOrder(entries []entry) []entry {
	var good []entry
	for i, e := range entries {
		at, err := parseTime(e.Time)
		if err != nil {
			r.warn("timeseries[%d]: time %.40q cannot be read; the entry is left out", i, e.Time)
			continue
		}
		e.at = at
		good = append(good, e)
	}
	byTime := func(a, b entry) int { return a.at.Compare(b.at) }
	if !slices.IsSortedFunc(good, byTime) {
		r.warn("timeseries: the times are out of order; they were sorted")
		slices.SortStableFunc(good, byTime)
	}
	return slices.CompactFunc(good, func(first, again entry) bool {
		same := first.at.Equal(again.at)
		if same {
			r.warn("timeseries: %s comes twice; the first entry holds", again.Time)
		}
		return same
	})
}

// untilNext is the time in hours from one entry to the next, 0 after the last.
func untilNext(entries []entry, i int) float64 {
	if i+1 == len(entries) {
		return 0
	}
	return entries[i+1].at.Sub(entries[i].at).Hours()
}

// longestStepH is the longest step of the feed.
const longestStepH = 6

// hour reads one entry. gapH is the time to the next one.
func (r *reader) hour(e *entry, gapH float64) model.ForecastHour {
	when, now := e.Time, e.Data.Instant.Details
	h := model.ForecastHour{
		At:            e.at,
		StepH:         stepH(e, gapH),
		AirC:          read[model.Celsius](r, when, now, airTemperature),
		DewC:          read[model.Celsius](r, when, now, dewPoint),
		RHPct:         read[float64](r, when, now, humidity),
		WindMps:       read[model.MetresPerSecond](r, when, now, windSpeed),
		WindFromDeg:   read[model.Degrees](r, when, now, windDirection),
		GustMps:       read[model.MetresPerSecond](r, when, now, gustSpeed),
		SeaLevelHPa:   read[model.Hectopascals](r, when, now, seaLevel),
		CloudFraction: r.share(when, now, cloudCover),
	}
	if h.WindFromDeg.Value == 360 {
		h.WindFromDeg.Value = 0
	}
	for _, p := range periods(e, h.StepH) {
		if !h.Rain.Known {
			if mm, ok := r.value(when, p.Details, rainDepth); ok {
				h.Rain = model.Known(model.Rain{Mm: model.Millimetres(mm), OverH: p.hours})
			}
		}
		if !h.ThunderProbability.Known {
			h.ThunderProbability = r.share(when, p.Details, thunderChance)
		}
		if symbol := p.Summary.SymbolCode; !h.Thunder.Known && symbol != "" {
			h.Thunder = model.Known(strings.Contains(symbol, "thunder"))
		}
	}
	return h
}

// stepH is how long an entry holds: until the next one, or, after the last and
// before a hole, for the period it speaks of itself. The very last entry of an
// answer usually speaks of none; it holds for its instant alone, which is 0.
func stepH(e *entry, gapH float64) float64 {
	switch {
	case gapH > 0 && gapH <= longestStepH:
		return gapH
	case e.Data.Next1Hours != nil:
		return 1
	case e.Data.Next6Hours != nil:
		return 6
	}
	return 0
}

// periods lists what an entry says of the hours after it, that which fits its
// step first.
func periods(e *entry, stepH float64) []*period {
	var fitting []*period
	if p := e.Data.Next1Hours; p != nil {
		p.hours = 1
		fitting = append(fitting, p)
	}
	if p := e.Data.Next6Hours; p != nil {
		p.hours = 6
		fitting = append(fitting, p)
	}
	if stepH >= longestStepH {
		slices.Reverse(fitting)
	}
	return fitting
}
