package model

import "time"

// JobRun is one run of a scheduled stage, kept so that anybody can see what was
// done and what failed.
type JobRun struct {
	ID        string           `json:"id"`
	Job       string           `json:"job"`
	StartedAt time.Time        `json:"started_at"`
	EndedAt   Maybe[time.Time] `json:"ended_at"`
	DurationS Maybe[float64]   `json:"duration_s"`
	Counts    map[string]int   `json:"counts"`
	Error     string           `json:"error,omitempty"`
}

// Import is the report of one file of session records, row by row.
type Import struct {
	ID         string      `json:"id"`
	File       string      `json:"file"`
	Angler     string      `json:"angler,omitempty"` // who brought it, where all of it is one angler's own
	Digest     string      `json:"digest"`           // of the bytes as they came
	At         time.Time   `json:"at"`
	Stored     int         `json:"stored"`
	Queried    int         `json:"queried"`
	Duplicates int         `json:"duplicates"`
	Refused    int         `json:"refused"`
	Rows       []RowReport `json:"rows"`
	Demo       bool        `json:"demo"`
}

// RowReport says what became of one record of an imported file.
type RowReport struct {
	Row      int       `json:"row"` // line of a CSV file, or position in a JSON list, from 1
	Session  string    `json:"session,omitempty"`
	Status   RowStatus `json:"status"`
	Problems []string  `json:"problems,omitempty"`
}

// RowStatus is what became of a record.
type RowStatus string

// What can become of a record.
const (
	RowStored    RowStatus = "stored"
	RowQueried   RowStatus = "stored with queries"
	RowDuplicate RowStatus = "duplicate"
	RowRefused   RowStatus = "refused"
)
