package locationforecast

import (
	"fmt"
	"math"
	"net/url"
	"strconv"

	"osier/model"
)

// Source is what forecasts from here are marked with.
const Source = "locationforecast"

// Variant is one of the feed's two lengths of answer.
type Variant string

// The variants. Complete adds the dew point, gusts and the chance of thunder
// where the region's model has them.
const (
	Compact  Variant = "compact"
	Complete Variant = "complete"
)

// URL is the address of the forecast for a place: latitude -90 to 90 and
// longitude -180 to 180 degrees, north and east positive, and the height above
// sea level in metres, left out where it is not known. Coordinates are rounded
// to four decimals, the most that the feed's terms allow.
func URL(latDeg, lonDeg float64, elevationM model.Maybe[model.Metres], variant Variant) (string, error) {
	if err := model.Between("lat", latDeg, -90, 90, "degrees"); err != nil {
		return "", err
	}
	if err := model.Between("lon", lonDeg, -180, 180, "degrees"); err != nil {
		return "", err
	}
	if variant != Compact && variant != Complete {
		return "", model.Invalidf("variant", "ask for compact or complete", "%q is none", variant)
	}
	query := url.Values{"lat": {fourDecimals(latDeg)}, "lon": {fourDecimals(lonDeg)}}
	if elevationM.Known {
		// The lowest shore and the highest summit on earth, with room.
		if err := model.Between("elevation_m", float64(elevationM.Value), -500, 9000, "m"); err != nil {
			return "", err
		}
		query.Set("altitude", fmt.Sprintf("%.0f", math.Round(float64(elevationM.Value))+0))
	}
	return "https://api.met.no/weatherapi/locationforecast/2.0/" + string(variant) + "?" + query.Encode(), nil
}

// fourDecimals never writes -0, which would be a second address of one place.
func fourDecimals(deg float64) string {
	return strconv.FormatFloat(math.Round(deg*1e4)/1e4+0, 'f', -1, 64)
}
