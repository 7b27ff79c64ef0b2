package model

import (
	"errors"
	"fmt"
	"slices"
	"time"
)

// eventFields say to which kinds a field belongs. One sent with another kind is
// refused: it would be lost in silence.
var eventFields = []struct {
	field string
	given func(Event) bool
	kinds []EventKind
}{
	{"start", func(e Event) bool { return e.Start != nil }, []EventKind{EventStart}},
	{"feeder", func(e Event) bool { return e.Feeder != (FeederUsed{}) }, []EventKind{EventStart, EventChange, EventFill}},
	{"fill_g", func(e Event) bool { return e.FillG.Known }, []EventKind{EventFill, EventTopUp}},
	{"fills", func(e Event) bool { return e.Fills.Known }, []EventKind{EventTopUp}},
	{"particles", func(e Event) bool { return e.Particles != "" }, []EventKind{EventFill, EventTopUp}},
	{"group", func(e Event) bool { return e.Group != "" }, []EventKind{EventFish}},
	{"fish_g", func(e Event) bool { return e.FishG.Known }, []EventKind{EventFish}},
	{"clip_distance_m", func(e Event) bool { return e.DistanceM.Known }, []EventKind{EventStart, EventChange}},
	{"hook_bait", func(e Event) bool { return e.HookBait != "" }, []EventKind{EventStart, EventChange}},
	{"hook_length_cm", func(e Event) bool { return e.HookLengthCm.Known }, []EventKind{EventStart, EventChange}},
	{"temp_c", func(e Event) bool { return e.Temp.Known }, []EventKind{EventReading}},
	{"depth_m", func(e Event) bool { return e.DepthM.Known }, []EventKind{EventReading}},
}

// Validate refuses an event that no session can hold. What it lets through the
// record of the session can hold as well.
func (e Event) Validate() error {
	clock := func() error { return ValidateClockSet(e.ClockSetS) }
	for _, check := range []func() error{e.validateNaming, clock, e.validateFields, e.validateMeasures, e.validateStart} {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

func (e Event) validateNaming() error {
	if err := ValidateID("id", e.ID); err != nil {
		return err
	}
	if err := oneOf("kind", e.Kind, eventKinds); err != nil {
		return err
	}
	if err := validateInstant("at", e.At); err != nil {
		return err
	}
	if e.MadeAt.Known {
		if err := validateInstant("made_at", e.MadeAt.Value); err != nil {
			return err
		}
		if e.MadeAt.Value.Add(eventsAhead).Before(e.At) {
			return Invalidf("made_at", "give both by the device's clock", "it was written before it happened")
		}
	}
	switch {
	case e.Kind == EventWithdraw && e.Replaces == "":
		return Invalidf("replaces", "name the event that is taken back", "nothing is named")
	case e.Replaces == e.ID:
		return Invalidf("replaces", "give the correction an identifier of its own", "an event cannot replace itself")
	case e.Replaces != "":
		return ValidateID("replaces", e.Replaces)
	}
	return nil
}

func (e Event) validateFields() error {
	for _, f := range eventFields {
		if f.given(e) && !slices.Contains(f.kinds, e.Kind) {
			return Invalidf(f.field, "send it with the kind "+orList(f.kinds), "it does not belong to the kind %s", e.Kind)
		}
	}
	switch {
	case e.Kind == EventStart && e.Start == nil:
		return Invalidf("start", "give water, angler and group", "it is missing")
	case e.Kind == EventReading && !e.Temp.Known:
		return Invalidf("temp_c", "give the temperature read", "it is missing")
	}
	return nil
}

// validateMeasures puts what the record will hold into a record, whose own
// checks name the fields alike, and looks at the rest.
func (e Event) validateMeasures() error {
	s := Session{
		Feeder: e.Feeder, DistanceM: e.DistanceM, HookLengthCm: e.HookLengthCm, HookBait: e.HookBait, Particles: e.Particles,
	}
	for _, check := range []func() error{s.validateTexts, s.validateFeed, s.validateMeasures} {
		if err := check(); err != nil {
			return err
		}
	}
	for _, m := range []struct {
		field     string
		value     float64
		low, high float64
		unit      string
	}{
		{"fill_g", float64(e.FillG.Or(0)), 0, 500, "g"},
		{"fills", float64(e.Fills.Or(1)), 1, 50, "fills"},
		{"fish_g", float64(e.FishG.Or(0)), 0, 60000, "g"},
		{"temp_c", float64(e.Temp.Or(0)), -0.5, 40, "C"},
		{"depth_m", float64(e.DepthM.Or(0)), 0, 60, "m"},
	} {
		if err := Between(m.field, m.value, m.low, m.high, m.unit); err != nil {
			return err
		}
	}
	if e.Group != "" {
		return e.Group.Validate("group")
	}
	return nil
}

func (e Event) validateStart() error {
	if e.Start == nil {
		return nil
	}
	if err := e.Start.validate(); err != nil {
		return within("start", err)
	}
	return nil
}

func (s EventStartOf) validate() error {
	if err := ValidateID("water", s.Water); err != nil {
		return err
	}
	if err := ValidateHandle("angler", s.Angler); err != nil {
		return err
	}
	if err := s.Group.Validate("group"); err != nil {
		return err
	}
	if s.Rods != 0 && s.Rods != 1 {
		return Invalidf("rods", "events tell of one line; leave it out, or record the session as a whole", "%d rods", s.Rods)
	}
	if err := Between("planned_rate_g_h", float64(s.RateGH.Or(0)), 0, 5000, "g/h"); err != nil {
		return err
	}
	record := Session{Peg: s.Peg, PlanID: s.PlanID, DepthM: s.DepthM, Opening: s.Opening}
	for _, check := range []func() error{record.validateTexts, record.validateCounts, record.validateFeed, record.validateMeasures} {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

// within puts the name of what holds a field before it.
func within(holder string, err error) error {
	var known *Error
	if !errors.As(err, &known) {
		return err
	}
	named := *known
	named.Field = holder + "." + known.Field
	return &named
}

// ValidateAt refuses an event that cannot have happened by the instant it was
// received, or too long before it, once the device's clock is put right.
func (e Event) ValidateAt(received time.Time, skew time.Duration) error {
	for _, t := range []struct {
		field string
		at    time.Time
	}{{"at", e.At}, {"made_at", e.written()}} {
		if t.at.Add(skew).After(received.Add(eventsAhead)) {
			return Invalidf(t.field, "give a time that is past, and sent_at by the same clock", "%s lies in the future", t.at.Format(time.RFC3339))
		}
	}
	if e.At.Add(skew).Before(received.Add(-eventsBack)) {
		return Invalidf("at", fmt.Sprintf("send events within %.0f days; record an older session as a whole", eventsBack.Hours()/24), "%s is too long ago", e.At.Format(time.RFC3339))
	}
	return nil
}
