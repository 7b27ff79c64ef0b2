package jobs

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"time"

	"osier/jobs/feed/openmeteo"
	"osier/model"
	"osier/model/plan"
	"osier/model/water"
)

// Stations finds the stations that are known.
type Stations interface {
	StationsWithin(ctx context.Context, latLow, latHigh, lonLow, lonHigh float64) ([]model.Station, error)
}

// Weather is what the stages need of stored weather.
type Weather interface {
	Stations
	Observations(ctx context.Context, source, station string, from, to time.Time) ([]model.Observation, error)
	Forecasts(ctx context.Context, latDeg, lonDeg float64, at time.Time, limit int) ([]model.Forecast, error)
	MeterReadings(ctx context.Context, water string, from, to time.Time) ([]model.MeterReading, error)
	SessionsWithReading(ctx context.Context, water string, from, to time.Time) ([]model.Session, error)
	WaterStates(ctx context.Context, water string, from, to time.Time) ([]json.RawMessage, error)
}

// How much weather is read for one answer; all our choice.
const (
	// runIn is how far before the hours asked for thermometer readings count, and
	// weather is read where it is too short to spin the water up: twenty days
	// remove the guess at the water's start (reference pack, water-and-fish
	// 2.1), and as many again ride out gaps.
	runIn = 40 * 24 * time.Hour
	// mostStations bounds how many stations are read: twice as many as serve at
	// one time, since some may have fallen silent that are wanted for the hours
	// when they were not.
	mostStations = 2 * model.MostPlaces
	// mostIssues is how many issues of forecasts are read: the newest may not
	// reach back to an hour that an older one covers, and several feeds may
	// forecast for one cell.
	mostIssues = 4
)

// loaded is the weather at a water as it is known at one instant, with the
// water temperature it makes for the angler who asks.
type loaded struct {
	history *plan.History
	hours   []model.WeatherHour
	credits []string
	version string // of all that the water temperature rests on but the readings

	before        plan.Before // what is known of the water from before the hours
	creditsBefore []string    // that the licences of that ask for
}

// loadWeather reads the weather near a water and makes its hourly series over
// the span, with what looks back from it. The water goes on from where it stood
// before that, or starts anew where the weather is too short. The readings that
// correct it are those that the angler, or without one everybody, may see.
func loadWeather(ctx context.Context, s Weather, w model.Water, angler string, from, to, now time.Time) (loaded, error) {
	readings, err := readingsOf(ctx, s, w, angler, from.Add(-runIn), to, now)
	if err != nil {
		return loaded{}, fmt.Errorf("readings at %s: %w", w.ID, err)
	}
	begin := beginning(from, readings)
	line, err := lineBefore(ctx, s, w, angler, begin, now)
	if err != nil {
		return loaded{}, fmt.Errorf("readings at %s: %w", w.ID, err)
	}
	return weatherFrom(ctx, s, w, begin, line, readings, from, to, now)
}

// weatherFrom does so from the end of a week on, with the line and the readings
// that correct the water.
func weatherFrom(ctx context.Context, s Weather, w model.Water, begin time.Time, line water.Line, readings []model.MeterReading, from, to, now time.Time) (loaded, error) {
	before := plan.Before{Line: line}
	state, ok, err := stateAt(ctx, s, w, begin, now)
	if err != nil {
		return loaded{}, err
	}
	if ok {
		before.State = model.Known(state.State)
		begin = begin.Add(time.Hour) // the first hour after the state
	} else {
		begin = from.Add(-runIn)
	}
	sources, err := readSources(ctx, s, w, begin, to, now)
	if err != nil {
		return loaded{}, fmt.Errorf("weather at %s: %w", w.ID, err)
	}
	hours := model.WeatherAt(sources, begin, to, now)
	history, err := plan.ContinueHistory(w, before, hours, readings, now)
	if err != nil {
		return loaded{}, err
	}
	return loaded{history: history, hours: hours, before: before, creditsBefore: state.Credits}.named()
}

// named adds what the licences of the hours ask for, and their version.
func (l loaded) named() (loaded, error) {
	var err error
	l.credits = together(credits(l.hours), l.creditsBefore)
	l.version, err = versionOf(l.hours, l.before)
	return l, err
}

