package cache

import (
	"encoding/binary"
	"errors"
	"time"
)

// Entry is a value and how long it may be used. Times are kept to the
// millisecond and compared between the clocks of replicas, so a replica whose
// clock is a second off is a second off here too.
type Entry struct {
	Value []byte
	// StoredAt is when the value was made; its age counts from here.
	StoredAt time.Time
	// FreshUntil is when the value begins to be stale.
	FreshUntil time.Time
	// StaleUntil is when even a stale value may no longer be used. Not after
	// FreshUntil, there is no stale time at all.
	StaleUntil time.Time

	// retryAt holds back the next attempt to refresh after one that failed.
	retryAt time.Time
}

// NewEntry makes an entry that is fresh for a time and then stale for another.
func NewEntry(value []byte, now time.Time, fresh, stale time.Duration) Entry {
	until := now.Add(fresh)
	return Entry{Value: value, StoredAt: now, FreshUntil: until, StaleUntil: until.Add(stale)}
}

// Stale says whether the value is past its fresh time.
func (e Entry) Stale(now time.Time) bool { return !now.Before(e.FreshUntil) }

// Age is how long ago the value was made, never negative.
func (e Entry) Age(now time.Time) time.Duration { return max(0, now.Sub(e.StoredAt)) }

// due says whether the value is stale and may be refreshed by now.
func (e Entry) due(now time.Time) bool { return e.Stale(now) && !now.Before(e.retryAt) }

// RefreshFailed says whether the value is given because refreshing it failed.
func (e Entry) RefreshFailed() bool { return e.retryAt.After(e.FreshUntil) }

// failedLately says whether an attempt to refresh the value failed a moment ago.
func (e Entry) failedLately(now time.Time) bool {
	return e.RefreshFailed() && now.Sub(e.retryAt) < retryAfter
}

// usable says whether the value may be given out at all, fresh or stale.
func (e Entry) usable(now time.Time) bool { return now.Before(e.end()) }

// end is when the value may no longer be used.
func (e Entry) end() time.Time {
	if e.StaleUntil.After(e.FreshUntil) {
		return e.StaleUntil
	}
	return e.FreshUntil
}

// entryForm is the first byte of an encoded entry. Another form gets another
// number, and an old program then takes it for a miss.
const entryForm = 1

// encode puts the form, the time of storing in Unix milliseconds, the three
// other times as differences to it, and the value behind one another.
func (e Entry) encode() []byte {
	stored := e.StoredAt.UnixMilli()
	b := make([]byte, 1, 1+4*binary.MaxVarintLen64+len(e.Value))
	b[0] = entryForm
	b = binary.AppendVarint(b, stored)
	for _, t := range []time.Time{e.FreshUntil, e.StaleUntil} {
		b = binary.AppendVarint(b, t.UnixMilli()-stored)
	}
	b = binary.AppendVarint(b, max(0, e.retryAt.UnixMilli()-stored)) // mostly there is none: one byte
	return append(b, e.Value...)
}

// decodeEntry reads what encode wrote. The value is not copied.
func decodeEntry(b []byte) (Entry, error) {
	if len(b) == 0 || b[0] != entryForm {
		return Entry{}, errors.New("not an entry of this form")
	}
	b = b[1:]
	var ms [4]int64
	for i := range ms {
		v, n := binary.Varint(b)
		if n <= 0 {
			return Entry{}, errors.New("an entry that is cut short in its times")
		}
		ms[i], b = v, b[n:]
	}
	at := func(i int) time.Time { return time.UnixMilli(ms[0] + ms[i]).UTC() }
	return Entry{
		Value: b, StoredAt: time.UnixMilli(ms[0]).UTC(),
		FreshUntil: at(1), StaleUntil: at(2), retryAt: at(3),
	}, nil
}
