// Package metar reads METAR and SPECI, the hourly and special reports of
// aerodromes, and the bulletins that carry them.
//
// It is pure: text in, values out, units converted once. It does not fetch,
// does not know the month of a report (ResolveTime is told the reference), and
// does not judge a report against its neighbours.
//
// The order of the body follows WMO-No. 306, Manual on Codes, vol. I.1, FM 15
// METAR and FM 16 SPECI (1995 edition with Supplement 3 of 2001); the remarks
// follow the Federal Meteorological Handbook No. 1, FCM-H1-1995, chapter 12.
// Real reports break both, so a group that is not understood is skipped and
// never fails the report: what is missing stays missing.
package metar
