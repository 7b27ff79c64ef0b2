package model

import "time"

// Lease is the right to one run of a scheduled job, so that of several programs
// on one store one runs it. It is named by the job and the instant at which the
// run was due.
type Lease struct {
	Job     string
	Due     time.Time
	Holder  string
	Fence   int64 // grows with each lease taken on the job: what bears an old one is late
	Expires time.Time
	Outcome LeaseOutcome
}

// LeaseOutcome is how the run of a lease ended.
type LeaseOutcome string

// The outcomes.
const (
	LeaseOpen   LeaseOutcome = "" // it has not ended
	LeaseDone   LeaseOutcome = "done"
	LeaseFailed LeaseOutcome = "failed"
)
