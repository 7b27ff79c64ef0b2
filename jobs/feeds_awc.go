package jobs

import (
	"bytes"
	"context"
	"fmt"
	"time"

	"osier/jobs/feed"
	"osier/jobs/feed/awc"
	"osier/jobs/feed/metar"
	"osier/model"
)

// askReports asks for the file of all stations once, however many waters there
// are.
func askReports(_ context.Context, _ PullStore, waters []model.Water, _ time.Time) ([]request, error) {
	if len(waters) == 0 {
		return nil, nil
	}
	return []request{{Request: feed.Request{URL: awc.CacheURL, Want: feed.File, MinInterval: reportsEvery}}}, nil
}

func parseReports(body []byte, _ request, now time.Time) (parsed, error) {
	rows, warnings, err := awc.ParseCache(bytes.NewReader(body))
	if err != nil {
		return parsed{}, err
	}
	p := parsed{warnings: warnings}
	for _, row := range rows {
		o, err := reportOf(row, now)
		if err != nil {
			p.warnings = append(p.warnings, fmt.Sprintf("report of %s: %v", row.Station.ID, err))
			continue
		}
		p.stations = append(p.stations, row.Station)
		p.observations = append(p.observations, o)
	}
	return p, nil
}

func reportOf(row awc.Row, now time.Time) (model.Observation, error) {
	if err := notAhead(row.ObservedAt, now); err != nil {
		return model.Observation{}, err
	}
	o, err := decodeReport(row.Raw, row.ObservedAt, awc.Source)
	o.Corrected = o.Corrected || row.Corrected
	return o, err
}

// decodeReport reads a raw report that was made at or shortly before an instant.
func decodeReport(raw string, reference time.Time, source string) (model.Observation, error) {
	r, err := metar.Decode(raw)
	if err != nil {
		return model.Observation{}, err
	}
	if r.Nil {
		return model.Observation{}, model.Invalidf("report", "it holds values", "the station says that there is no report")
	}
	at, err := metar.ResolveTime(r.Day, r.Hour, r.Minute, reference)
	if err != nil {
		return model.Observation{}, err
	}
	return r.Observation(at, source), nil
}
