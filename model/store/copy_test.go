package store_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
	"osier/model/store"
	"osier/model/store/storetest"
)

var noon = time.Date(2026, 2, 6, 12, 0, 0, 0, time.UTC)

// fill puts something into most tables, and more rows than one statement of a
// copy carries.
func fill(t *testing.T, db *store.DB) {
	t.Helper()
	ctx := t.Context()
	s := model.Session{ID: "s-1", Water: "carr", Angler: "VP", Group: model.Bream, Start: noon, End: noon.Add(time.Hour), Notes: "Ärger, a'b \"c\" \u0000"}
	var observations []model.Observation
	for i := range 200 {
		o := model.Observation{
			Source: "feed", Station: fmt.Sprint("S", i%7), At: noon.Add(time.Duration(i) * time.Hour), Raw: "METAR\n\tÄ",
			AirC: model.Known(model.Celsius(0.1 * float64(i))), DewC: model.Known(model.Celsius(math.Copysign(0, -1))), WindMps: model.Known(model.MetresPerSecond(3)),
		}
		if i%2 == 0 {
			o.GustMps = model.Known(model.MetresPerSecond(math.Pi * 1e-9))
		}
		observations = append(observations, o)
	}
	_, errObservations := db.PutObservations(ctx, observations)
	for doing, err := range map[string]error{
		"water":        db.PutWater(ctx, model.Water{ID: "carr"}),
		"session":      db.AddSession(ctx, s),
		"public fit":   db.AddPublicFit(ctx, model.FitRecord{ID: "fit-1", MadeAt: noon}, []model.JoinedSession{{Session: "s-1", Water: "carr", Start: noon}}, nil),
		"joined":       db.PutJoined(ctx, []model.JoinedSession{{Session: "s-1", Water: "carr", Start: noon}}),
		"scores":       db.PutScores(ctx, []model.Score{{Session: "s-1", Plan: "p-1", Water: "carr", Start: noon}}),
		"forecast":     db.PutForecast(ctx, model.Forecast{Source: "grid", LatDeg: 52.1, LonDeg: -0.3, IssuedAt: noon, FetchedAt: noon, ConfirmedAt: noon}),
		"feed state":   db.PutFeedState(ctx, "https://feed.example/?a=b", noon, json.RawMessage(`{"etag":"x"}`)),
		"station":      db.PutStations(ctx, []model.Station{{Source: "feed", ID: "S1", LatDeg: 52, LonDeg: -1}}),
		"restriction":  db.PutRestriction(ctx, model.Restriction{ID: "r-1", Club: "hobbin", Water: "carr", From: noon}),
		"observations": errObservations,
	} {
		if err != nil {
			t.Fatalf("%s: %v", doing, err)
		}
	}
}

func digests(t *testing.T, db *store.DB) []store.Copied {
	t.Helper()
	held, err := db.Digests(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return held
}

func closing(t *testing.T, db *store.DB) *store.DB {
	t.Helper()
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Errorf("close: %v", err)
		}
	})
	return db
}

func TestACopyToPostgresAndBackHoldsTheSame(t *testing.T) {
	server := storetest.StartPostgres(t)
	first, last := closing(t, open(t, t.TempDir())), closing(t, open(t, t.TempDir()))
	middle, err := store.OpenPostgresToCopy(t.Context(), server.Database(t))
	if err != nil {
		t.Fatal(err)
	}
	closing(t, middle)
	fill(t, first)
	there, err := store.Copy(t.Context(), first, middle)
	if err != nil {
		t.Fatal(err)
	}
	back, err := store.Copy(t.Context(), middle, last)
	if err != nil {
		t.Fatal(err)
	}
	want := digests(t, first)
	for name, got := range map[string][]store.Copied{"told of the way there": there, "told of the way back": back, "in the last": digests(t, last)} {
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (-first +got):\n%s", name, diff)
		}
	}
	for _, table := range []string{"observations", "sessions", "joined", "public_rows", "scores", "revision", "restrictions"} {
		if i := slices.IndexFunc(want, func(c store.Copied) bool { return c.Table == table }); i < 0 || want[i].Rows == 0 {
			t.Errorf("%s was not tried: %v", table, want)
		}
	}
	identity, err := first.Identity(t.Context())
	for name, db := range map[string]*store.DB{"database": middle, "last folder": last} {
		got, errOther := db.Identity(t.Context())
		if got != identity || err != nil || errOther != nil {
			t.Errorf("the %s is store %s, want %s; errors %v, %v", name, got, identity, err, errOther)
		}
	}
	s, _, err := middle.Session(t.Context(), "s-1")
	if err != nil || !strings.Contains(s.Notes, "Ärger") {
		t.Errorf("session %v from the database, error %v", s, err)
	}
}

