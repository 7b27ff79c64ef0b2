// Package water models the temperature of a shallow stillwater from the weather
// above it.
//
// It holds the heat balance of a water surface; a well-mixed layer stepped by
// that balance from hour to hour, with a second layer below it in deep water;
// what it does about ice; a lag of air and sun that needs no wind or humidity
// and is averaged with the balance; the yearly climate curve that answers where
// there is no weather; the 80 % interval that goes with every figure; and the
// correction of it all by thermometer readings. The state of a run is a plain
// value: it can be stored and the run taken up again, to the last bit.
//
// It does not hold the weather itself (the caller gives it, hour by hour, with
// what is missing marked as missing) or oxygen. A water of up to 3.5 m has one
// figure for surface and bottom; how much cooler a bottom may stand is in the
// low end of its interval. Nor does it learn a share of the wind, a depth or a
// warmth of the surface for a water from its readings, or widen the interval of a
// sheltered or stained one: on measured lakes nothing of the kind helped without
// harm to another lake.
//
// References: Edinger, Brady and Geyer 1974, Heat Exchange and Transport in the
// Environment; Ryan and Harleman 1973; Kasten and Czeplak 1980, Solar Energy
// 24:177-189; Brutsaert 1975, Water Resources Research 11:742-744; Crawford and
// Duchon 1999; Bolton 1980; Allen et al. 1998 (FAO-56). The slab's effective
// depth, wind factor and stand-ins for missing weather were picked on measured
// lakes for the project's reference pack (water and fish, section 2).
package water
