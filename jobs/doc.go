// Package jobs holds the stages that move data to the right, and the schedule
// that runs them: Pull (feeds to observations), Join (sessions with the weather
// that ruled them), Fit, Score (issued plans and published outlooks against what
// happened), the drafts of outlooks, and Prune. Beside them stands what answers
// questions, such as Planner, Advisor and Outlooker, and what takes things in or
// deletes them, such as Recorder, Restrictor and Privacy.
//
// A stage, Prune apart, reads what is stored on its left, writes one thing on its right, and
// can be run again at any time: the same input gives the same output and
// nothing is doubled. A stage that fails leaves everything on its right as it
// was. The package declares the few store methods it needs; cmd/osier hands
// the store over.
package jobs
