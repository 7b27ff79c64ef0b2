package jobs_test

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
)

// memory is as much of a store as live sessions without readings ask for.
type memory struct {
	jobs.RecordStore // nil: nothing else is asked
	events           []model.LoggedEvent
	record           *model.Session
	version          int
}

func (m *memory) AddEvents(_ context.Context, _ string, events []model.LoggedEvent) ([]model.EventStatus, error) {
	statuses := make([]model.EventStatus, len(events))
	for i, e := range events {
		statuses[i] = model.EventStored
		for _, was := range m.events {
			if was.ID == e.ID {
				return nil, fmt.Errorf("%s was handed to the store twice", e.ID)
			}
		}
		m.events = append(m.events, e)
	}
	return statuses, nil
}

func (m *memory) Events(context.Context, string) ([]model.LoggedEvent, error) { return m.events, nil }

func (m *memory) Water(context.Context, string) (model.Water, error) { return reedmere, nil }

func (m *memory) Session(_ context.Context, id string) (model.Session, int, error) {
	if m.record == nil {
		return model.Session{}, 0, model.NotFoundf("session", "", "there is no session %q", id)
	}
	return *m.record, m.version, nil
}

func (m *memory) SessionByIdentity(context.Context, string) (model.Session, error) {
	return model.Session{}, model.NotFoundf("session", "", "there is none")
}

func (m *memory) Sessions(context.Context, string, string, time.Time, time.Time) ([]model.Session, error) {
	return nil, nil
}

func (m *memory) AddSession(_ context.Context, s model.Session) error {
	m.record, m.version = &s, 1
	return nil
}

func (m *memory) ReplaceSession(_ context.Context, s model.Session, version int) error {
	if version != m.version {
		return fmt.Errorf("version %d was changed, and %d is stored", version, m.version)
	}
	m.record, m.version = &s, version+1
	return nil
}

// streamOf makes events of bytes, two each, from few kinds, names and times. One
// name in eight is used twice, and then what was said of it differs.
func streamOf(data []byte) []json.RawMessage {
	kinds := []string{"start", "cast", "cast", "settled", "bite", "missed", "fish", "line_bite", "fill", "top_up", "pause", "end", "withdraw", "lost", "change", "splash"}
	var out []json.RawMessage
	for i := 0; i+1 < len(data) && len(out) < 40; i += 2 {
		a, b := data[i], data[i+1]
		n := len(out)
		if b>>5 == 7 && n > 0 {
			n--
		}
		kind, more := kinds[a%16], ""
		if kind == "start" {
			more = startOf("reedmere")
		}
		if kind == "withdraw" || a>>6 == 3 {
			more += fmt.Sprintf(`,"replaces":"e%d"`, a>>2%16)
		}
		out = append(out, json.RawMessage(said(fmt.Sprint("e", n), kind, float64(60-b%32), more)))
	}
	return out
}

// FuzzTakeEvents: a session is the same to the byte whether its events come at
// once or one by one from behind, each batch twice; and so is a record that both
// ways made in the end.
func FuzzTakeEvents(f *testing.F) {
	f.Add([]byte{0, 0, 1, 1, 4, 5, 6, 6, 11, 30})
	f.Add([]byte{0, 0, 1, 1, 1, 8, 12, 9, 12, 0xe9, 11, 30, 6, 9, 6, 0xf0})
	f.Add([]byte{11, 31, 1, 2, 0xc6, 9, 0xc1, 9, 0, 1, 10, 20, 15, 3})
	f.Fuzz(func(t *testing.T, data []byte) {
		events := streamOf(data)
		if len(events) == 0 {
			return
		}
		var at [2]*memory
		var taken [2]model.EventsTaken
		for way := range at {
			at[way] = &memory{}
			live := &jobs.Live{Store: at[way], Recorder: &jobs.Recorder{Store: at[way], Now: func() time.Time { return noon }}, Now: func() time.Time { return noon }}
			for _, batch := range batches(events, way) {
				for range 2 {
					var err error
					if taken[way], err = live.TakeEvents(t.Context(), "s-live", model.EventBatch{SentAt: noon, Events: batch}); err != nil {
						t.Fatal(err)
					}
				}
			}
		}
		if a, b := text(t, taken[0].Session), text(t, taken[1].Session); a != b || taken[0].Waiting != taken[1].Waiting {
			t.Fatalf("at once %s %s\none by one %s %s", a, taken[0].Waiting, b, taken[1].Waiting)
		}
		if taken[0].Session == nil || !taken[0].Session.Ended || taken[0].Record.Status == model.RowRefused {
			return
		}
		if a, b := text(t, at[0].record), text(t, at[1].record); a != b {
			t.Fatalf("the record at once %s\none by one %s", a, b)
		}
	})
}

// batches are all events at once, or each by itself from behind. Those of one
// name stay together: which of two that contradict comes first would matter.
func batches(events []json.RawMessage, way int) [][]json.RawMessage {
	if way == 0 {
		return [][]json.RawMessage{events}
	}
	var out [][]json.RawMessage
	last := ""
	for i := len(events) - 1; i >= 0; i-- {
		var named struct{ ID string }
		if json.Unmarshal(events[i], &named) == nil && named.ID == last {
			out[len(out)-1] = append(out[len(out)-1], events[i])
			continue
		}
		last = named.ID
		out = append(out, []json.RawMessage{events[i]})
	}
	return out
}

func text(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	done(t, err)
	return string(b)
}
