// Package isdlite reads station-years of ISD-Lite, the short form that NOAA's
// National Centers for Environmental Information made of the Integrated Surface
// Data: one line an hour, eight values in columns of fixed width.
//
// The hour of a line is that of reports made in the ten minutes before it up to
// it, and values of one line may come from reports that far apart; the two of
// the wind always come together. What the makers marked as erroneous, and
// reports between the hours, are gone already. Gusts, the altimeter setting,
// thunder and the raw reports are not in it, and neither is the place of the
// station.
//
// The data are a work of the US government, in the public domain.
//
// Reference: Integrated Surface Data - Lite, format and technical documents, 20
// June 2006. The meaning of the sky codes, the scale of the precipitation and
// its trace are from memory of them.
package isdlite
