package nws

import (
	"fmt"
	"math"
	"regexp"
	"strconv"

	"osier/model"
)

// Source is what stations and reports from here are marked with.
const Source = "nws"

const host = "https://api.weather.gov"

// mostObservations is the most that one answer holds (OpenAPI document).
const mostObservations = 500

// stationID is the form of a station's name. Aerodromes have four letters and
// digits, other networks up to a dozen; the limits are our choice and keep the
// name whole in an address.
var stationID = regexp.MustCompile(`^[A-Z0-9][A-Z0-9_-]{1,19}$`)

// ObservationsURL is the address of a station's newest observations, the newest
// first: at most limit of them, 1 to 500.
func ObservationsURL(station string, limit int) (string, error) {
	if !stationID.MatchString(station) {
		return "", model.Invalidf("station", "give its capital letters and digits, such as KDCA", "%.40q is no station", station)
	}
	if limit < 1 || limit > mostObservations {
		return "", model.Invalidf("limit", "ask for 1 to 500 observations", "%d is out of range", limit)
	}
	return fmt.Sprintf("%s/stations/%s/observations?limit=%d", host, station, limit), nil
}

// StationsURL is the address of the list of stations near a place: latitude -90
// to 90 and longitude -180 to 180 degrees, north and east positive. Coordinates
// are rounded to four decimals, the most that the feed takes. It may answer
// with a redirect to the list of the place's grid cell (from memory).
func StationsURL(latDeg, lonDeg float64) (string, error) {
	if err := model.Between("lat", latDeg, -90, 90, "degrees"); err != nil {
		return "", err
	}
	if err := model.Between("lon", lonDeg, -180, 180, "degrees"); err != nil {
		return "", err
	}
	return fmt.Sprintf("%s/points/%s,%s/stations", host, fourDecimals(latDeg), fourDecimals(lonDeg)), nil
}

// fourDecimals never writes -0, which would be a second address of one place,
// nor a trailing zero, which the feed answers with a redirect (from memory).
func fourDecimals(deg float64) string {
	return strconv.FormatFloat(math.Round(deg*1e4)/1e4+0, 'f', -1, 64)
}
