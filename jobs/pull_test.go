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
	"osier/jobs/feed/awc"
	"osier/model"
)

// reply is one invented answer of a feed.
type reply struct {
	status int
	media  string
	body   string
}

// feeds stands in for the way to the feeds: it answers by host and counts.
type feeds struct {
	b       *bench
	answers map[string]reply
	asked   []*http.Request
}

func (f *feeds) RoundTrip(r *http.Request) (*http.Response, error) {
	f.asked = append(f.asked, r)
	a, ok := f.answers[r.URL.Host]
	if !ok {
		return nil, fmt.Errorf("%s cannot be reached", r.URL.Host)
	}
	header := http.Header{"Content-Type": {a.media}, "Date": {f.b.now.Format(http.TimeFormat)}, "Expires": {f.b.now.Add(20 * time.Minute).Format(http.TimeFormat)}, "Etag": {`"one"`}}
	return &http.Response{StatusCode: a.status, Header: header, ContentLength: int64(len(a.body)), Body: io.NopCloser(strings.NewReader(a.body)), Request: r}, nil
}

const (
	reportsHost  = "aviationweather.gov"
	forecastHost = "api.met.no"
)

// cacheFile is a file of reports: raw text, station, time, latitude.
func cacheFile(rows ...string) reply {
	return reply{200, "text/csv", "raw_text,station_id,observation_time,latitude,longitude,elevation_m,corrected\n" + strings.Join(rows, "\n") + "\n"}
}

const (
	nearRow  = "EGAA 061150Z 23010KT 9999 FEW020 08/04 Q1015,EGAA,2026-02-06T11:50:00Z,52.30,-0.90,80,"
	farRow   = "EGBB 061150Z 23010KT 9999 FEW020 08/04 Q1015,EGBB,2026-02-06T11:50:00Z,58.30,-0.90,80,"
	aheadRow = "EGAA 061150Z 23010KT 9999 FEW020 18/04 Q1015,EGAA,2026-03-06T11:50:00Z,52.30,-0.90,80,"
)

var gridAnswer = reply{200, "application/json", `{"geometry":{"coordinates":[-0.9,52.2,60]},"properties":{"meta":{"updated_at":"2026-02-06T11:30:00Z",
	"units":{"air_temperature":"celsius","wind_speed":"m/s"}},"timeseries":[
	{"time":"2026-02-06T12:00:00Z","data":{"instant":{"details":{"air_temperature":9.5,"wind_speed":4}}}},
	{"time":"2026-02-06T13:00:00Z","data":{"instant":{"details":{"air_temperature":9,"wind_speed":5}}}}]}}`}

// puller asks the invented feeds.
func puller(t testing.TB, b *bench, answers map[string]reply) (p *jobs.Puller, f *feeds, warnings *[]string) {
	t.Helper()
	f, warnings = &feeds{b: b, answers: answers}, &[]string{}
	client, err := feed.New(feed.Options{Application: "osier/test", Contact: "angler@club.example", Transport: f, Now: b.clock, Random: func() float64 { return 0 }, Spacing: time.Nanosecond})
	done(t, err)
	p = &jobs.Puller{Store: b.db, Client: client, Now: b.clock, Log: quiet, Warn: func(w string) { *warnings = append(*warnings, w) }}
	return p, f, warnings
}

var bothFeeds = map[string]reply{reportsHost: cacheFile(nearRow, farRow), forecastHost: gridAnswer}

func (b *bench) reports(t *testing.T, station string) []model.Observation {
	t.Helper()
	list, err := b.db.Observations(t.Context(), awc.Source, station, noon.AddDate(0, 0, -60), noon.AddDate(0, 2, 0))
	done(t, err)
	return list
}

func (b *bench) forecasts(t *testing.T) []model.Forecast {
	t.Helper()
	list, err := b.db.Forecasts(t.Context(), 52.2, -0.9, b.now, 9)
	done(t, err)
	return list
}

