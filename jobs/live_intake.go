package jobs

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"osier/model"
)

// intake is a batch of events on its way in. What becomes of an event does not
// depend on its place in the batch.
type intake struct {
	outcomes []model.EventOutcome
	events   []model.Event // as far as they could be read
	waiting  []int         // places of those not decided yet
	sent     []int         // places of those handed to the store
	firstOf  map[string]int
}

// newIntake reads the events of a batch. Those that cannot be read are refused,
// those stored already are duplicates, and several of one name that do not say
// the same are refused together: which of them is meant, nobody knows.
func newIntake(bodies []json.RawMessage, stored []model.LoggedEvent) *intake {
	in := &intake{outcomes: make([]model.EventOutcome, len(bodies)), events: make([]model.Event, len(bodies)), firstOf: map[string]int{}}
	before := map[string]model.Event{}
	for _, e := range stored {
		before[e.ID] = e.Event
	}
	contradict := map[string]bool{}
	for i, body := range bodies {
		e, err := model.DecodeEvent(body)
		if err != nil {
			in.refuse(i, readID(body), err)
			continue
		}
		in.events[i] = e
		if was, held := before[e.ID]; held {
			in.compare(i, was)
			continue
		}
		in.waiting = append(in.waiting, i)
		if first, seen := in.firstOf[e.ID]; !seen {
			in.firstOf[e.ID] = i
		} else if !model.SameEvent(in.events[first], e) {
			contradict[e.ID] = true
		}
	}
	return in.without(contradict)
}

func (in *intake) without(contradict map[string]bool) *intake {
	var agreed []int
	for _, i := range in.waiting {
		if id := in.events[i].ID; contradict[id] {
			in.refuse(i, id, model.Invalidf("id", "give each event a name of its own, and corrections too", "the batch holds another event of this name that says something else"))
			continue
		}
		agreed = append(agreed, i)
	}
	in.waiting = agreed
	return in
}

func (in *intake) refuse(i int, id string, err error) {
	o := model.EventOutcome{ID: id, Status: model.EventRefused, Field: fmt.Sprintf("events[%d]", i)}
	var known *model.Error
	if errors.As(err, &known) {
		o.Wrong, o.Right = known.Wrong, known.Right
		if known.Field != "" {
			o.Field += "." + known.Field
		}
	}
	o.Wrong = cmp.Or(o.Wrong, err.Error())
	in.outcomes[i] = o
}

// compare holds an event against the stored one of its name, which stays.
func (in *intake) compare(i int, stored model.Event) {
	if model.SameEvent(stored, in.events[i]) {
		in.outcomes[i] = model.EventOutcome{ID: stored.ID, Status: model.EventDuplicate}
		return
	}
	in.contradicts(i)
}

func (in *intake) contradicts(i int) {
	in.refuse(i, in.events[i].ID, model.Invalidf("id", "send a correction under a name of its own, with replaces", "an event of this name is stored and says something else"))
}

// judge refuses what must not be kept. Only a store that fails ends it.
func (in *intake) judge(refusal func(model.Event) error) error {
	var sound []int
	for _, i := range in.waiting {
		err := refusal(in.events[i])
		if code := model.CodeOf(err); err != nil && (code == model.Unavailable || code == model.Internal) {
			return err
		}
		if err != nil {
			in.refuse(i, readableID(in.events[i].ID), err)
			continue
		}
		sound = append(sound, i)
	}
	in.waiting = sound
	return nil
}

// readableID leaves out a name that is none.
func readableID(id string) string {
	if model.ValidateID("id", id) != nil {
		return ""
	}
	return id
}

// fresh are the events to keep, each once.
func (in *intake) fresh(received time.Time, skew func(model.Event) time.Duration) []model.LoggedEvent {
	var out []model.LoggedEvent
	for _, i := range in.waiting {
		e := in.events[i]
		if in.firstOf[e.ID] != i {
			in.outcomes[i] = model.EventOutcome{ID: e.ID, Status: model.EventDuplicate}
			continue
		}
		in.sent = append(in.sent, i)
		out = append(out, model.LoggedEvent{Event: e, Received: received, Skew: skew(e)})
	}
	return out
}

// kept notes what the store made of them: another batch may have come meanwhile.
func (in *intake) kept(statuses []model.EventStatus) {
	for n, i := range in.sent {
		if statuses[n] == model.EventRefused {
			in.contradicts(i)
			continue
		}
		in.outcomes[i] = model.EventOutcome{ID: in.events[i].ID, Status: statuses[n]}
	}
}
