// Package plan puts the weather, the water, the fish, the feeder, the records
// and the cautions together into what an angler reads.
//
// It goes one way: hourly weather at a water becomes a History (with the water
// temperature the weather makes), a History becomes conditions and drivers,
// and drivers, fit and cautions become a plan. Cautions are computed first and
// know nothing of the model; hours they strike out show no expected activity.
// Missing weather lowers confidence in so many words and clears nothing.
//
// It reads no clock and no store; the caller gives it everything.
package plan