func TestAPullKeepsWhatLiesInReach(t *testing.T) {
	b := newBench(t)
	p, f, _ := puller(t, b, bothFeeds)
	counts, err := p.Run(t.Context(), []model.Water{reedmere})
	done(t, err)
	if counts["requests"] != 2 || counts["observations"] != 1 || counts["forecasts"] != 1 || counts["warnings"] != 0 {
		t.Errorf("counts %v, want two requests, one report and one forecast", counts)
	}
	near := b.reports(t, "EGAA")
	if len(near) != 1 || near[0].AirC.Value != 8 || near[0].QNHHPa.Value != 1015 || !near[0].At.Equal(noon.Add(-15*time.Minute)) || len(b.reports(t, "EGBB")) != 0 {
		t.Errorf("reports %+v, want the near station's alone", near)
	}
	list := b.forecasts(t)
	if len(list) != 1 || list[0].Hours[0].AirC.Value != 9.5 || !list[0].FetchedAt.Equal(noon) || !list[0].ConfirmedAt.Equal(noon) {
		t.Errorf("forecasts %+v", list)
	}
	for _, r := range f.asked {
		if !strings.Contains(r.Header.Get("User-Agent"), "angler@club.example") || r.URL.Scheme != "https" {
			t.Errorf("asked %s as %q", r.URL, r.Header.Get("User-Agent"))
		}
	}
}

func TestNoFeedIsAskedAgainBeforeItsTime(t *testing.T) {
	b := newBench(t)
	p, f, _ := puller(t, b, bothFeeds)
	_, err := p.Run(t.Context(), []model.Water{reedmere})
	done(t, err)
	before := b.revision(t)
	b.now = noon.Add(19 * time.Minute)
	p, f2, _ := puller(t, b, bothFeeds) // a restart does not forget
	counts, err := p.Run(t.Context(), []model.Water{reedmere})
	done(t, err)
	if counts["requests"] != 0 || len(f2.asked) != 0 || b.revision(t) != before {
		t.Errorf("counts %v with %d requests made, want none", counts, len(f2.asked))
	}
	b.now = noon.Add(45 * time.Minute)
	_, err = p.Run(t.Context(), []model.Water{reedmere})
	done(t, err)
	if len(f2.asked) != 2 || f2.asked[0].Header.Get("If-None-Match") != `"one"` || len(f.asked) != 2 {
		t.Errorf("%d requests once they are due, want both again, with the validator", len(f2.asked))
	}
	if len(b.reports(t, "EGAA")) != 1 {
		t.Errorf("%d reports, want the same one once", len(b.reports(t, "EGAA")))
	}
}

func TestAConfirmedForecastIsFreshAgain(t *testing.T) {
	b := newBench(t)
	p, _, _ := puller(t, b, bothFeeds)
	_, err := p.Run(t.Context(), []model.Water{reedmere})
	done(t, err)
	b.now = noon.Add(45 * time.Minute)
	p, _, _ = puller(t, b, map[string]reply{reportsHost: {status: 304}, forecastHost: {status: 304}})
	counts, err := p.Run(t.Context(), []model.Water{reedmere})
	done(t, err)
	list := b.forecasts(t)
	if counts["requests"] != 2 || len(list) != 1 || !list[0].ConfirmedAt.Equal(b.now) || !list[0].FetchedAt.Equal(noon) {
		t.Errorf("counts %v, forecasts %+v; want the one issue, confirmed now", counts, list)
	}
}