func TestACopyNeedsAnEmptyTarget(t *testing.T) {
	first := closing(t, open(t, t.TempDir()))
	fill(t, first)
	before := digests(t, first)
	for name, put := range map[string]func(db *store.DB) error{
		"with a water": func(db *store.DB) error { return db.PutWater(t.Context(), model.Water{ID: "other"}) },
		"with a plan":  func(db *store.DB) error { return db.AddPlan(t.Context(), model.Plan{ID: "p-1"}) },
		"once emptied": func(db *store.DB) error {
			return errors.Join(db.AddSession(t.Context(), model.Session{ID: "s"}), db.DeleteSession(t.Context(), "s"))
		},
		"itself (full)": func(db *store.DB) error { fill(t, db); return nil },
	} {
		target := closing(t, open(t, t.TempDir()))
		if err := put(target); err != nil {
			t.Fatal(err)
		}
		held := digests(t, target)
		if _, err := store.Copy(t.Context(), first, target); model.CodeOf(err) != model.Conflict {
			t.Errorf("%s: error %v, want a conflict", name, err)
		}
		if diff := cmp.Diff(held, digests(t, target)); diff != "" {
			t.Errorf("%s: the target changed:\n%s", name, diff)
		}
	}
	if diff := cmp.Diff(before, digests(t, first)); diff != "" {
		t.Errorf("the source changed:\n%s", diff)
	}
}

// A backup under writes holds some instant between two writes. Each write is a
// fit and a count of changes, in one transaction.
func TestABackupUnderWritesIsOfOneInstant(t *testing.T) {
	type opened struct{ db, toCopy *store.DB }
	engines := map[string]func(t *testing.T) opened{
		"SQLite": func(t *testing.T) opened { db := closing(t, open(t, t.TempDir())); return opened{db, db} },
		"PostgreSQL": func(t *testing.T) opened {
			address := storetest.StartPostgres(t).Database(t)
			toCopy, err := store.OpenPostgresToCopy(t.Context(), address)
			if err != nil {
				t.Fatal(err)
			}
			return opened{closing(t, openPostgres(t, address)), closing(t, toCopy)}
		},
	}
	for engine, opener := range engines {
		t.Run(engine, func(t *testing.T) {
			both := opener(t)
			db := both.db
			fill(t, db)
			began, err := db.Revision(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			ctx, stop := context.WithCancel(t.Context())
			written := make(chan int64)
			go func() {
				var n int64
				for ctx.Err() == nil && t.Context().Err() == nil {
					if err := db.AddFit(t.Context(), model.FitRecord{ID: fmt.Sprint("fit-", n), MadeAt: noon}); err != nil {
						t.Errorf("write %d: %v", n, err)
						break
					}
					n++
					time.Sleep(time.Millisecond)
				}
				written <- n
			}()
			for i := range 2 {
				path := filepath.Join(t.TempDir(), "backup.db")
				copied, err := both.toCopy.Backup(t.Context(), path)
				if err != nil {
					t.Fatal(err)
				}
				if left, err := os.ReadDir(filepath.Dir(path)); err != nil || len(left) != 1 {
					t.Errorf("beside the backup lies something: %v, %v", left, err)
				}
				restored := closing(t, open(t, t.TempDir()))
				if _, err := restored.Restore(t.Context(), path); err != nil {
					t.Fatal(err)
				}
				if diff := cmp.Diff(copied, digests(t, restored)); diff != "" {
					t.Errorf("backup %d restored is not what was copied:\n%s", i, diff)
				}
				counted, err := restored.Revision(t.Context())
				fits := copied[slices.IndexFunc(copied, func(c store.Copied) bool { return c.Table == "fits" })].Rows
				if err != nil || counted-began != fits {
					t.Errorf("backup %d holds %d fits and %d changes, error %v: it is not of one instant", i, fits, counted-began, err)
				}
			}
			stop()
			if n := <-written; n < 10 {
				t.Errorf("only %d writes went on during two backups", n)
			}
		})
	}
}

func TestABackupOverwritesNothingAndARestoreReadsBackupsOnly(t *testing.T) {
	db := closing(t, open(t, t.TempDir()))
	path := filepath.Join(t.TempDir(), "something")
	if err := os.WriteFile(path, []byte("of value"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := db.Backup(t.Context(), path); model.CodeOf(err) != model.Conflict {
		t.Errorf("error %v, want a conflict", err)
	}
	for _, from := range []string{path, filepath.Join(t.TempDir(), "absent")} {
		if _, err := db.Restore(t.Context(), from); model.CodeOf(err) != model.Invalid {
			t.Errorf("%s: error %v, want it refused as invalid", from, err)
		}
	}
	if left, err := os.ReadFile(path); err != nil || string(left) != "of value" {
		t.Errorf("the file holds %q now, error %v", left, err)
	}
}
