// Package brightsky reads the hourly answers and the official warnings of Bright
// Sky, which serves the open data of Deutscher Wetterdienst, and writes the
// addresses to ask for them.
//
// One answer mixes what stations measured with what is forecast, and fills what
// the first station lacks from others. Here both are taken apart again: each
// value goes to the source that it came from, so that no wind or pressure of
// one station passes for another's. Measured values become observations of
// their station, forecast values one forecast.
//
// The answer does not name its units. They are those of the service's own
// default (C, km/h, hPa, mm, per cent), which the addresses written here ask
// for by name; an answer whose temperatures or pressures are plainly in kelvin
// or pascals is refused as a whole, since its winds could not be told.
//
// A time is the end of the hour that wind, gust and rain are of. An observation
// keeps that time; in the forecast, rain is given with the hour it falls in.
// Pressure is reduced to sea level. Only a thunderstorm is said of thunder: any
// other condition may come from a station without an observer, so it proves
// nothing.
//
// Data: Deutscher Wetterdienst, under its terms of use; who shows it names it
// as the source.
//
// Reference: the answer as recorded in 2024; meaning of the values and
// condition names from memory; warnings after the service's published answer
// models (2023).
package brightsky
