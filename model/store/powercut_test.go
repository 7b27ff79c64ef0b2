package store_test

import (
	"crypto/rand"
	"fmt"
	mathrand "math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"osier/model"
	"osier/model/store"
)

// frame is what one page takes in the write-ahead log, and header what comes
// before the first (SQLite file format, section 4.1; pages of 4096 bytes).
const (
	header = 32
	frame  = 24 + 4096
)

// acknowledged says how long the log was when a write was acknowledged.
type acknowledged struct {
	writes int
	log    int64
}

// cut is a store's files as a power cut leaves them: the log ends at a byte, and
// what the disk had not finished after it is missing, empty or rubbish.
type cut struct {
	at   int64
	rest string
}

// After a power cut the store opens, is in order, and holds every write that was
// acknowledged before and no other than the one that was just being written. The
// files are those of a store at work: part of them was there when it was opened,
// and the rest is in the log.
func TestAPowerCutLosesNothingThatWasAcknowledged(t *testing.T) {
	dir := t.TempDir()
	const settled, more = 5, 12
	db := open(t, dir)
	put(t, db, 0, settled)
	if err := db.Close(); err != nil { // all is in the main file now
		t.Fatal(err)
	}
	db = closing(t, open(t, dir))
	acks := []acknowledged{{settled, 0}}
	for i := range more {
		put(t, db, settled+i, 1)
		info, err := os.Stat(filepath.Join(dir, "osier.db-wal"))
		if err != nil {
			t.Fatal(err)
		}
		acks = append(acks, acknowledged{settled + i + 1, info.Size()})
	}
	main, log := contents(t, dir, "osier.db"), contents(t, dir, "osier.db-wal")
	if len(log) < header+more*frame || int64(len(log)) != acks[more].log {
		t.Fatalf("the log holds %d bytes for %d writes", len(log), more)
	}
	for _, c := range cuts(int64(len(log))) {
		least := 0
		for _, a := range acks {
			if a.log <= c.at {
				least = a.writes
			}
		}
		if err := opens(t, main, log, c, least, settled+more); err != nil {
			t.Errorf("the log of %d bytes cut at %d, the rest %s: %v", len(log), c.at, c.rest, err)
		}
	}
}

// cuts are some at the borders of pages and some anywhere, the ends among them.
func cuts(length int64) []cut {
	r := mathrand.New(mathrand.NewPCG(8, 2026))
	rests := []string{"missing", "empty", "rubbish"}
	out := []cut{{length, "missing"}, {0, "missing"}, {0, "rubbish"}, {header - 1, "empty"}}
	for i := range 18 {
		page := header + frame*r.Int64N((length-header)/frame)
		out = append(out, cut{page, rests[i%3]}, cut{r.Int64N(length), rests[i%3]})
	}
	return out
}

func put(t *testing.T, db *store.DB, first, n int) {
	t.Helper()
	for i := range n {
		// A write of several pages: the pegs are many.
		w := model.Water{ID: fmt.Sprintf("w-%04d", first+i), Pegs: make([]model.Peg, 150)}
		if err := db.PutWater(t.Context(), w); err != nil {
			t.Fatal(err)
		}
	}
}

func contents(t *testing.T, dir, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// opens says what is wrong with the store that is left.
func opens(t *testing.T, main, log []byte, c cut, least, most int) (err error) {
	t.Helper()
	left := append([]byte{}, log[:c.at]...)
	switch c.rest {
	case "empty":
		left = append(left, make([]byte, int64(len(log))-c.at)...)
	case "rubbish":
		rest := make([]byte, int64(len(log))-c.at)
		_, _ = rand.Read(rest) // never fails
		left = append(left, rest...)
	}
	dir := t.TempDir()
	for name, b := range map[string][]byte{"osier.db": main, "osier.db-wal": left} {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o600); err != nil {
			return err
		}
	}
	db, err := store.OpenSQLite(t.Context(), dir)
	if err != nil {
		return err
	}
	defer db.Close()
	if err := db.Whole(t.Context()); err != nil {
		return err
	}
	waters, err := db.Waters(t.Context(), "", 1000)
	if err != nil {
		return err
	}
	if n := len(waters); n < least || n > most {
		return fmt.Errorf("it holds %d writes; %d were acknowledged by then, of %d", n, least, most)
	}
	for i, w := range waters {
		if want := fmt.Sprintf("w-%04d", i); w.ID != want || len(w.Pegs) != 150 {
			return fmt.Errorf("write %d is %s with %d pegs, want %s: what is held is not what came first", i, w.ID, len(w.Pegs), want)
		}
	}
	n, err := db.Revision(t.Context())
	if err != nil || n != int64(len(waters)) {
		return fmt.Errorf("it counts %d changes for %d writes, error %v", n, len(waters), err)
	}
	put(t, db, len(waters), 1) // and it goes on
	return nil
}
