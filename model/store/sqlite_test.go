package store_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"osier/model"
	"osier/model/store"
	"osier/model/store/storetest"
)

func open(t *testing.T, dir string) *store.DB {
	t.Helper()
	db, err := store.OpenSQLite(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	return db
}

func TestSQLite(t *testing.T) {
	for _, scenario := range storetest.Scenarios() {
		t.Run(scenario.Name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			scenario.Run(t, func(t *testing.T) storetest.Store { return open(t, dir) })
		})
	}
}

// Two processes on one file queue for the engine's own lock, which two handles
// show. A change reads before it writes: in transactions that take the lock only
// at the first write, one that was overtaken in between cannot go on (18 of 160
// got through when it was measured).
func TestTwoHandlesOnOneFileLoseNoWrite(t *testing.T) {
	dir := t.TempDir()
	loseNoWrite(t, []*store.DB{open(t, dir), open(t, dir)})
}

func loseNoWrite(t *testing.T, handles []*store.DB) {
	const writers, each = 8, 20
	var wg sync.WaitGroup
	for i := range writers {
		wg.Go(func() {
			db, s := handles[i%2], model.Session{ID: fmt.Sprintf("s-%d", i), Water: "carr", Angler: fmt.Sprint("A", i)}
			if err := db.AddSession(t.Context(), s); err != nil {
				t.Errorf("writer %d: %v", i, err)
			}
			for n := range each {
				s.Rods = n + 1 // what does not change is no write
				if err := db.ReplaceSession(t.Context(), s, 1+n); err != nil {
					t.Errorf("writer %d: %v", i, err)
				}
			}
		})
	}
	wg.Wait()
	for _, db := range handles {
		n, err := db.Revision(t.Context())
		if err != nil || n != writers*(each+1) {
			t.Errorf("%d of %d writes applied, error %v", n, writers*(each+1), err)
		}
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	}
}

func TestManyMayOpenANewStoreAtOnce(t *testing.T) {
	dir := t.TempDir()
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			db, err := store.OpenSQLite(t.Context(), dir)
			if err != nil {
				t.Errorf("open: %v", err)
				return
			}
			if err := errors.Join(db.PutWater(t.Context(), model.Water{ID: "carr"}), db.Close()); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
}

func TestTheFolderMayHaveAnyName(t *testing.T) {
	for _, name := range []string{"with a space", "what?", "100%", "a#b", "a&b=c", "Ärger", "a'b"} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), name, "deeper")
			db := open(t, dir)
			if err := errors.Join(db.PutWater(t.Context(), model.Water{ID: "carr"}), db.Close()); err != nil {
				t.Fatal(err)
			}
			if found, err := filepath.Glob(filepath.Join(filepath.Dir(dir), "*", "osier.db")); err != nil || len(found) != 1 {
				t.Errorf("files %v, error %v; want osier.db in the folder named", found, err)
			}
			again := open(t, dir)
			if _, err := again.Water(t.Context(), "carr"); err != nil {
				t.Error(err)
			}
			if err := again.Close(); err != nil {
				t.Error(err)
			}
		})
	}
}

// The engine is translated C on a translated C library: the two must be of the
// very versions that belong together (modernc.org/sqlite's own README).
func TestTheEngineHasTheLibraryItWasMadeFor(t *testing.T) {
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("NOT CHECKED: go is not on the path, so the versions of modernc.org/libc cannot be compared")
	}
	out, err := exec.CommandContext(t.Context(), "go", "list", "-m", "-json", "modernc.org/libc", "modernc.org/sqlite").Output()
	if err != nil {
		t.Fatalf("list the modules: %v", err)
	}
	libc, engine := twoModules(t, out)
	out, err = exec.CommandContext(t.Context(), "go", "mod", "edit", "-json", engine.GoMod).Output()
	if err != nil {
		t.Fatalf("read what modernc.org/sqlite requires: %v", err)
	}
	var needs struct {
		Require []struct{ Path, Version string }
	}
	if err := json.Unmarshal(out, &needs); err != nil {
		t.Fatal(err)
	}
	for _, r := range needs.Require {
		if r.Path == "modernc.org/libc" {
			if r.Version != libc.Version {
				t.Errorf("modernc.org/libc is %s, and modernc.org/sqlite %s needs %s: never update it alone", libc.Version, engine.Version, r.Version)
			}
			return
		}
	}
	t.Error("modernc.org/sqlite no longer names modernc.org/libc")
}

type module struct{ Path, Version, GoMod string }

func twoModules(t *testing.T, list []byte) (libc, engine module) {
	t.Helper()
	in := json.NewDecoder(bytes.NewReader(list))
	for _, m := range []*module{&libc, &engine} {
		if err := in.Decode(m); err != nil {
			t.Fatal(err)
		}
	}
	return libc, engine
}
