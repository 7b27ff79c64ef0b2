// Package ghcnh reads the hourly Global Historical Climatology Network, with
// which NOAA's National Centers for Environmental Information follow the
// Integrated Surface Data: a table whose cells are parted by bars, one report a
// row, six columns an element.
//
// It takes temperature, dew point, wind, gust, the three pressures, rain and
// thunder, each under its quality code, whose meaning depends on the source the
// value came from. Values are written in the units they are stored in. Two
// headings are read: that of tables over all years of a station, as recorded,
// and that of tables of one year, which gives the time in one column (as users
// of the archive describe it; no such table was recorded).
//
// Not read: visibility, which is in kilometres from one source and in metres
// from another; the cover of single cloud layers, which is not that of the sky;
// the pressure change, which is computed from the pressures; and what is derived
// from other values.
//
// The data are a work of the US government, in the public domain.
//
// Reference: two recorded tables; Global Historical Climatology Network hourly,
// documentation, from memory and as users of the archive describe it.
package ghcnh