// versionOf names the weather read and what is known from before it.
func versionOf(hours []model.WeatherHour, before plan.Before) (string, error) {
	version := model.WeatherVersion(hours)
	if before == (plan.Before{}) {
		return version, nil
	}
	known, err := json.Marshal(before)
	if err != nil {
		return "", fmt.Errorf("name the weather: %w", err)
	}
	sum := sha256.Sum256(append([]byte(version), known...))
	return "w-" + hex.EncodeToString(sum[:8]), nil
}

// together lists what either list has, once.
func together(a, b []string) []string {
	for _, s := range b {
		if !slices.Contains(a, s) {
			a = append(a, s)
		}
	}
	return a
}

func readSources(ctx context.Context, s Weather, w model.Water, from, to, now time.Time) (model.Sources, error) {
	// A day more on either side lets the first and last hours be drawn between
	// reports.
	from, to = from.Add(-24*time.Hour), to.Add(24*time.Hour)
	if to.After(now) {
		to = now
	}
	sources, err := readReports(ctx, s, w, from, to)
	if err != nil {
		return sources, err
	}
	lat, lon := cell(w)
	if sources.Reanalysis, err = s.Observations(ctx, openmeteo.ArchiveSource, cellName(lat, lon), from, to); err != nil {
		return sources, err
	}
	if sources.Forecasts, err = s.Forecasts(ctx, lat, lon, now, mostIssues); err != nil {
		return sources, err
	}
	byPreference(sources.Forecasts, now)
	return sources, nil
}

// readReports reads stations, those named for the water first and then the
// nearest, until as many serve as ever do at one time.
func readReports(ctx context.Context, s Weather, w model.Water, from, to time.Time) (model.Sources, error) {
	sources := model.Sources{Observations: map[string][]model.Observation{}}
	stations, err := stationsInReach(ctx, s, w)
	if err != nil {
		return sources, err
	}
	for _, c := range model.ChooseStations(model.Near(w, stations), nil, to) {
		if c.Avoided || len(sources.Near) == mostStations {
			break
		}
		observations, err := s.Observations(ctx, c.Source, c.ID, from, to)
		if err != nil {
			return sources, err
		}
		if len(observations) == 0 {
			continue
		}
		sources.Near = append(sources.Near, c.NearStation)
		sources.Observations[model.StationKey(c.Source, c.ID)] = observations
		if len(sources.Near) >= model.MostPlaces && serving(model.ChooseStations(sources.Near, sources.Observations, to)) == model.MostPlaces {
			break
		}
	}
	return sources, nil
}

func serving(choices []model.StationChoice) int {
	n := 0
	for _, c := range choices {
		if c.Used {
			n++
		}
	}
	return n
}

func stationsInReach(ctx context.Context, s Stations, w model.Water) ([]model.Station, error) {
	lat, lon := w.ReachDegrees()
	return s.StationsWithin(ctx, w.LatDeg-lat, w.LatDeg+lat, w.LonDeg-lon, w.LonDeg+lon)
}

// cell is the place a forecast is asked for: the water's position to two
// decimals, about a kilometre, so that waters side by side share one request.
// Feeds ask for at most four. Our choice.
func cell(w model.Water) (latDeg, lonDeg float64) {
	return math.Round(w.LatDeg*100) / 100, math.Round(w.LonDeg*100) / 100
}

// cellName names a cell where a station would have its name.
func cellName(latDeg, lonDeg float64) string { return fmt.Sprintf("%.2f,%.2f", latDeg+0, lonDeg+0) }

// credits lists what the licences of the feeds in use ask to be said.
func credits(hours []model.WeatherHour) []string {
	used := map[string]bool{}
	for _, h := range hours {
		for _, r := range []model.Reading{h.AirC, h.DewC, h.RHPct, h.WindMps, h.SeaLevelHPa, h.QNHHPa, h.RainMm, h.Cloud} {
			used[r.From.Source] = true
		}
		used[h.Thunder.From.Source] = true
	}
	var out []string
	for _, f := range append(feeds(), archives()...) {
		if used[f.name] && !slices.Contains(out, f.credit) {
			out = append(out, f.credit)
		}
	}
	return out
}
