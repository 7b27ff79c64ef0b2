package storetest

import (
	"context"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"osier/model/store"
)

// empty is the file of a store with nothing in it, made once: the migrations
// take longer than most tests, ten times so under the race detector.
var empty = sync.OnceValues(func() (file []byte, err error) {
	dir, err := os.MkdirTemp("", "osier-empty")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	db, err := store.OpenSQLite(context.Background(), dir)
	if err != nil {
		return nil, err
	}
	if err := db.Close(); err != nil {
		return nil, err
	}
	return os.ReadFile(filepath.Join(dir, "osier.db"))
})

// EmptyFolder is a new folder that lasts as long as the test, with the file of
// an empty store in it. All such stores have one identity.
func EmptyFolder(t testing.TB) string {
	t.Helper()
	file, err := empty()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "osier.db"), file, 0o600); err != nil {
		t.Fatal(err)
	}
	return dir
}
