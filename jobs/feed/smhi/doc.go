// Package smhi reads the point forecasts of SMHI, in the shape of 2026 (a data
// object of named values for each time) and in the older one (a parameters list
// of short names with their units), and writes the address to ask for one.
//
// In the older shape units are read from the answer: a variable in a unit this
// package does not know is missing, with a warning. The newer one names none;
// its units are the documented ones, C, m/s, degrees, hPa, per cent, oktas of
// cloud and kg of water to the square metre, which are millimetres. 9999 stands
// for a missing value. Values are rounded by the feed one by one, so that a
// least amount of precipitation may exceed the mean; only the mean is read.
//
// Precipitation is what fell from the start of an interval to its time. It is
// given here with the step that begins there, so the last entry has none. The
// older shape gives it as a rate for the time since the entry before.
//
// Steps grow from one hour to twelve. The position is the grid point's, not the
// one asked for; fetch time and the place asked for are the caller's to fill in.
//
// Data: SMHI, open data, CC BY 4.0 (from memory); who shows it says so.
//
// Reference: the answer as recorded in 2026. The interval that precipitation is
// of, the mark 9999, the symbols and the older shape are from memory.
package smhi
