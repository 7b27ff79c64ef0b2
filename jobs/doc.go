// Package jobs holds the stages that move data to the right, and the schedule
// that runs them: Pull (feeds to observations), Join (sessions with the weather
// that ruled them), Fit, and Plan, which answers questions. Recorder takes
// session records in.
//
// A stage reads what is stored on its left, writes one thing on its right, and
// can be run again at any time: the same input gives the same output and
// nothing is doubled. A stage that fails leaves everything on its right as it
// was. The package declares the few store methods it needs; cmd/osier hands
// the store over.
package jobs
