// Package nws reads the observations, the lists of stations and the official
// warnings of api.weather.gov, the interface of the US National Weather Service,
// and writes the addresses to ask for them.
//
// Units are read from each value and never assumed: a value in a unit this
// package does not know is missing, with a warning. So is a value that no
// weather on record comes near. The service's own mark beside a value decides
// whether it is used: what failed its checks is missing.
//
// The raw report, where there is one, is preferred, since gusts and thunder are
// known to be lost on the way into the JSON. This package does not decode it:
// the caller does, and hands the outcome to Report.Prefer, which keeps the
// values of the JSON where the raw report has none.
//
// The pressure called barometricPressure is reduced with the standard
// atmosphere, as an altimeter setting is: a station at 1726 m gave 1011.9 hPa.
// It is stored as QNH.
//
// The data are works of the US government, in the public domain.
//
// Reference: NWS, api.weather.gov OpenAPI document and general FAQ (May 2024);
// the older shape as found in recordings of 2019 to 2022.
package nws
