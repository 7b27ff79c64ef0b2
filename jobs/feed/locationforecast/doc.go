// Package locationforecast reads the Locationforecast 2.0 answers of MET
// Norway, in the compact and the complete variant, and writes the addresses to
// ask for them.
//
// Units are read from the answer's own meta.units and never assumed: a variable
// in a unit this package does not know is missing, with a warning. So is a
// value that no weather on record comes near. The dew point is given only where
// the answer gives it.
//
// Data from MET Norway under NLOD 2.0 and CC BY 4.0; who shows it says so.
//
// Reference: MET Norway, Locationforecast data model, HowTo and Forecast JSON
// (documentation of March 2023).
package locationforecast
