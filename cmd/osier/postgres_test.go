package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model/store"
	"osier/model/store/storetest"
)

// osierPrinted runs the program and gives what it printed; no line of either
// stream may hold the password.
func osierPrinted(t *testing.T, want int, password string, args ...string) string {
	t.Helper()
	var out, said bytes.Buffer
	if code := run(t.Context(), args, &out, &said); code != want {
		t.Fatalf("osier %s: exit %d, want %d:\n%s", strings.Join(args[:1], " "), code, want, &said)
	}
	if strings.Contains(out.String()+said.String(), password) {
		t.Errorf("osier %s shows the password", strings.Join(args[:1], " "))
	}
	return out.String() + said.String()
}

func TestEveryCommandMayUseAPostgresStore(t *testing.T) {
	server := storetest.StartPostgres(t)
	address, password := server.Database(t), server.Password()
	t.Setenv("OSIER_NOW", "2026-11-25T12:00:00Z")
	folder := filepath.Join(t.TempDir(), "never-made")
	t.Setenv("OSIER_DATA", folder)
	osierPrinted(t, exitDone, password, "--postgres", address, "water", "add", "--id", "home", "--name", "Home Pit", "--lat", "51.55", "--lon", "-0.5", "--elevation", "30", "--mean-depth", "2")
	t.Setenv("OSIER_POSTGRES", address)
	for _, args := range [][]string{{"water", "list"}, {"choose", "--waters", "home", "--from", "2026-11-28", "--days", "1", "--hours", "2", "--group", "silver"}, {"plan", "--water", "home", "--start", "2026-11-28T09:00:00Z", "--hours", "2", "--group", "silver"}} {
		if said := osierPrinted(t, exitDone, password, args...); !strings.Contains(said, "Home Pit") {
			t.Errorf("osier %s does not know the water: %s", args[0], said)
		}
	}
	osierPrinted(t, exitDone, password, "fit")
	if _, err := os.Stat(folder); !os.IsNotExist(err) {
		t.Errorf("a folder was made for a store that is in a database: %v", err)
	}
	server.Stop(t)
	for _, args := range [][]string{{"water", "list"}, {"serve", "--listen", "127.0.0.1:0"}, {"water", "list", "--json"}} {
		if said := osierPrinted(t, exitFailed, password, args...); !strings.Contains(said, "the store did not") {
			t.Errorf("osier %s says of a server that is away: %s", args[0], said)
		}
	}
}

func TestAStoreMovesToPostgresAndBack(t *testing.T) {
	server := storetest.StartPostgres(t)
	address, password := server.Database(t), server.Password()
	t.Setenv("OSIER_NOW", "2026-11-25T12:00:00Z")
	first, last := t.TempDir(), t.TempDir()
	osierPrinted(t, exitDone, password, "--data", first, "water", "add", "--id", "home", "--name", "Home Pit", "--lat", "51.55", "--lon", "-0.5", "--elevation", "30", "--mean-depth", "2")
	copied := func(args ...string) map[string][]store.Copied {
		t.Helper()
		var tables map[string][]store.Copied
		if err := json.Unmarshal([]byte(osierPrinted(t, exitDone, password, args...)), &tables); err != nil {
			t.Fatal(err)
		}
		return tables
	}
	there := copied("--data", first, "store", "copy", "--json", "--to-postgres", address)
	back := copied("--data", last, "store", "copy", "--json", "--from-postgres", address)
	if diff := cmp.Diff(there, back); diff != "" || len(there["tables"]) < 15 {
		t.Errorf("%d tables went there; back came (-there +back):\n%s", len(there["tables"]), diff)
	}
	file := filepath.Join(t.TempDir(), "kept.db")
	if diff := cmp.Diff(there, copied("--postgres", address, "store", "backup", "--json", file)); diff != "" {
		t.Errorf("a backup of the database holds (-copied +backup):\n%s", diff)
	}
	if diff := cmp.Diff(there, copied("--postgres", server.Database(t), "store", "restore", "--json", file)); diff != "" {
		t.Errorf("restored into another database (-copied +restored):\n%s", diff)
	}
	if said := osierPrinted(t, exitFailed, password, "--data", first, "store", "copy", "--to-postgres", address); !strings.Contains(said, "not empty") {
		t.Errorf("a copy into a database that is not empty says: %s", said)
	}
}

// Of two programs that start at once on a new database each finds every job
// missed, and one runs it.
func TestTwoServersOnOneDatabaseRunEachJobOnce(t *testing.T) {
	address := storetest.StartPostgres(t).Database(t)
	t.Setenv("OSIER_CONTACT", "")
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var servers sync.WaitGroup
	said := make([]bytes.Buffer, 2)
	for i := range said {
		servers.Go(func() {
			if code := run(ctx, []string{"serve", "--postgres", address, "--listen", "127.0.0.1:0"}, io.Discard, &said[i]); code != exitDone {
				t.Errorf("server %d: exit %d; it said:\n%s", i, code, &said[i])
			}
		})
	}
	db, err := store.OpenPostgres(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	want := []string{"fit", "join", "outlook", "outlook-score", "prune", "score"}
	var ran []string
	for began := time.Now(); len(ran) < len(want) && time.Since(began) < time.Minute; time.Sleep(200 * time.Millisecond) {
		ran = endedRuns(t, db)
	}
	stop()
	servers.Wait()
	if diff := cmp.Diff(want, endedRuns(t, db)); diff != "" {
		t.Errorf("runs (-want +got):\n%s\none said:\n%s\nthe other:\n%s", diff, &said[0], &said[1])
	}
}

// endedRuns names the jobs of the runs that went well, in order.
func endedRuns(t *testing.T, db *store.DB) []string {
	t.Helper()
	runs, err := db.JobRuns(t.Context(), 99)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, r := range runs {
		if r.EndedAt.Known && r.Error == "" {
			names = append(names, r.Job)
		}
	}
	slices.Sort(names)
	return names
}
