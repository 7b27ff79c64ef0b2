// Package openmeteo reads the hourly answers of Open-Meteo, forecast and
// archive, which have one shape, and writes the addresses to ask for them.
//
// Units are read from the answer's own hourly_units and never assumed: a
// variable in a unit this package does not know is missing, with a warning. So
// is a value that no weather on record comes near, and a whole variable whose
// list is not as long as the list of times.
//
// Times without an offset are taken with the answer's utc_offset_seconds. An
// answer has one offset for all its hours, also for those on the other side of
// a clock change, so no rules of a zone are applied to them; whoever wants
// local days makes them from the instants. The addresses written here ask for
// unix time in GMT and leave nothing to convert.
//
// Precipitation is the sum of the hour before its time. It is given here with
// the hour it fell in, so the last hour of an answer has none. A gust is the
// highest of the hour before its time and stays with that time. The pressure
// read is the one reduced to mean sea level; surface_pressure is another kind
// and is never read.
//
// The answer does not say when the forecast was issued, and its position is
// the grid cell's: issue time, fetch time and the place asked for are the
// caller's to fill in.
//
// The archive is a reanalysis (ERA5, from 1940): a model's account of the past
// on a grid and not the report of a station. Its newest days may be empty.
//
// Weather data by Open-Meteo.com under CC BY 4.0; who shows it says so. Free
// use is for non-commercial purposes.
//
// Reference: Open-Meteo OpenAPI documents and licence page (2026).
package openmeteo
