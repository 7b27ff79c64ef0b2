package brightsky

import (
	"math"
	"net/url"
	"strconv"
	"time"

	"osier/model"
)

// Source is what stations, reports and forecasts from here are marked with.
const Source = "brightsky"

// URL is the address of the hours from one instant to another, both included,
// at the stations around a place: latitude -90 to 90 and longitude -180 to 180
// degrees, north and east positive, rounded to four decimals. Hours gone by
// come from measurements, the coming ones from the forecast. (The names of
// last_date and tz are from memory.)
func URL(latDeg, lonDeg float64, from, to time.Time) (string, error) {
	if err := model.Between("lat", latDeg, -90, 90, "degrees"); err != nil {
		return "", err
	}
	if err := model.Between("lon", lonDeg, -180, 180, "degrees"); err != nil {
		return "", err
	}
	from, to = from.UTC(), to.UTC()
	if !believable(from) {
		return "", model.Invalidf("from", "give a time of our age", "%s is none", from.Format(time.RFC3339))
	}
	if to.Before(from) || !believable(to) {
		return "", model.Invalidf("to", "give a time after "+from.Format(time.RFC3339), "%s is none", to.Format(time.RFC3339))
	}
	query := url.Values{
		"lat": {fourDecimals(latDeg)}, "lon": {fourDecimals(lonDeg)},
		"date": {from.Format(time.RFC3339)}, "last_date": {to.Format(time.RFC3339)},
		"tz": {"Etc/UTC"}, "units": {"dwd"},
	}
	return "https://api.brightsky.dev/weather?" + query.Encode(), nil
}

// believable keeps slips such as year 0 out.
func believable(at time.Time) bool { return at.Year() >= 1900 && at.Year() <= 2200 }

// fourDecimals never writes -0, which would be a second address of one place.
func fourDecimals(deg float64) string {
	return strconv.FormatFloat(math.Round(deg*1e4)/1e4+0, 'f', -1, 64)
}
