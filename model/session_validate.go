package model

import (
	"time"
	"unicode"
	"unicode/utf8"
)

// What a record may hold. The bounds are our choice: wide enough for anything
// that was really fished, narrow enough to catch a slip of the keys.
const (
	longestSession = 24 * time.Hour
	clockSlack     = 15 * time.Minute // how far a phone's clock may run ahead
	mostCount      = 5000
	mostRods       = 4
	longestHandle  = 40   // characters
	longestText    = 200  // characters
	longestNotes   = 2000 // characters
	firstYear      = 1950
	maxOffsetS     = 14 * 3600
)

// ValidateAt is Validate and also refuses a record dated after now: one that
// starts, ends or was written later than a clock may be wrong by (15 min).
func (s Session) ValidateAt(water Water, now time.Time) error {
	if err := s.Validate(water); err != nil {
		return err
	}
	return s.validateNotAhead(now)
}

// Validate refuses a record that contradicts itself, lacks what every record
// must have, or is of another water. What is only doubtful is left to Guards.
func (s Session) Validate(water Water) error {
	if err := s.validateRecord(); err != nil {
		return err
	}
	if s.Water != water.ID {
		return Invalidf("water", "send it to its own water", "the session is of %s, not of %s", s.Water, water.ID)
	}
	return nil
}

// validateRecord is the part of Validate that needs no water.
func (s Session) validateRecord() error {
	for _, check := range []func() error{
		s.validateNames, s.validateShares, s.validateSpan, s.validateTexts, s.validateCounts, s.validateCatch,
		s.validateFeed, s.validateMeasures, s.validateStyle,
	} {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

func (s Session) validateNotAhead(now time.Time) error {
	latest := now.Add(clockSlack)
	for _, f := range []struct {
		field, what string
		at          time.Time
	}{
		{"start", "starts", s.Start},
		{"end", "ends", s.End},
		{"written_at", "was written", s.WrittenAt.Or(now)},
	} {
		if f.at.After(latest) {
			return Invalidf(f.field, "record a session when it is over; check day, month and year", "it %s at %s, which is still to come", f.what, f.at.Format(time.RFC3339))
		}
	}
	return nil
}

func (s Session) validateNames() error {
	for _, id := range []struct{ field, id string }{{"id", s.ID}, {"water", s.Water}} {
		if id.id == "" {
			return Invalidf(id.field, "give it, such as quillmarsh-pit", "it is missing")
		}
		if err := ValidateID(id.field, id.id); err != nil {
			return err
		}
	}
	if err := ValidateHandle("angler", s.Angler); err != nil {
		return err
	}
	if err := s.Group.Validate("group"); err != nil {
		return err
	}
	return oneOf("style", s.Style, styles)
}

// ValidateHandle refuses a name of an angler that is not 1 to 40 letters,
// digits, dots, hyphens and underscores. A handle is no real name.
func ValidateHandle(field, handle string) error {
	const right = "give a handle of 1 to 40 letters, digits, dots, hyphens and underscores"
	if n := utf8.RuneCountInString(handle); n == 0 || n > longestHandle {
		return Invalidf(field, right, "the handle has %d characters", n)
	}
	if first, _ := utf8.DecodeRuneInString(handle); !unicode.IsLetter(first) && !unicode.IsDigit(first) {
		return Invalidf(field, right+", the first a letter or digit", "%q cannot begin a handle", first)
	}
	for _, r := range handle {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '.' && r != '-' && r != '_' {
			return Invalidf(field, right, "%q cannot stand in a handle", r)
		}
	}
	return nil
}

func (s Session) validateShares() error { return validateClubs("shared_with", s.SharedWith) }

func (s Session) validateSpan() error {
	times := []struct {
		field string
		at    time.Time
	}{{"start", s.Start}, {"end", s.End}}
	if s.WrittenAt.Known {
		times = append(times, struct {
			field string
			at    time.Time
		}{"written_at", s.WrittenAt.Value})
	}
	for _, t := range times {
		if err := validateInstant(t.field, t.at); err != nil {
			return err
		}
	}
	length := s.End.Sub(s.Start)
	if length <= 0 {
		return Invalidf("end", "give the last wind-in, later than the first cast", "%s is not after the start %s", s.End.Format(time.RFC3339), s.Start.Format(time.RFC3339))
	}
	if length > longestSession {
		return Invalidf("end", "record each day as a session of its own, 24 h at most", "the session lasts %.1f h", length.Hours())
	}
	if err := Between("breaks_min", s.BreaksMin, 0, longestSession.Minutes(), "min"); err != nil {
		return err
	}
	if s.HoursFished() <= 0 {
		return Invalidf("breaks_min", "give the minutes without a line in the water", "breaks of %v min leave nothing of a session of %.0f min", s.BreaksMin, length.Minutes())
	}
	if s.Rods < 1 || s.Rods > mostRods {
		return Invalidf("rods", "give 1 to 4 rods", "%d rods is out of range", s.Rods)
	}
	return nil
}

func validateInstant(field string, t time.Time) error {
	if t.IsZero() {
		return Invalidf(field, timeForms, "it is missing")
	}
	if t.Year() < firstYear || t.Year() > 9999 {
		return Invalidf(field, "give the year in four figures", "the year %d is out of range", t.Year())
	}
	if _, offsetS := t.Zone(); offsetS < -maxOffsetS || offsetS > maxOffsetS || offsetS%60 != 0 {
		return Invalidf(field, "give an offset in whole minutes of at most 14 h", "no zone has an offset of %d s", offsetS)
	}
	return nil
}

func (s Session) validateTexts() error {
	for _, t := range s.texts() {
		most := longestText
		if t.field == "notes" {
			most = longestNotes
		}
		if n := utf8.RuneCountInString(*t.text); n > most {
			return Invalidf(t.field, "shorten it", "it has %d characters, and %d are kept", n, most)
		}
		if !utf8.ValidString(*t.text) {
			return Invalidf(t.field, "send it as UTF-8", "it is no readable text")
		}
		for _, r := range *t.text {
			if unicode.IsControl(r) && r != '\n' {
				return Invalidf(t.field, "write plain text", "it holds the control character %q", r)
			}
		}
	}
	return nil
}

// textField is one field of free words.
type textField struct {
	field string
	text  *string
}

// texts lists the fields of free words.
func (s *Session) texts() []textField {
	return []textField{
		{"peg", &s.Peg},
		{"bites_text", &s.BitesText},
		{"groundbait", &s.Groundbait},
		{"particles", &s.Particles},
		{"hook_bait", &s.HookBait},
		{"ripple", &s.Ripple},
		{"wind_felt", &s.WindFelt},
		{"neighbours", &s.Neighbours},
		{"plan_id", &s.PlanID},
		{"notes", &s.Notes},
	}
}
