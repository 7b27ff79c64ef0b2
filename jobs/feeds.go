package jobs

import (
	"bytes"
	"fmt"
	"time"

	"osier/jobs/feed"
	"osier/jobs/feed/awc"
	"osier/jobs/feed/isd"
	"osier/jobs/feed/locationforecast"
	"osier/jobs/feed/metar"
	"osier/model"
)

// source is one public feed of present weather: what to ask for the waters, and
// how to read the answer. A new feed is one package and one line in feeds.
type source struct {
	name    string // what its values are marked with
	credit  string // what its licence asks to be said
	request func(waters []model.Water) ([]request, error)
	parse   func(body []byte, r request, now time.Time) (parsed, error)
	grid    bool // its answers are forecasts for a cell
}

// request is one question to a feed.
type request struct {
	feed.Request
	lat, lon float64 // the cell of a forecast
}

// parsed is what an answer held.
type parsed struct {
	stations     []model.Station
	observations []model.Observation
	forecast     *model.Forecast
	warnings     []string
}

// feeds is every feed of present weather, in the order they are asked.
func feeds() []source {
	return []source{
		{awc.Source, "METAR reports through the Aviation Weather Center, US National Weather Service (public domain).", askReports, parseReports, false},
		{locationforecast.Source, "Forecast from MET Norway, under NLOD 2.0 and CC BY 4.0 (https://creativecommons.org/licenses/by/4.0/); interpolated to the hour here.", askForecasts, parseForecast, true},
	}
}

// allFeeds adds the archives, which serve times past.
func allFeeds() []source {
	return append(feeds(), source{name: isd.Source, credit: "Station archive: Integrated Surface Data, NOAA National Centers for Environmental Information (public domain)."})
}

// How often each feed may be asked at most, whatever its headers allow; our
// choice, within their terms (weather pack, section 8).
const (
	reportsEvery  = 10 * time.Minute
	forecastEvery = 30 * time.Minute
	archiveEvery  = 24 * time.Hour
)

// askReports asks for the file of all stations once, however many waters there
// are.
func askReports(waters []model.Water) ([]request, error) {
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

// aheadAllowed is how far ahead of our clock a report may be dated: clocks
// differ (weather pack, section 6).
const aheadAllowed = 15 * time.Minute

func reportOf(row awc.Row, now time.Time) (model.Observation, error) {
	if row.ObservedAt.After(now.Add(aheadAllowed)) {
		return model.Observation{}, model.Invalidf("observation time", "a report is about a time that has passed", "it is dated %s, and it is %s now", row.ObservedAt.Format(time.RFC3339), now.Format(time.RFC3339))
	}
	r, err := metar.Decode(row.Raw)
	if err != nil {
		return model.Observation{}, err
	}
	if r.Nil {
		return model.Observation{}, model.Invalidf("report", "it holds values", "the station says that there is no report")
	}
	at, err := metar.ResolveTime(r.Day, r.Hour, r.Minute, row.ObservedAt)
	if err != nil {
		return model.Observation{}, err
	}
	o := r.Observation(at, awc.Source)
	o.Corrected = o.Corrected || row.Corrected
	return o, nil
}

// askForecasts asks once for each grid cell that holds a water.
func askForecasts(waters []model.Water) ([]request, error) {
	var out []request
	seen := map[[2]float64]bool{}
	for _, w := range waters {
		lat, lon := cell(w)
		if seen[[2]float64{lat, lon}] {
			continue
		}
		seen[[2]float64{lat, lon}] = true
		url, err := locationforecast.URL(lat, lon, model.Known(w.ElevationM), locationforecast.Complete)
		if err != nil {
			return nil, fmt.Errorf("forecast for %s: %w", w.ID, err)
		}
		out = append(out, request{Request: feed.Request{URL: url, Want: feed.JSON, MinInterval: forecastEvery}, lat: lat, lon: lon})
	}
	return out, nil
}

func parseForecast(body []byte, r request, now time.Time) (parsed, error) {
	f, warnings, err := locationforecast.Parse(body)
	if err != nil {
		return parsed{}, err
	}
	f.LatDeg, f.LonDeg, f.FetchedAt, f.ConfirmedAt = r.lat, r.lon, now, now
	return parsed{forecast: &f, warnings: warnings}, nil
}
