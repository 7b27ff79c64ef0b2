package model

import (
	"encoding/json"
	"reflect"
	"time"
)

// EventKind is what happened.
type EventKind string

// The kinds of event of a session.
const (
	EventStart    EventKind = "start"     // who fishes where, and the feed planned
	EventFill     EventKind = "fill"      // the feeder is filled, so wound in
	EventTopUp    EventKind = "top_up"    // several fills together, beside the casts
	EventChange   EventKind = "change"    // of clip, hook bait, hook length or feeder
	EventCast     EventKind = "cast"      // the feeder is thrown
	EventSettled  EventKind = "settled"   // it lies on the bottom and the line is tight
	EventLineBite EventKind = "line_bite" // contact with the line only
	EventBite     EventKind = "bite"      // a true bite
	EventMissed   EventKind = "missed"    // struck at, and no fish
	EventLost     EventKind = "lost"      // a fish hooked and lost
	EventFish     EventKind = "fish"      // landed
	EventReading  EventKind = "reading"   // of a thermometer in the water
	EventPause    EventKind = "pause"     // wound in, not fishing until the next cast
	EventEnd      EventKind = "end"       // the last wind-in
	EventWithdraw EventKind = "withdraw"  // takes back the event that it replaces
)

// eventKinds stand in the order in which events of one instant are taken: a
// phone that sends fill and cast with one touch means the fill first.
var eventKinds = []EventKind{
	EventStart, EventFill, EventTopUp, EventChange, EventCast, EventSettled, EventLineBite, EventBite, EventMissed,
	EventLost, EventFish, EventReading, EventPause, EventEnd, EventWithdraw,
}

// Event is one thing that happened in a session, as a device logged it. Events
// may come in any order and more than once; a session is rebuilt from them alone.
type Event struct {
	ID   string    `json:"id"` // made by the device, its own in the session
	Kind EventKind `json:"kind"`
	At   time.Time `json:"at"` // when it happened, by the device's clock
	// MadeAt is when it was written down, At where not given. Of two corrections
	// of one event the one written last holds.
	MadeAt   Maybe[time.Time] `json:"made_at"`
	Replaces string           `json:"replaces,omitempty"` // the event it corrects
	// ClockSetS is by how many seconds the device's clock had been set forward when
	// it told both, since the device began to count; backward below 0.
	ClockSetS float64 `json:"clock_set_s,omitempty"`

	Start        *EventStartOf  `json:"start,omitempty"`
	Feeder       FeederUsed     `json:"feeder"`
	FillG        Maybe[Grams]   `json:"fill_g"`
	Fills        Maybe[int]     `json:"fills"` // of a top-up; 1 when not given
	Particles    string         `json:"particles,omitempty"`
	Group        Group          `json:"group,omitempty"`
	FishG        Maybe[Grams]   `json:"fish_g"`
	DistanceM    Maybe[Metres]  `json:"clip_distance_m"`
	HookBait     string         `json:"hook_bait,omitempty"`
	HookLengthCm Maybe[float64] `json:"hook_length_cm"`
	Temp         Maybe[Celsius] `json:"temp_c"`
	DepthM       Maybe[Metres]  `json:"depth_m"` // of a reading
}

// EventStartOf is who fishes where.
type EventStartOf struct {
	Water   string              `json:"water"`
	Angler  string              `json:"angler"`
	Group   Group               `json:"group"`
	Peg     string              `json:"peg,omitempty"`
	Rods    int                 `json:"rods,omitempty"` // 1: events tell of one line
	PlanID  string              `json:"plan_id,omitempty"`
	RateGH  Maybe[GramsPerHour] `json:"planned_rate_g_h"`
	DepthM  Maybe[Metres]       `json:"depth_m"`
	Opening Opening             `json:"opening"`
}

// EventBatch is what a device sends at once. Each event is read by itself, so
// that one that cannot be read does not lose the others.
type EventBatch struct {
	SentAt    time.Time         `json:"sent_at"`               // by the device's clock, as it sends
	ClockSetS float64           `json:"clock_set_s,omitempty"` // as of an event, when it sends
	Events    []json.RawMessage `json:"events"`
}

// Limits on events; our choice.
const (
	MostEvents  = 500                 // of one batch
	MostLogged  = 5000                // of one session
	eventsAhead = 2 * time.Minute     // how far past its receipt an event may lie
	eventsBack  = 31 * 24 * time.Hour // how long after it happened it may come
	mostSkew    = 7 * 24 * time.Hour  // beyond it a device's clock is not believed
)

// DecodeEvent reads one event. A field that is unknown, given twice or of the
// wrong kind is refused.
func DecodeEvent(body []byte) (Event, error) {
	var e Event
	err := decodeStrict(body, &e)
	return e, err
}

// written is when the event was written down.
func (e Event) written() time.Time { return e.MadeAt.Or(e.At) }

// SameEvent says whether two events of one name say the same.
func SameEvent(a, b Event) bool {
	for _, e := range []*Event{&a, &b} {
		e.At = instant(e.At)
		e.MadeAt.Value = instant(e.MadeAt.Value)
	}
	return reflect.DeepEqual(a, b)
}

// LoggedEvent is an event as it was received.
type LoggedEvent struct {
	Event
	Received time.Time     `json:"received"`
	Skew     time.Duration `json:"skew_ns"` // of the clock that told it, as its batch showed
}

// EventStatus says what became of an event.
type EventStatus string

// What can become of an event.
const (
	EventStored    EventStatus = "stored"
	EventDuplicate EventStatus = "duplicate" // stored already, and the same
	EventRefused   EventStatus = "refused"
)

// EventOutcome says what became of one event of a batch, in the batch's order.
type EventOutcome struct {
	ID     string      `json:"id"` // empty where it could not be read
	Status EventStatus `json:"status"`
	Field  string      `json:"field,omitempty"` // such as events[3].at
	Wrong  string      `json:"wrong,omitempty"`
	Right  string      `json:"right,omitempty"`
}

// EventsTaken answers a batch: what became of each event, and what all events of
// the session tell so far.
type EventsTaken struct {
	Outcomes []EventOutcome `json:"outcomes"`
	Session  *Live          `json:"session"`           // null before start and first cast have come
	Waiting  string         `json:"waiting,omitempty"` // for what, while session is null
	Record   LiveRecord     `json:"record"`            // what the end made of it
	Demo     bool           `json:"demo"`
}

// LiveRecord says what became of the record of a session that its events ended.
type LiveRecord struct {
	Status  RowStatus `json:"status"`            // empty before the end
	ID      string    `json:"id,omitempty"`      // of the stored record
	Problem string    `json:"problem,omitempty"` // why it was refused; the events stay
}