func TestRubbishIsRejectedAndTheOldWeatherStays(t *testing.T) {
	for name, c := range map[string]struct {
		reports reply
		says    string
	}{
		"a web page":           {reply{200, "text/html", "<html>sorry</html>"}, "a web page came"},
		"a page in disguise":   {reply{200, "text/csv", "<!DOCTYPE html>"}, "a web page came"},
		"a file of other data": {reply{200, "text/csv", "a,b,c\n1,2,3\n"}, "it has no such header"},
		"an error":             {reply{503, "text/plain", "later"}, "status 503"},
		"nothing":              {reply{200, "text/csv", ""}, "it is empty"},
	} {
		t.Run(name, func(t *testing.T) {
			b := newBench(t)
			p, _, _ := puller(t, b, bothFeeds)
			_, err := p.Run(t.Context(), []model.Water{reedmere})
			done(t, err)
			old := b.reports(t, "EGAA")
			b.now = noon.Add(45 * time.Minute)
			p, f, _ := puller(t, b, map[string]reply{reportsHost: c.reports, forecastHost: gridAnswer})
			counts, err := p.Run(t.Context(), []model.Water{reedmere})
			if err == nil || !strings.Contains(err.Error(), "pull awc: ") || !strings.Contains(err.Error(), c.says) {
				t.Errorf("error %v, want it to name the feed and to say %q", err, c.says)
			}
			if len(b.reports(t, "EGAA")) != 1 || len(old) != 1 || counts["forecasts"] != 1 {
				t.Errorf("%d reports kept, counts %v; want the old report, and the other feed's answer", len(b.reports(t, "EGAA")), counts)
			}
			if c, err := b.planner().Conditions(t.Context(), "reedmere", noon, noon.Add(time.Hour)); err != nil || c.Hours[0].AirC.Value == 0 {
				t.Errorf("conditions %+v, error %v; want the old weather served", c.Hours, err)
			}
			asked := len(f.asked)
			b.now = b.now.Add(time.Minute)
			if _, err := p.Run(t.Context(), []model.Water{reedmere}); err != nil || len(f.asked) != asked {
				t.Errorf("a minute later: %d requests more, error %v; want it to be waited for", len(f.asked)-asked, err)
			}
		})
	}
}

func TestAReportDatedNextMonthIsDroppedWithAWarning(t *testing.T) {
	b := newBench(t)
	p, _, warnings := puller(t, b, map[string]reply{reportsHost: cacheFile(aheadRow), forecastHost: gridAnswer})
	counts, err := p.Run(t.Context(), []model.Water{reedmere})
	done(t, err)
	if counts["warnings"] != 1 || counts["observations"] != 0 || len(b.reports(t, "EGAA")) != 0 {
		t.Errorf("counts %v, reports %+v; want a warning and nothing kept", counts, b.reports(t, "EGAA"))
	}
	if len(*warnings) != 1 || !strings.Contains((*warnings)[0], "EGAA") || !strings.Contains((*warnings)[0], "it is dated 2026-03-06T11:50:00Z, and it is 2026-02-06T12:05:00Z now") {
		t.Errorf("warnings %q do not say why", *warnings)
	}
	stations, err := b.db.StationsWithin(t.Context(), -90, 90, -180, 180)
	done(t, err)
	if len(stations) != 0 {
		t.Errorf("stations %+v, want none", stations)
	}
}

func TestOneFeedDownDoesNotStopTheOther(t *testing.T) {
	b := newBench(t)
	p, _, _ := puller(t, b, map[string]reply{forecastHost: gridAnswer})
	counts, err := p.Run(t.Context(), []model.Water{reedmere})
	if err == nil || !strings.Contains(err.Error(), "the feed could not be reached") || counts["forecasts"] != 1 || len(b.forecasts(t)) != 1 {
		t.Errorf("counts %v, error %v; want the forecast, and the other feed named as down", counts, err)
	}
}

func TestWatersSideBySideShareOneRequest(t *testing.T) {
	b := newBench(t)
	p, f, _ := puller(t, b, bothFeeds)
	beside := reedmere
	beside.ID, beside.LatDeg = "reedmere-two", reedmere.LatDeg+0.003
	_, err := p.Run(t.Context(), []model.Water{reedmere, beside})
	done(t, err)
	if len(f.asked) != 2 {
		t.Errorf("%d requests for two waters a few hundred metres apart, want 2", len(f.asked))
	}
	if counts, err := p.Run(t.Context(), nil); err != nil || counts["requests"] != 0 {
		t.Errorf("without waters: counts %v, error %v; want nothing asked", counts, err)
	}
}
