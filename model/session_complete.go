package model

import (
	"strings"
	"time"
)

// Defaults is what a reader of records is told beside the records.
type Defaults struct {
	Water  string                    // where a record names none
	Angler string                    // where a record names none
	Zones  map[string]*time.Location // of local times, by water
	Zone   *time.Location            // of local times at any other water; nil refuses them
	Now    time.Time                 // when the records were entered
}

// zone is the zone of local times at a water.
func (d Defaults) zone(water string) *time.Location {
	if water == "" {
		water = d.Water
	}
	if zone := d.Zones[water]; zone != nil {
		return zone
	}
	return d.Zone
}

// Completed fills what may be left out of a record as it was sent: water and
// angler from the defaults, totals from hours or casts, the
// identifier. Words are trimmed and feed levels spelt the one way; the time of
// entry is set and earlier queries are dropped, as they are raised anew. An
// error says which total its parts contradict. The record is not yet
// validated.
func (s Session) Completed(d Defaults) (Session, error) {
	s.trimWords()
	if s.Water == "" {
		s.Water = d.Water
	}
	if s.Angler == "" {
		s.Angler = d.Angler
	}
	if len(s.Fish) == 0 {
		s.Fish = nil
	}
	s.EnteredAt, s.Queries = d.Now, nil
	s, err := s.withTotals()
	if s.ID == "" {
		s.ID = s.DerivedID()
	}
	return s, err
}

// trimWords also copies the hours, so that the caller's record is not changed.
func (s *Session) trimWords() {
	for _, t := range s.texts() {
		*t.text = strings.TrimSpace(*t.text)
	}
	s.Planned.Level = feedLevel(s.Planned.Level)
	s.Intervals = append([]Interval(nil), s.Intervals...)
	for i := range s.Intervals {
		s.Intervals[i].Level = feedLevel(s.Intervals[i].Level)
	}
}

// feedLevel spells a level as the plan does, however it was typed.
func feedLevel(text string) string {
	for _, l := range feedLevels {
		if strings.EqualFold(strings.TrimSpace(text), l) {
			return l
		}
	}
	return text
}

// ParsedSession is a session read from a file and the rows that told of it.
type ParsedSession struct {
	Session Session
	Rows    []int
}
