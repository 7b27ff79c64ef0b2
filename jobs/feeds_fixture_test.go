package jobs_test

import (
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"osier/jobs"
	"osier/jobs/feed"
	"osier/model"
)

// hosts stand in for all feeds: they answer by how an address (host and path)
// begins, and count. What has no answer is not found.
type hosts struct {
	b       *bench
	answers map[string]reply
	asked   []string
}

func (h *hosts) RoundTrip(r *http.Request) (*http.Response, error) {
	address := r.URL.Host + r.URL.RequestURI()
	h.asked = append(h.asked, address)
	a, longest := reply{status: 404, media: "text/plain", body: "not found"}, 0
	for begin, answer := range h.answers {
		if strings.HasPrefix(address, begin) && len(begin) > longest {
			a, longest = answer, len(begin)
		}
	}
	header := http.Header{"Content-Type": {a.media}, "Date": {h.b.now.Format(http.TimeFormat)}, "Etag": {`"one"`}}
	return &http.Response{StatusCode: a.status, Header: header, ContentLength: int64(len(a.body)), Body: io.NopCloser(strings.NewReader(a.body)), Request: r}, nil
}

// count is how many requests went to addresses that begin so.
func (h *hosts) count(begin string) int {
	n := 0
	for _, a := range h.asked {
		if strings.HasPrefix(a, begin) {
			n++
		}
	}
	return n
}

func askHosts(t *testing.T, b *bench, answers map[string]reply) (*jobs.Puller, *hosts, *[]string) {
	t.Helper()
	h, warnings := &hosts{b: b, answers: answers}, &[]string{}
	client, err := feed.New(feed.Options{Application: "osier/test", Contact: "angler@club.example", Transport: h, Now: b.clock, Random: func() float64 { return 0 }, Spacing: time.Nanosecond})
	done(t, err)
	return &jobs.Puller{Store: b.db, Client: client, Now: b.clock, Log: quiet, Warn: func(w string) { *warnings = append(*warnings, w) }}, h, warnings
}

func waterAt(id string, lat, lon float64) model.Water {
	w := reedmere
	w.ID, w.LatDeg, w.LonDeg, w.ElevationM = id, lat, lon, 10
	return w
}

// Waters in the area of each feed.
var (
	american = waterAt("american", 38.9, -77)
	german   = waterAt("german", 52.5, 13.4)
	swedish  = waterAt("swedish", 59.3, 18.1)
)

const (
	nwsPoint    = "api.weather.gov/points/38.9,-77/stations"
	nwsStation  = "api.weather.gov/stations/"
	skyHost     = "api.brightsky.dev/weather"
	smhiHost    = "opendata-download-metfcst.smhi.se/"
	meteoHost   = "api.open-meteo.com/v1/forecast"
	metHost     = "api.met.no/weatherapi/locationforecast/2.0/complete"
	awcHost     = "aviationweather.gov/"
	webPage     = "<html><body>The service is resting.</body></html>"
	archiveHost = "archive-api.open-meteo.com/v1/archive"
)

func json200(body string) reply { return reply{200, "application/json", body} }

// stationList is a list of US stations: name, latitude, longitude.
func stationList(stations ...[3]string) reply {
	var features []string
	for _, s := range stations {
		features = append(features, fmt.Sprintf(`{"type":"Feature","geometry":{"type":"Point","coordinates":[%s,%s]},"properties":{"stationIdentifier":%q,"name":"Invented","elevation":{"unitCode":"wmoUnit:m","value":12}}}`, s[2], s[1], s[0]))
	}
	return json200(`{"type":"FeatureCollection","features":[` + strings.Join(features, ",") + `]}`)
}

