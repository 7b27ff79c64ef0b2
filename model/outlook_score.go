package model

import "time"

// OutlookScore is how what was published fared against what was recorded: of one
// water, day and group, or of one water and calendar month with all its groups
// together. Figures are null where the disclosure rule withholds them, and do not
// change once shown: sessions that come in later are not in them.
type OutlookScore struct {
	Club     string         `json:"club"`
	Outlook  string         `json:"outlook_id,omitempty"` // of a day: that in force as its hours began
	Water    string         `json:"water"`
	Date     string         `json:"date"`                 // a day, 2026-11-28, or a month, 2026-11
	Group    Group          `json:"group,omitempty"`      // none of a month
	Sessions string         `json:"sessions"`             // as a band
	Expected Maybe[float64] `json:"expected_bites_per_h"` // weighted by the hours fished; to half a bite
	Observed Maybe[float64] `json:"observed_bites_per_h"` // by the hours fished; to half a bite
	Inside90 Maybe[float64] `json:"share_inside_90"`      // of sessions whose count fell inside the interval; to a tenth
	Withheld []string       `json:"withheld,omitempty"`   // why figures are not shown
	ScoredAt time.Time      `json:"scored_at"`
	Demo     bool           `json:"demo"`
}
