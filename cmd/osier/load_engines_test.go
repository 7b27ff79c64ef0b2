//go:build load

package main

import (
	"database/sql"
	"path/filepath"
	"testing"

	"osier/model/store/storetest"
)

// loadEngine is one kind of store that the program is tried on.
type loadEngine struct {
	name  string
	args  []string // of serve
	crash func(t *testing.T)
	start func(t *testing.T)
	open  func(t *testing.T, data string) *sql.DB // behind the program's back
	check func(t *testing.T, db *sql.DB)          // has the engine check itself
}

// countedTables are those whose rows tell what was kept.
var countedTables = map[string]string{
	"sessions":  "SELECT count(*) FROM sessions",
	"readings":  "SELECT count(*) FROM meter_readings",
	"events":    "SELECT count(*) FROM events",
	"published": "SELECT count(*) FROM outlooks WHERE state = 'published'",
}

// sqliteEngine and postgresEngine are the two stores.
func sqliteEngine(*testing.T) loadEngine {
	return loadEngine{
		name: "SQLite", open: openSQLiteFile, check: checkSQLite,
		crash: func(*testing.T) {}, start: func(*testing.T) {}, // it is part of the program
	}
}

func postgresEngine(t *testing.T) loadEngine {
	server := storetest.StartPostgres(t)
	address := server.Database(t)
	return loadEngine{
		name: "PostgreSQL", args: []string{"--postgres", address}, check: checkPostgres,
		crash: func(t *testing.T) { server.Kill(t) }, start: func(t *testing.T) { server.Start(t) },
		open: func(t *testing.T, _ string) *sql.DB { return openSQL(t, "pgx", address) },
	}
}

func openSQLiteFile(t *testing.T, data string) *sql.DB {
	return openSQL(t, "sqlite", "file:"+filepath.Join(data, "osier.db"))
}

func openSQL(t *testing.T, driver, address string) *sql.DB {
	t.Helper()
	db, err := sql.Open(driver, address)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	return db
}

func checkSQLite(t *testing.T, db *sql.DB) {
	t.Helper()
	var verdict string
	if err := db.QueryRowContext(t.Context(), "PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
		t.Errorf("the database checks itself: %s, error %v", verdict, err)
	}
}

// checkPostgres goes through every index and every page of every table with the
// engine's own amcheck, which stands beside it on most machines.
func checkPostgres(t *testing.T, db *sql.DB) {
	t.Helper()
	if _, err := db.ExecContext(t.Context(), "CREATE EXTENSION IF NOT EXISTS amcheck"); err != nil {
		t.Logf("NOT CHECKED: PostgreSQL has no amcheck here, so rows are counted and no more: %v", err)
		return
	}
	var indexes, faults int
	if err := db.QueryRowContext(t.Context(), `SELECT count(bt_index_check(i.indexrelid, true)::text) FROM pg_index i
		JOIN pg_class c ON c.oid = i.indexrelid JOIN pg_namespace n ON n.oid = c.relnamespace
		WHERE c.relam = (SELECT oid FROM pg_am WHERE amname = 'btree') AND n.nspname = 'public'`).Scan(&indexes); err != nil || indexes == 0 {
		t.Errorf("the database checks its indexes: %d of them, error %v", indexes, err)
	}
	if err := db.QueryRowContext(t.Context(), `SELECT count(*) FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace,
		LATERAL verify_heapam(c.oid) WHERE c.relkind = 'r' AND n.nspname = 'public'`).Scan(&faults); err != nil || faults != 0 {
		t.Errorf("the database checks its tables: %d faults, error %v", faults, err)
	}
}

func countRows(t *testing.T, db *sql.DB) map[string]int {
	t.Helper()
	counted := map[string]int{}
	for name, query := range countedTables {
		var n int
		if err := db.QueryRowContext(t.Context(), query).Scan(&n); err != nil {
			t.Fatalf("count %s: %v", name, err)
		}
		counted[name] = n
	}
	return counted
}
