package model

import "time"

// KeepFrom says from when on what only grows is kept; what is older goes, as far
// as nothing needs it.
type KeepFrom struct {
	JobRuns   time.Time // by their start; the newest 50 of each job stay whatever their age
	Answers   time.Time // to writes with an idempotency key, by when they were given
	Forecasts time.Time // by when they were fetched; see the store for what needs one
	Leases    time.Time // on runs, by when those were due; the newest of each job stays
}
