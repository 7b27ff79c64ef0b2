package jobs

import (
	"sync"
	"sync/atomic"
)

// room is how much may still be held, in records of some kilobyte each.
type room struct{ left atomic.Int64 }

func roomFor(records int64) *room {
	r := &room{}
	r.left.Store(records)
	return r
}

// take says whether there is room for so many more, and takes it.
func (r *room) take(records int) bool {
	if r.left.Add(int64(-records)) >= 0 {
		return true
	}
	r.left.Add(int64(records))
	return false
}

// once holds what is made once for each key and then given to all who ask, as
// long as there is room. Who asks while it is made waits for it; what could not be
// made, or found no room, is made anew for the next. It is shared: nobody may
// change it.
type once[K comparable, V any] struct {
	mu   sync.Mutex
	made map[K]*making[V]
}

// making is what is held, or being made, for one key.
type making[V any] struct {
	mu      sync.Mutex
	value   V
	records int // that it counts for; 0 while it is not made
}

// get gives what is held for a key, or makes it and says for how many records it
// counts, at least one.
func (o *once[K, V]) get(in *room, key K, make func() (value V, records int, err error)) (V, error) {
	return o.getWhere(in, key, func(V) bool { return true }, make)
}

// getWhere does so where what is held still holds.
func (o *once[K, V]) getWhere(in *room, key K, holds func(V) bool, make func() (value V, records int, err error)) (V, error) {
	m := o.of(key)
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.records > 0 && holds(m.value) {
		return m.value, nil
	}
	in.left.Add(int64(m.records))
	m.records = 0
	value, records, err := make()
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.made[key] == nil { // whom this one waited for could not make it
		o.made[key] = m
	}
	switch held := o.made[key] == m; {
	case held && err == nil && in.take(records):
		m.value, m.records = value, records
	case held:
		delete(o.made, key)
	}
	return value, err
}

func (o *once[K, V]) of(key K) *making[V] {
	o.mu.Lock()
	defer o.mu.Unlock()
	m, known := o.made[key]
	if !known {
		if o.made == nil {
			o.made = map[K]*making[V]{}
		}
		m = &making[V]{}
		o.made[key] = m
	}
	return m
}
