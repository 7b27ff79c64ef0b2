// Package water models the temperature of a shallow stillwater from the weather
// above it.
//
// It holds the heat balance of a water surface, one well-mixed layer (a slab)
// stepped by that balance from hour to hour, what the slab does about ice, the
// yearly climate curve that answers where there is no weather, and the 80 %
// interval that goes with every figure. The state of a run is a plain value: it
// can be stored and the run taken up again, to the last bit.
//
// It does not hold the weather itself (the caller gives it, hour by hour, with
// what is missing marked as missing), readings of a thermometer, or oxygen.
// There is one layer only, so the figure near the surface and the figure at the
// depth fished are the same, except that below 4 C the bottom may be warmer.
//
// References: Edinger, Brady and Geyer 1974, Heat Exchange and Transport in the
// Environment; Ryan and Harleman 1973; Kasten and Czeplak 1980, Solar Energy
// 24:177-189; Brutsaert 1975, Water Resources Research 11:742-744; Crawford and
// Duchon 1999; Bolton 1980; Allen et al. 1998 (FAO-56). The slab's effective
// depth, wind factor and stand-ins for missing weather were picked on measured
// lakes for the project's reference pack (water and fish, section 2).
package water
