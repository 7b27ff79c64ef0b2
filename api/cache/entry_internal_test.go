package cache

import (
	"bytes"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var noon = time.Date(2026, 5, 9, 12, 0, 0, 0, time.UTC)

func TestEntryThroughTime(t *testing.T) {
	e := NewEntry([]byte("ten grams"), noon, time.Hour, 2*time.Hour)
	for _, c := range []struct {
		after         time.Duration
		stale, usable bool
	}{
		{-time.Minute, false, true}, // another replica's clock is ahead
		{0, false, true},
		{time.Hour - time.Millisecond, false, true},
		{time.Hour, true, true},
		{3*time.Hour - time.Millisecond, true, true},
		{3 * time.Hour, true, false},
	} {
		now := noon.Add(c.after)
		if got := e.Stale(now); got != c.stale {
			t.Errorf("after %s: stale %v, want %v", c.after, got, c.stale)
		}
		if got := e.usable(now); got != c.usable {
			t.Errorf("after %s: usable %v, want %v", c.after, got, c.usable)
		}
		if got, want := e.Age(now), max(0, c.after); got != want {
			t.Errorf("after %s: age %s, want %s", c.after, got, want)
		}
	}
}

func TestEntryWithoutAStaleTime(t *testing.T) {
	e := Entry{StoredAt: noon, FreshUntil: noon.Add(time.Hour)}
	if !e.usable(noon.Add(59*time.Minute)) || e.usable(noon.Add(time.Hour)) {
		t.Error("want it usable for as long as it is fresh, and no longer")
	}
}

func TestEntryIsSmall(t *testing.T) {
	e := NewEntry([]byte("ten grams"), noon, time.Hour, 24*time.Hour)
	if got := len(e.encode()) - len(e.Value); got > 16 {
		t.Errorf("the times take %d bytes, want at most 16", got)
	}
}

func TestEntryComesBackAsItWas(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ms := rapid.Int64Range(-1<<50, 1<<50)
		at := func(name string) time.Time { return time.UnixMilli(ms.Draw(t, name)).UTC() }
		e := Entry{
			Value:    rapid.SliceOf(rapid.Byte()).Draw(t, "value"),
			StoredAt: at("stored"), FreshUntil: at("fresh"), StaleUntil: at("stale"),
		}
		e.retryAt = e.StoredAt.Add(time.Duration(rapid.Int64Range(0, 1e9).Draw(t, "retry")) * time.Millisecond)
		got, err := decodeEntry(e.encode())
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(e, got, cmp.AllowUnexported(Entry{})); diff != "" {
			t.Fatalf("(-put +got):\n%s", diff)
		}
	})
}

func TestEntryCutShort(t *testing.T) {
	whole := NewEntry(nil, noon, time.Hour, time.Hour).encode()
	for n := range whole {
		if _, err := decodeEntry(whole[:n]); err == nil {
			t.Errorf("%d of %d bytes were taken for an entry", n, len(whole))
		}
	}
	if _, err := decodeEntry(append([]byte{entryForm + 1}, whole[1:]...)); err == nil {
		t.Error("another form was taken for this one")
	}
}

func FuzzDecodeEntry(f *testing.F) {
	f.Add(NewEntry([]byte("ten grams"), noon, time.Hour, time.Hour).encode())
	f.Add([]byte{entryForm, 0x80, 0x80})
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, b []byte) {
		e, err := decodeEntry(b)
		if err != nil {
			return
		}
		again, err := decodeEntry(e.encode())
		if err != nil || !bytes.Equal(e.Value, again.Value) || !e.StoredAt.Equal(again.StoredAt) ||
			!e.FreshUntil.Equal(again.FreshUntil) || !e.StaleUntil.Equal(again.StaleUntil) {
			t.Errorf("%v came back as %v, %v", e, again, err)
		}
	})
}
