package model_test

import (
	"fmt"
	"testing"
	"time"

	"osier/model"
)

// streamOf makes events of bytes, from few names, kinds and times, so that they
// often meet: three bytes each. Names are unique, as the store keeps them.
func streamOf(data []byte) []model.LoggedEvent {
	kinds := []model.EventKind{
		model.EventStart, model.EventCast, model.EventSettled, model.EventBite, model.EventMissed, model.EventLost, model.EventFish,
		model.EventLineBite, model.EventFill, model.EventTopUp, model.EventChange, model.EventReading, model.EventPause, model.EventEnd,
		model.EventWithdraw, model.EventCast,
	}
	var out []model.LoggedEvent
	for i := 0; i+2 < len(data) && len(out) < 64; i += 3 {
		a, b, c := data[i], data[i+1], data[i+2]
		e := event(fmt.Sprintf("e%02d", len(out)), kinds[a%16], "08:00:00")
		e.At = bankside.Add(time.Duration(b%32) * 30 * time.Second)
		if c%4 == 0 || e.Kind == model.EventWithdraw {
			e.Replaces = fmt.Sprintf("e%02d", c>>2%64)
		}
		if c%8 == 1 {
			e.MadeAt = model.Known(e.At.Add(time.Duration(b>>5) * time.Minute))
		}
		if c%16 == 2 {
			e.ClockSetS = float64(b>>4)*90 - 720
		}
		skew := time.Duration(a>>4)*time.Minute - 4*time.Minute
		out = append(out, model.LoggedEvent{Event: e, Received: bankside.Add(time.Hour), Skew: skew})
	}
	return out
}

// shuffled puts events into another order that the bytes choose, some of them
// twice, as batches that are sent again would.
func shuffled(events []model.LoggedEvent, order []byte) []model.LoggedEvent {
	out := append([]model.LoggedEvent(nil), events...)
	for i := range out {
		j := (i*7 + 3) % len(out)
		if len(order) > 0 {
			j = int(order[i%len(order)]) % len(out)
		}
		out[i], out[j] = out[j], out[i]
	}
	for i := range order {
		if len(out) > 0 && order[i]%3 == 0 {
			out = append(out, out[int(order[i])%len(out)])
		}
	}
	return out
}

// FuzzEventStream: whatever the events, in any order and some more than once,
// they tell the same session to the byte; the record of one that ended is valid,
// or refused for one of the reasons that events can give.
func FuzzEventStream(f *testing.F) {
	f.Add([]byte{0x40, 0, 1, 0x41, 2, 1, 0x43, 6, 1, 0x46, 8, 1, 0x4d, 30, 1}, []byte{3, 1, 4})
	f.Add([]byte{0, 0, 2, 1, 1, 2, 1, 1, 2, 12, 5, 2, 13, 5, 2, 14, 6, 8, 14, 7, 20}, []byte{})
	f.Add([]byte{0, 0, 4, 1, 3, 0, 6, 4, 12, 6, 5, 8, 13, 9, 3}, []byte{0, 9, 2, 6})
	f.Add([]byte("000a01"), []byte("0"))
	reasons := map[string]bool{"end": true, "breaks_min": true, "casts": true}
	f.Fuzz(func(t *testing.T, data, order []byte) {
		events := streamOf(data)
		first, err := model.BuildLive("s-live", events)
		again, errAgain := model.BuildLive("s-live", shuffled(events, order))
		if fmt.Sprint(err) != fmt.Sprint(errAgain) || asJSON(t, first) != asJSON(t, again) {
			t.Fatalf("in one order %s, %v\nin another %s, %v", asJSON(t, first), err, asJSON(t, again), errAgain)
		}
		if err != nil || !first.Ended {
			return
		}
		if err := first.Session.Validate(pit); err != nil && !reasons[fieldOf(err)] {
			t.Fatalf("the record is refused: %v\n%s", err, asJSON(t, first))
		}
	})
}

// FuzzDecodeEvent: never a panic; an event that is let through reads the same
// from its own JSON.
func FuzzDecodeEvent(f *testing.F) {
	for _, e := range bankMorning() {
		f.Add([]byte(asJSON(f, e)))
	}
	f.Add([]byte(`{"id":"w1","kind":"withdraw","at":"2026-01-17T08:00:00+01:00","replaces":"k1","made_at":null}`))
	f.Fuzz(func(t *testing.T, body []byte) {
		e, err := model.DecodeEvent(body)
		if err != nil || e.Validate() != nil {
			return
		}
		again, err := model.DecodeEvent([]byte(asJSON(t, e)))
		if err != nil || !model.SameEvent(e, again) {
			t.Fatalf("%s reads again as %s, %v", asJSON(t, e), asJSON(t, again), err)
		}
	})
}
