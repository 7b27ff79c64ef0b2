package openmeteo

import (
	"fmt"
	"math"
	"net/url"
	"strconv"
	"strings"
	"time"

	"osier/model"
)

// What forecasts from here are marked with.
const (
	Source        = "openmeteo"
	ArchiveSource = "openmeteo-archive" // reanalysis, not a station
)

// archiveStart is the first day of the archive (ERA5).
var archiveStart = time.Date(1940, time.January, 1, 0, 0, 0, 0, time.UTC)

// URL is the address of the forecast of the coming days for a place: latitude
// -90 to 90 and longitude -180 to 180 degrees, north and east positive, and the
// height above sea level in metres, left out where it is not known.
// Coordinates are rounded to four decimals, about ten metres.
func URL(latDeg, lonDeg float64, elevationM model.Maybe[model.Metres]) (string, error) {
	query, err := hourly(latDeg, lonDeg)
	if err != nil {
		return "", err
	}
	if elevationM.Known {
		// The lowest shore and the highest summit on earth, with room.
		if err := model.Between("elevation_m", float64(elevationM.Value), -500, 9000, "m"); err != nil {
			return "", err
		}
		query.Set("elevation", fmt.Sprintf("%.0f", math.Round(float64(elevationM.Value))+0))
	}
	return "https://api.open-meteo.com/v1/forecast?" + query.Encode(), nil
}

// ArchiveURL is the address of the past hours of a place as the reanalysis has
// them, for whole days in GMT from the day of one instant to the day of
// another, both included, not before 1940. The rain of the very last hour is
// not in the answer. Coordinates are as for URL.
func ArchiveURL(latDeg, lonDeg float64, from, to time.Time) (string, error) {
	query, err := hourly(latDeg, lonDeg)
	if err != nil {
		return "", err
	}
	from, to = from.UTC(), to.UTC()
	if from.Before(archiveStart) {
		return "", model.Invalidf("from", "the archive begins in 1940", "%s is before it", from.Format(time.DateOnly))
	}
	if to.Before(from) || to.Year() > 9999 {
		return "", model.Invalidf("to", "give a time after "+from.Format(time.DateOnly), "%s is none", to.Format(time.DateOnly))
	}
	query.Set("start_date", from.Format(time.DateOnly))
	query.Set("end_date", to.Format(time.DateOnly))
	return "https://archive-api.open-meteo.com/v1/archive?" + query.Encode(), nil
}

// hourly is the part of a question that both addresses share.
func hourly(latDeg, lonDeg float64) (url.Values, error) {
	if err := model.Between("lat", latDeg, -90, 90, "degrees"); err != nil {
		return nil, err
	}
	if err := model.Between("lon", lonDeg, -180, 180, "degrees"); err != nil {
		return nil, err
	}
	var names []string
	for _, q := range everyQuantity {
		names = append(names, q.names[0])
	}
	return url.Values{
		"latitude": {fourDecimals(latDeg)}, "longitude": {fourDecimals(lonDeg)},
		"hourly":          {strings.Join(names, ",")},
		"wind_speed_unit": {"ms"}, "timezone": {"GMT"}, "timeformat": {"unixtime"},
	}, nil
}

// fourDecimals never writes -0, which would be a second address of one place.
func fourDecimals(deg float64) string {
	return strconv.FormatFloat(math.Round(deg*1e4)/1e4+0, 'f', -1, 64)
}
