// Package solar says where the sun stands and when it rises, culminates and
// sets, from a position and a time alone.
//
// It holds the equations that the US National Oceanic and Atmospheric
// Administration publishes as its solar calculation details, which are those of
// Meeus, Astronomical Algorithms (1991, 2nd edition 1998), for the years 1900 to
// 2100. The accuracy claimed is one minute within 72 degrees of the equator;
// hills, trees and the weather are not in it. It knows no time zones: what goes
// in and what comes out are instants.
package solar
