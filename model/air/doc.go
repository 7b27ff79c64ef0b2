// Package air turns what a station or a forecast says about the air into what
// it means for somebody who sits still beside water: wind chill and heat index,
// humidity, pressure at one level or another and its three-hour trend, the wind
// scale, and the exact units between them.
//
// It holds arithmetic only. Which station to believe, how old a report may be
// and what to warn of are decided elsewhere. Every function takes plain numbers
// in the units that its parameters name. What lies outside the range of a
// published equation, or is not a number, has no value: the second result is
// then false and the first is 0.
//
// Sources:
//   - Joint Action Group on Temperature Indices (2001), the wind chill index of
//     the US National Weather Service and Environment Canada.
//   - Rothfusz (1990), The heat index equation, NWS Technical Attachment
//     SR 90-23, a regression on Steadman (1979), J. Appl. Meteor. 18.
//   - Steadman (1994), Norms of apparent temperature in Australia, Aust. Met.
//     Mag. 43, 1-16, in the Bureau of Meteorology's approximation.
//   - WMO-No. 8, Guide to Instruments and Methods of Observation, Annex 4.B:
//     the Magnus form for the vapour pressure.
//   - Alduchov and Eskridge (1996), J. Appl. Meteor. 35, 601-609.
//   - Deutscher Wetterdienst, VuB 2 BUFR, p. 28: reduction to sea level.
//   - ICAO standard atmosphere.
//   - WMO-No. 306, Manual on Codes, vol. I.1: code table 0200, regulation
//     12.2.3.5 and the Beaufort scale of Section E.
//   - UK Met Office, glossary of marine forecast terms: the trend's words.
package air
