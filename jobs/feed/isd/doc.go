// Package isd reads station-years of the Integrated Surface Data of NOAA's
// National Centers for Environmental Information, in both their forms: one text
// line a report, in fixed positions with optional items after them (Parse), and
// a CSV table of the same groups of fields under their names (ParseCSV). It also
// reads the archive's list of stations (ParseStations).
//
// It takes temperature, dew point, wind, gust, pressures, rain, cloud and
// thunder, each with its quality mark: what is marked erroneous is missing,
// what is marked suspect stays and lowers the trust in the report. Whatever
// quality control blanked stays blank, also where the raw report at the end of
// the line still shows a number. The pressure tendency is not read: it is
// computed from the pressures.
//
// Not read: past weather (AY, AZ), which looks back over hours, and the present
// weather of US airfields in items AU, whose thunder their items AW repeat.
//
// The data are a work of the US government, in the public domain.
//
// Reference: Federal Climate Complex Data Documentation for Integrated Surface
// Data (DS3505), field table.
package isd
