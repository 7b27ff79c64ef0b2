package plan

import (
	"sort"
	"time"

	"osier/model"
)

// Shared is a history that many answers read, with what each of them would work
// out alike. Nothing of it changes, so any number may read it at a time.
type Shared struct {
	history    *History
	conditions []model.ConditionHour // of every hour, by their values
	stood      map[issue]time.Time
}

// issue names a forecast among those for one place.
type issue struct {
	source   string
	issuedAt int64 // Unix nanoseconds
}

// Share works out once what answers from a history have in common. The forecasts
// are those that it was made from: by them it can be told how old their hours are
// at another time. The history itself is not to be changed afterwards.
func Share(h *History, forecasts []model.Forecast) (*Shared, error) {
	s := &Shared{history: h, stood: map[issue]time.Time{}}
	for _, f := range forecasts {
		s.stood[issue{f.Source, f.IssuedAt.UnixNano()}] = f.ConfirmedAt
	}
	if len(h.hours) == 0 {
		return s, nil
	}
	var err error
	s.conditions, err = h.conditionHours(h.hours[0].At, h.hours[len(h.hours)-1].At.Add(time.Hour))
	return s, err
}

// Until is the history up to an instant, as told at a time other than the one it
// was made at, and how many hours it has. Between the two times nothing may have
// come but age: that is the caller's to know.
func (s *Shared) Until(to, now time.Time) (_ *History, hours int) {
	h := *s.history
	n := sort.Search(len(h.hours), func(i int) bool { return h.hours[i].At.After(to) })
	h.hours, h.temps, h.conditions = h.hours[:n:n], h.temps[:n:n], s.conditions[:n:n]
	h.Now, h.stood = now, s.stood
	return &h, n
}

// aged is where a value came from, as old as it is now.
func (h *History) aged(from model.Provenance) model.Provenance {
	if h.stood == nil {
		return from
	}
	if from.AgeMin.Known {
		from.AgeMin = model.MinutesSince(from.At.Value, h.Now)
	}
	if from.ConfirmedMin.Known {
		from.ConfirmedMin = model.MinutesSince(h.stood[issue{from.Source, from.At.Value.UnixNano()}], h.Now)
	}
	return from
}
