package storetest

import (
	"fmt"
	"testing"
	"time"

	"osier/model"
)

// loggedEvent is an invented event with everything set that a fish may have.
func loggedEvent(id string, at time.Time) model.LoggedEvent {
	return model.LoggedEvent{
		Event: model.Event{
			ID: id, Kind: model.EventFish, At: at, MadeAt: model.Known(at.Add(time.Second)), Replaces: "e-0",
			Group: model.Bream, FishG: model.Known[model.Grams](1450),
		},
		Received: at.Add(time.Minute), Skew: 300 * time.Millisecond,
	}
}

func events(t *testing.T, s Store) {
	ctx := t.Context()
	first, second, third := loggedEvent("e-b", noon), loggedEvent("e-a", noon.Add(time.Hour)), loggedEvent("e-c", noon.Add(-time.Hour))
	before := revision(t, s)
	statuses, err := s.AddEvents(ctx, "s-live", []model.LoggedEvent{first, second})
	wantSame(t, "the first batch", []model.EventStatus{model.EventStored, model.EventStored}, got(t, statuses, err))

	otherwise := second
	otherwise.FishG = model.Known[model.Grams](900)
	later := first
	later.Received, later.Skew = noon.Add(9*time.Hour), time.Hour // sent again: the same event
	statuses, err = s.AddEvents(ctx, "s-live", []model.LoggedEvent{later, otherwise, third, third})
	want := []model.EventStatus{model.EventDuplicate, model.EventRefused, model.EventStored, model.EventDuplicate}
	wantSame(t, "the second batch", want, got(t, statuses, err))

	statuses, err = s.AddEvents(ctx, "s-other", []model.LoggedEvent{otherwise})
	wantSame(t, "the same name in another session", []model.EventStatus{model.EventStored}, got(t, statuses, err))
	list, err := s.Events(ctx, "s-live")
	wantSame(t, "events in the order they came", []model.LoggedEvent{first, second, third}, got(t, list, err))
	list, err = s.Events(ctx, "s-none")
	if len(got(t, list, err)) != 0 {
		t.Errorf("%d events of a session nobody fished", len(list))
	}
	if after := revision(t, s); after != before {
		t.Errorf("events changed the revision from %d to %d, and no plan depends on them", before, after)
	}
}

func eventsAtOnce(t *testing.T, s Store) {
	ctx := t.Context()
	stored := make([]int, writers)
	atOnce(t, func(writer int) error {
		for n := range writesOfEach { // every writer sends the same events, each batch over the end of the one before
			batch := []model.LoggedEvent{loggedEvent(fmt.Sprint("e-", n), noon), loggedEvent(fmt.Sprint("e-", n+1), noon)}
			statuses, err := s.AddEvents(ctx, "s-live", batch)
			if err != nil {
				return err
			}
			for _, status := range statuses {
				if status == model.EventRefused {
					return fmt.Errorf("an event contradicts itself")
				}
				if status == model.EventStored {
					stored[writer]++
				}
			}
		}
		return nil
	})
	sum := 0
	for _, n := range stored {
		sum += n
	}
	list, err := s.Events(ctx, "s-live")
	names := map[string]bool{}
	for _, e := range got(t, list, err) {
		names[e.ID] = true
	}
	if len(list) != writesOfEach+1 || len(names) != len(list) || sum != len(list) {
		t.Errorf("%d events of %d names are stored and %d were said to be new, want %d", len(list), len(names), sum, writesOfEach+1)
	}
}

func eventsDeleted(t *testing.T, s Store) {
	ctx := t.Context()
	record := session(1)
	done(t, s.AddSession(ctx, record))
	for _, id := range []string{record.ID, "s-begun", "s-stays"} {
		_, err := s.AddEvents(ctx, id, []model.LoggedEvent{loggedEvent("e-1", noon)})
		done(t, err)
	}
	done(t, s.DeleteSession(ctx, record.ID))
	done(t, s.DeleteSession(ctx, "s-begun")) // not a record yet
	wantError(t, s.DeleteSession(ctx, "s-begun"), model.NotFound, "there is no session", "s-begun")
	for id, want := range map[string]int{record.ID: 0, "s-begun": 0, "s-stays": 1} {
		list, err := s.Events(ctx, id)
		if len(got(t, list, err)) != want {
			t.Errorf("%s has %d events, want %d", id, len(list), want)
		}
	}
}
