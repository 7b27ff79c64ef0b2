package ghcnh

import (
	"fmt"
	"regexp"

	"osier/model"
)

// Source is what stations and reports from here are marked with.
const Source = "ghcnh"

// stationID is a country, a network and the number in it, eleven characters in
// all.
var stationID = regexp.MustCompile(`^[A-Z]{2}[A-Z0-9]{9}$`)

// firstYear is before any report of the archive (our choice).
const firstYear = 1700

// URL is the address of one station-year. The station is its eleven characters,
// such as USW00026442. (The address is from memory, and as users of the archive
// give it.)
func URL(station string, year int) (string, error) {
	if !stationID.MatchString(station) {
		return "", model.Invalidf("station", "give the eleven characters of the network, such as USW00026442", "%q is no such name", station)
	}
	if year < firstYear || year > 2200 {
		return "", model.Invalidf("year", fmt.Sprintf("the archive has no report before %d", firstYear), "there is no year %d in it", year)
	}
	return fmt.Sprintf("https://www.ncei.noaa.gov/oa/global-historical-climatology-network/hourly/access/by-year/%d/psv/GHCNh_%s_%d.psv", year, station, year), nil
}
