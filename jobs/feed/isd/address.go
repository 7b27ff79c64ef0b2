package isd

import (
	"fmt"
	"regexp"
	"strings"

	"osier/model"
)

// Source is what stations and reports from here are marked with.
const Source = "isd"

// stationID is USAF and WBAN number; the first may begin with a letter.
var stationID = regexp.MustCompile(`^[A-Z0-9][0-9]{5}-[0-9]{5}$`)

// URL is the address of one station-year of the fixed form, packed with gzip.
// The station is the USAF number, a hyphen and the WBAN number, such as
// 014160-99999. (The address is from memory; the archive's years begin in 1901.)
func URL(station string, year int) (string, error) {
	if err := checkAddress(station, year); err != nil {
		return "", err
	}
	return fmt.Sprintf("https://www.ncei.noaa.gov/pub/data/noaa/%d/%s-%d.gz", year, station, year), nil
}

// CSVURL is the address of one station-year of the CSV form. The station is
// written as for URL. (The address is from memory.)
func CSVURL(station string, year int) (string, error) {
	if err := checkAddress(station, year); err != nil {
		return "", err
	}
	return fmt.Sprintf("https://www.ncei.noaa.gov/data/global-hourly/access/%d/%s.csv", year, strings.Replace(station, "-", "", 1)), nil
}

func checkAddress(station string, year int) error {
	if !stationID.MatchString(station) {
		return model.Invalidf("station", "give the USAF and the WBAN number, such as 014160-99999", "%q is no such pair", station)
	}
	if year < 1901 || year > 2200 {
		return model.Invalidf("year", "the archive begins in 1901", "there is no year %d in it", year)
	}
	return nil
}
