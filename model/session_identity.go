package model

import (
	"crypto/sha256"
	"encoding/hex"
	"reflect"
	"regexp"
	"strings"
	"time"
)

// identitySlot is how far apart two starts may be typed and still be the same
// session: people round to the quarter hour. Our choice.
const identitySlot = 15 * time.Minute

// IdentityKey names what makes a session one and the same: the water, the
// angler, the group fished for and the start, rounded to 15 minutes in UTC.
func (s Session) IdentityKey() string {
	start := s.Start.UTC().Round(identitySlot).Format(time.RFC3339)
	return strings.Join([]string{s.Water, s.Angler, string(s.Group), start}, "|")
}

// DerivedID is the identifier of a session that came without one: "s-" and a
// short digest of its identity, so that the same session sent twice gets the
// same identifier on any machine.
func (s Session) DerivedID() string {
	sum := sha256.Sum256([]byte(s.IdentityKey()))
	return "s-" + hex.EncodeToString(sum[:8])
}

// derivedForm is that of identifiers that are made of what a session is.
var derivedForm = regexp.MustCompile(`^s-[0-9a-f]{16}$`)

// IsDerivedForm says whether an identifier could be one that is made of what a
// session is. Whoever guesses angler, water and hour can work such a one out, so
// an answer must not say whether somebody else's session of that name is there.
func IsDerivedForm(id string) bool { return derivedForm.MatchString(id) }

// UnderOwnName is the session without an identifier that is made of what another
// session is: it gets its own.
func (s Session) UnderOwnName() Session {
	if IsDerivedForm(s.ID) {
		s.ID = s.DerivedID()
	}
	return s
}

// Duplicate compares two records. Same identity and same content is a
// duplicate. Same identity and other content is a conflict, and differs names
// the fields that differ, as JSON names them. Two records of different
// identity are neither: false and nothing named. Identifier, time of writing,
// time of entry and queries are not content: they say how the record came here.
// Nor is it content with whom it is shared.
func Duplicate(a, b Session) (same bool, differs []string) {
	if a.IdentityKey() != b.IdentityKey() {
		return false, nil
	}
	va, vb := reflect.ValueOf(contentOf(a)), reflect.ValueOf(contentOf(b))
	for i := range va.NumField() {
		if !reflect.DeepEqual(va.Field(i).Interface(), vb.Field(i).Interface()) {
			name, _, _ := strings.Cut(va.Type().Field(i).Tag.Get("json"), ",")
			differs = append(differs, name)
		}
	}
	return len(differs) == 0, differs
}

// contentOf strips what says how a record came here, and puts every time into
// UTC so that equal instants are equal values.
func contentOf(s Session) Session {
	s.ID, s.WrittenAt, s.EnteredAt, s.Queries, s.SharedWith = "", Maybe[time.Time]{}, time.Time{}, nil, nil
	s.Start, s.End = instant(s.Start), instant(s.End)
	s.Planned.DecidedAt.Value = instant(s.Planned.DecidedAt.Value)
	s.WaterTemp.Value.At.Value = instant(s.WaterTemp.Value.At.Value)
	var intervals []Interval
	for _, v := range s.Intervals {
		v.Start, v.End = instant(v.Start), instant(v.End)
		intervals = append(intervals, v)
	}
	var casts []Cast
	for _, c := range s.Casts {
		c.In, c.Out = instant(c.In), instant(c.Out)
		casts = append(casts, c)
	}
	s.Intervals, s.Casts = intervals, casts
	if len(s.Fish) == 0 {
		s.Fish = nil
	}
	return s
}

func instant(t time.Time) time.Time { return t.Round(0).UTC() }
