package store_test

import (
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/model/store/storetest"
)

func TestEachMigrationIsAPair(t *testing.T) {
	names := map[string][]string{}
	for _, engine := range []string{"sqlite", "postgres"} {
		files, err := os.ReadDir(engine)
		if err != nil {
			t.Fatal(err)
		}
		for i, f := range files {
			names[engine] = append(names[engine], f.Name())
			if want := fmt.Sprintf("%05d_", i+1); !strings.HasPrefix(f.Name(), want) {
				t.Errorf("%s/%s: its number should be %s", engine, f.Name(), want)
			}
		}
	}
	if diff := cmp.Diff(names["sqlite"], names["postgres"]); diff != "" {
		t.Errorf("migrations without a twin of the same number and name (-sqlite +postgres):\n%s", diff)
	}
}

// column is one of a store's columns, in the words of both engines.
type column struct {
	Table, Name, Type string
	NotNull           bool
}

func columns(t *testing.T, driver, address, query string) []column {
	t.Helper()
	db, err := sql.Open(driver, address)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	rows, err := db.QueryContext(t.Context(), query)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	same := strings.NewReplacer("INTEGER", "bigint", "REAL", "double precision", "TEXT", "text")
	var out []column
	for rows.Next() {
		var c column
		if err := rows.Scan(&c.Table, &c.Name, &c.Type, &c.NotNull); err != nil {
			t.Fatal(err)
		}
		c.Type = same.Replace(c.Type)
		out = append(out, c)
	}
	slices.SortFunc(out, func(a, b column) int { return strings.Compare(a.Table+" "+a.Name, b.Table+" "+b.Name) })
	if err := rows.Err(); err != nil || len(out) < 50 {
		t.Fatalf("%d columns, error %v", len(out), err)
	}
	return out
}

func TestBothEnginesHaveTheSameColumns(t *testing.T) {
	server := storetest.StartPostgres(t)
	dir, address := t.TempDir(), server.Database(t)
	closing(t, open(t, dir))
	closing(t, openPostgres(t, address))
	lite := columns(t, "sqlite", filepath.Join(dir, "osier.db"), `SELECT m.name, c.name, c.type, c."notnull" OR c.pk FROM sqlite_master AS m, pragma_table_info(m.name) AS c
		WHERE m.type = 'table' AND m.name NOT LIKE 'sqlite_%' AND m.name NOT LIKE 'goose_%'`)
	big := columns(t, "pgx", address, `SELECT table_name, column_name, data_type, is_nullable = 'NO' FROM information_schema.columns
		WHERE table_schema = 'public' AND table_name NOT LIKE 'goose_%'`)
	if diff := cmp.Diff(lite, big); diff != "" {
		t.Errorf("columns (-SQLite +PostgreSQL):\n%s", diff)
	}
}

// longText are columns that nothing is sorted or compared by.
var longText = []string{"body", "raw", "name", "holder", "outcome"}

func TestTextSortsByItsBytesInEveryColumnThatMaySort(t *testing.T) {
	server := storetest.StartPostgres(t)
	address := server.Database(t)
	closing(t, openPostgres(t, address))
	for _, c := range columns(t, "pgx", address, `SELECT table_name, column_name, COALESCE(collation_name, ''), true FROM information_schema.columns
		WHERE table_schema = 'public' AND data_type = 'text' AND table_name NOT LIKE 'goose_%'`) {
		if c.Type != "C" && !slices.Contains(longText, c.Name) {
			t.Errorf("%s.%s sorts by the rules of a language: say TEXT COLLATE \"C\"", c.Table, c.Name)
		}
	}
}
