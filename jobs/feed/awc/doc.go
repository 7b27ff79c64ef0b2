// Package awc reads the cache file of the US Aviation Weather Center: the
// newest report of every station in the world that sends METAR or SPECI, one a
// row, with the station's position.
//
// It takes the raw report, whose it is, where that is and when it was made. It
// does not decode reports, and it leaves the centre's own decoding in the other
// columns alone: that loses speeds and directions which the raw text has.
//
// ParseJSON reads the same reports from the centre's data API, for stations
// named one by one. The schedule asks for the file, which serves every water with
// one request.
//
// The file is a work of the US government, in the public domain.
//
// Reference: Aviation Weather Center, Data API page (2026); the layout as found
// in cache files of 2014 and 2022.
package awc
