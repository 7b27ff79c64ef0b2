package jobs

import (
	"context"
	"time"

	"osier/jobs/feed"
	"osier/jobs/feed/awc"
	"osier/jobs/feed/brightsky"
	"osier/jobs/feed/ghcnh"
	"osier/jobs/feed/isd"
	"osier/jobs/feed/locationforecast"
	"osier/jobs/feed/nws"
	"osier/jobs/feed/openmeteo"
	"osier/jobs/feed/smhi"
	"osier/model"
)

// source is one public feed: what to ask for the waters, and how to read the
// answer. A new feed is one package and one line in feeds.
type source struct {
	name   string // what its values are marked with
	budget int    // requests a UTC day at most, whatever happens; feeds of one name share it
	credit string // what its licence asks to be said
	ask    func(ctx context.Context, s PullStore, waters []model.Water, now time.Time) ([]request, error)
	parse  func(body []byte, r request, now time.Time) (parsed, error)
	// confirm notes that the feed stands by its last answer for a cell; nil where
	// nothing depends on when it last did.
	confirm func(s PullStore, ctx context.Context, source string, latDeg, lonDeg float64, at time.Time) error
}

// request is one question to a feed.
type request struct {
	feed.Request
	lat, lon float64 // the cell of a forecast or of warnings
}

// parsed is what an answer held.
type parsed struct {
	stations     []model.Station
	observations []model.Observation
	modelled     bool // the observations are a reanalysis of a cell, which is no station
	forecast     *model.Forecast
	official     *model.WarningsAnswer
	warnings     []string // of what could not be used
}

// What the licences ask to be said (weather pack, section 8).
const (
	creditAWC       = "METAR reports through the Aviation Weather Center, US National Weather Service (public domain)."
	creditNWS       = "Observations from the US National Weather Service (public domain)."
	creditDWD       = "Observations from Deutscher Wetterdienst, through Bright Sky; units converted here."
	creditNWSAlerts = "Warnings from the US National Weather Service (public domain)."
	creditDWDAlerts = "Warnings from Deutscher Wetterdienst, through Bright Sky."
	creditMETNorway = "Forecast from MET Norway, under NLOD 2.0 and CC BY 4.0 (https://creativecommons.org/licenses/by/4.0/); interpolated to the hour here."
	creditSMHI      = "Forecast from SMHI, under CC BY 4.0 (https://creativecommons.org/licenses/by/4.0/); interpolated to the hour here."
	creditOpenMeteo = "Weather data by Open-Meteo.com, under CC BY 4.0 (https://creativecommons.org/licenses/by/4.0/); free for non-commercial use; units converted here."
	creditISD       = "Station archive: Integrated Surface Data, NOAA National Centers for Environmental Information (public domain)."
	creditGHCNh     = "Station archive: Global Historical Climatology Network hourly, NOAA National Centers for Environmental Information (public domain)."
	creditERA5      = "Reanalysis through Open-Meteo.com, under CC BY 4.0 (https://creativecommons.org/licenses/by/4.0/), made from modified Copernicus Climate Change Service information; a model's account of the past, and no report."
)

// How many requests a day a feed gets at most. Each is far below what the feed
// publishes where it publishes a limit, and enough for a club's waters; a fault
// in this program then cannot become a flood. All our choice.
const (
	budgetAWC       = 150  // one file every ten minutes is 144
	budgetNWS       = 2000 // 48 rounds of 3 stations at a dozen waters; no limit is published
	budgetDWD       = 1000 // 24 hourly rounds at 40 waters; no limit is published
	budgetAlerts    = 2000 // of each feed of warnings: 48 rounds at 40 cells; no limit is published
	budgetMETNorway = 5000 // 48 rounds at 100 cells; the feed bears 20 a second
	budgetSMHI      = 1000 // 48 rounds at 20 cells; no limit is published
	budgetOpenMeteo = 1000 // a tenth of the free use of 10,000 calls a day
	budgetERA5      = 300  // months, each of which may count as some ten calls of the same 10,000
	budgetArchives  = 500  // station-years: a hundred waters' three stations, or one water's 160 years
)

// feeds is every feed of present weather and official warnings, in the order
// they are asked; of forecasts also in the order they are preferred. Warnings have
// names and budgets of their own, so that neither they nor the weather of one
// service can use up what the other may ask.
func feeds() []source {
	return []source{
		{awc.Source, budgetAWC, creditAWC, askReports, parseReports, nil},
		{nws.Source, budgetNWS, creditNWS, askStationsUS, parseStationsUS, nil},
		{nws.AlertSource, budgetAlerts, creditNWSAlerts, askAlertsUS, parseAlertsUS, PullStore.ConfirmWarnings},
		{nws.Source, budgetNWS, creditNWS, askObservationsUS, parseObservationsUS, nil},
		{brightsky.AlertSource, budgetAlerts, creditDWDAlerts, askAlertsDE, parseAlertsDE, PullStore.ConfirmWarnings},
		{brightsky.Source, budgetDWD, creditDWD, askObservationsDE, parseObservationsDE, nil},
		{locationforecast.Source, budgetMETNorway, creditMETNorway, askLocationforecast, parseLocationforecast, PullStore.ConfirmForecast},
		{smhi.Source, budgetSMHI, creditSMHI, askSMHI, parseSMHI, PullStore.ConfirmForecast},
		{openmeteo.Source, budgetOpenMeteo, creditOpenMeteo, askOpenMeteo, parseOpenMeteo, PullStore.ConfirmForecast},
	}
}

// archives serve times past, in the order they are asked.
func archives() []source {
	return []source{
		{name: isd.Source, budget: budgetArchives, credit: creditISD},
		{name: ghcnh.Source, budget: budgetArchives, credit: creditGHCNh},
		{name: openmeteo.ArchiveSource, budget: budgetERA5, credit: creditERA5},
	}
}

// How often each feed may be asked at most, whatever its headers allow; our
// choice, within their terms (weather pack, section 8).
const (
	reportsEvery  = 10 * time.Minute
	alertsEvery   = 10 * time.Minute
	hourlyEvery   = 30 * time.Minute // feeds of hourly values
	forecastEvery = 30 * time.Minute
	stationsEvery = 7 * 24 * time.Hour
	archiveEvery  = 24 * time.Hour
)

// aheadAllowed is how far ahead of our clock a report may be dated: clocks
// differ (weather pack, section 6).
const aheadAllowed = 15 * time.Minute

// notAhead refuses a report about a time to come.
func notAhead(at, now time.Time) error {
	if at.After(now.Add(aheadAllowed)) {
		return model.Invalidf("observation time", "a report is about a time that has passed", "it is dated %s, and it is %s now", at.Format(time.RFC3339), now.Format(time.RFC3339))
	}
	return nil
}
