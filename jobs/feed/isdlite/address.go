package isdlite

import (
	"fmt"
	"regexp"

	"osier/model"
)

// Source is what reports from here are marked with.
const Source = "isd-lite"

// stationID is USAF and WBAN number, as in the full form of the archive.
var stationID = regexp.MustCompile(`^[A-Z0-9][0-9]{5}-[0-9]{5}$`)

// URL is the address of one station-year, packed with gzip. The station is the
// USAF number, a hyphen and the WBAN number, such as 014160-99999. (The address
// is from memory; the archive's years begin in 1901.)
func URL(station string, year int) (string, error) {
	if !stationID.MatchString(station) {
		return "", model.Invalidf("station", "give the USAF and the WBAN number, such as 014160-99999", "%q is no such pair", station)
	}
	if year < 1901 || year > 2200 {
		return "", model.Invalidf("year", "the archive begins in 1901", "there is no year %d in it", year)
	}
	return fmt.Sprintf("https://www.ncei.noaa.gov/pub/data/noaa/isd-lite/%d/%s-%d.gz", year, station, year), nil
}
