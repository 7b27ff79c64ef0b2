package smhi

import (
	"math"
	"strconv"

	"osier/model"
)

// Source is what forecasts from here are marked with.
const Source = "smhi"

// URL is the address of the forecast for a place: latitude -90 to 90 and
// longitude -180 to 180 degrees, north and east positive, rounded to four
// decimals. The feed covers the north of Europe and has nothing elsewhere. (The
// address is from memory.)
func URL(latDeg, lonDeg float64) (string, error) {
	if err := model.Between("lat", latDeg, -90, 90, "degrees"); err != nil {
		return "", err
	}
	if err := model.Between("lon", lonDeg, -180, 180, "degrees"); err != nil {
		return "", err
	}
	return "https://opendata-download-metfcst.smhi.se/api/category/snow1g/version/1/geotype/point/lon/" +
		fourDecimals(lonDeg) + "/lat/" + fourDecimals(latDeg) + "/data.json", nil
}

// fourDecimals never writes -0, which would be a second address of one place.
func fourDecimals(deg float64) string {
	return strconv.FormatFloat(math.Round(deg*1e4)/1e4+0, 'f', -1, 64)
}
