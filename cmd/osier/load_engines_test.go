//go:build load

package main

import (
	"database/sql"
	"path/filepath"
	"testing"
)

// loadEngine is one kind of store that the program is tried on.
type loadEngine struct {
	name  string
	args  []string // of serve
	count func(t *testing.T, data string) map[string]int
}

// countedTables are those whose rows tell what was kept.
var countedTables = []string{"sessions", "meter_readings", "events"}

// loadEngines lists the stores.
func loadEngines(*testing.T) []loadEngine {
	return []loadEngine{{name: "SQLite", count: countSQLite}}
}

// countSQLite opens the file behind the program's back, has the engine check
// itself, and counts.
func countSQLite(t *testing.T, data string) map[string]int {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(data, "osier.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var verdict string
	if err := db.QueryRowContext(t.Context(), "PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
		t.Errorf("the database checks itself: %s, error %v", verdict, err)
	}
	return countRows(t, db)
}

func countRows(t *testing.T, db *sql.DB) map[string]int {
	t.Helper()
	counted := map[string]int{}
	for _, table := range countedTables {
		var n int
		if err := db.QueryRowContext(t.Context(), "SELECT count(*) FROM "+table).Scan(&n); err != nil {
			t.Fatalf("count %s: %v", table, err)
		}
		counted[table] = n
	}
	return counted
}
