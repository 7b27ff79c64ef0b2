package model

import (
	"encoding/json"
	"fmt"
)

// KeptOutlook is an outlook as it is stored: its very bytes, what they say, and
// what its expectations were computed from.
type KeptOutlook struct {
	Outlook
	Body  []byte
	Basis []OutlookBasis
}

// OutlookBasis is what one published expectation is computed from. It is kept
// apart from the outlook, so that it can be scored and its rates stay rounded.
type OutlookBasis struct {
	Water string        `json:"water"`
	Date  string        `json:"date"`
	Group Group         `json:"group"`
	Mean  float64       `json:"mean_bites_per_h"`
	Basis ForecastBasis `json:"basis"`
}

// Keep writes an outlook down, without what is only told beside it.
func (o Outlook) Keep(basis []OutlookBasis) (KeptOutlook, error) {
	o.SupersededBy, o.SincePublished, o.NewerDraft, o.Scores = "", nil, "", nil
	body, err := json.Marshal(o)
	if err != nil {
		return KeptOutlook{}, fmt.Errorf("write outlook %s down: %w", o.ID, err)
	}
	return KeptOutlook{Outlook: o, Body: body, Basis: basis}, nil
}

// KeptOutlookScore is a score as it is stored: with the sessions behind its
// figures, where figures are shown.
type KeptOutlookScore struct {
	OutlookScore
	Behind []string
}

// SessionDeleted is why figures that were shown are withdrawn for good.
const SessionDeleted = "a session behind it was deleted"

// Withdrawn is the score without its figures, since a session behind them was
// deleted. It names no session any more.
func (s KeptOutlookScore) Withdrawn() KeptOutlookScore {
	s.Expected, s.Observed, s.Inside90 = Maybe[float64]{}, Maybe[float64]{}, Maybe[float64]{}
	s.Withheld, s.Behind = []string{SessionDeleted}, nil
	return s
}

// Told is an outlook as it is read: its very bytes, and in front of them what is
// told beside it, where there is any.
func (k KeptOutlook) Told() ([]byte, error) {
	beside, err := json.Marshal(struct {
		SupersededBy   string         `json:"superseded_by,omitempty"`
		SincePublished []OutlookSince `json:"since_published,omitempty"`
		Scores         []OutlookScore `json:"scores,omitempty"`
	}{k.SupersededBy, k.SincePublished, k.Scores})
	if err != nil {
		return nil, fmt.Errorf("tell outlook %s: %w", k.ID, err)
	}
	if string(beside) == "{}" {
		return k.Body, nil
	}
	beside[len(beside)-1] = ','
	return append(beside, k.Body[1:]...), nil
}