// observation is one US observation with a temperature unit.
func observationUS(station, lat, unit, gust, raw string) reply {
	return json200(fmt.Sprintf(`{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point","coordinates":[-77,%s]},"properties":{"station":"https://api.weather.gov/stations/%s",
		"timestamp":"2026-02-06T11:52:00+00:00","rawMessage":%q,"temperature":{"unitCode":%q,"value":0,"qualityControl":"V"},
		"windSpeed":{"unitCode":"wmoUnit:km_h-1","value":36,"qualityControl":"V"},"windGust":{"unitCode":"wmoUnit:km_h-1","value":%s,"qualityControl":"V"}}}]}`, lat, station, raw, unit, gust))
}

func americanAnswers(observation reply) map[string]reply {
	return map[string]reply{
		nwsPoint:   stationList([3]string{"KXXA", "38.95", "-77"}, [3]string{"KXXB", "38.85", "-77"}, [3]string{"KXXC", "38.7", "-77"}, [3]string{"KXXD", "38.5", "-77"}, [3]string{"KFAR", "45", "-77"}),
		nwsStation: {status: 404, media: "text/plain", body: "not found"}, nwsStation + "KXXA": observation, metHost: gridAnswer,
		"api.weather.gov/alerts/": json200(`{"type":"FeatureCollection","features":[]}`),
	}
}

func germanAnswer(kind, temperature string) reply {
	return json200(fmt.Sprintf(`{"weather":[{"timestamp":"2026-02-06T11:00:00+00:00","source_id":7,"temperature":%s,"wind_speed":18,"pressure_msl":1011.5},
		{"timestamp":"2026-02-06T12:00:00+00:00","source_id":7,"temperature":%s,"wind_speed":18,"pressure_msl":1011.5}],
		"sources":[{"id":7,"observation_type":%q,"wmo_station_id":"10001","lat":52.55,"lon":13.4,"height":40,"station_name":"Invented"}]}`, temperature, temperature, kind))
}

func swedishAnswer(names string) reply {
	return json200(fmt.Sprintf(`{"referenceTime":"2026-02-06T09:00:00Z","geometry":{"coordinates":[18.11,59.31]},"timeSeries":[
		{"time":"2026-02-06T12:00:00Z","data":{%s}},{"time":"2026-02-06T13:00:00Z","data":{%s}}]}`, names, names))
}

// meteoAnswer is an answer of the second choice, with a unit for temperature.
func meteoAnswer(unit string) reply {
	return json200(fmt.Sprintf(`{"latitude":52.21,"longitude":-0.89,"utc_offset_seconds":0,"hourly_units":{"time":"unixtime","temperature_2m":%q,"wind_speed_10m":"m/s"},
		"hourly":{"time":[%d,%d],"temperature_2m":[3.5,4],"wind_speed_10m":[2,3]}}`, unit, noon.Truncate(time.Hour).Unix(), noon.Truncate(time.Hour).Unix()+3600))
}

func stored(t *testing.T, b *bench, source, station string) []model.Observation {
	t.Helper()
	list, err := b.db.Observations(t.Context(), source, station, noon.AddDate(0, 0, -60), noon.AddDate(0, 2, 0))
	done(t, err)
	return list
}

func forecastsFor(t *testing.T, b *bench, w model.Water, source string) []model.Forecast {
	t.Helper()
	list, err := b.db.Forecasts(t.Context(), w.LatDeg, w.LonDeg, b.now, 99)
	done(t, err)
	var out []model.Forecast
	for _, f := range list {
		if f.Source == source {
			out = append(out, f)
		}
	}
	return out
}

// hourFrom is the air temperature of one hour as conditions give it.
func hourFrom(t *testing.T, b *bench, w model.Water, hour time.Time) model.Reading {
	t.Helper()
	done(t, b.db.PutWater(t.Context(), w))
	c, err := b.planner().Conditions(t.Context(), w.ID, hour, hour.Add(time.Hour))
	done(t, err)
	from := c.Hours[0].Provenance["air_temp_c"]
	return model.Reading{Value: float64(c.Hours[0].AirC.Value), Known: c.Hours[0].AirC.Known, From: from}
}
