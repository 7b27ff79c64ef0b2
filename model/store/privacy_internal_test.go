package store

import (
	"slices"
	"testing"
)

// nobodys are the tables that hold nothing of people: weather, waters' states,
// which waters and days an outlook is about, and the store's own.
var nobodys = []string{
	"feed_states", "forecasts", "observations", "outlook_days", "revision", "stations", "warnings", "water_states", "leases",
}

// A table made since must be looked through for an angler too, or named here.
func TestEveryTableThatMayTellOfPeopleIsLookedThrough(t *testing.T) {
	db, err := OpenSQLite(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	rows, err := db.read.QueryContext(t.Context(), `SELECT m.name, c.name FROM sqlite_master m, pragma_table_info(m.name) c
		WHERE m.type = 'table' AND c.type = 'TEXT' AND m.name NOT LIKE 'sqlite_%' AND m.name NOT LIKE 'goose_%'`)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for rows.Next() {
		var table, column string
		if err := rows.Scan(&table, &column); err != nil {
			t.Fatal(err)
		}
		n++
		// Names of waters, clubs, groups and states are nobody's.
		if slices.Contains(nobodys, table) || slices.Contains([]string{"water", "club", "grp", "state", "follows", "request_digest"}, column) {
			continue
		}
		if !slices.Contains(people[table], column) {
			t.Errorf("%s.%s may tell of an angler and is not looked through", table, column)
		}
	}
	if rows.Err() != nil || n < 50 {
		t.Errorf("%d columns: %v", n, rows.Err())
	}
}

func TestAHandleIsAWordOfItsOwn(t *testing.T) {
	for text, want := range map[string]bool{
		"VP": true, "fished with VP.": true, "VP's": true, "(VP)": true, "of VP: no": true, "VP|bream": true, "Ö VP": true,
		"": false, "VPA": false, "xVP": false, "VP-2": false, "VP_2": false, "ÖVP": false, "3VP": false, "vp": false, "xVP VPx": false, "xVP VP": true,
	} {
		if got := holdsWord(text, "VP"); got != want {
			t.Errorf("%q holds VP: %v, want %v", text, got, want)
		}
	}
	for body, want := range map[string]bool{
		`{"angler":"VP"}`: true, `{"VP":1}`: true, `[{"a":["VP"]}]`: true, `{"a":"b"}`: false, `{"n":12,"angler":"VPX"}`: false, `plain VP`: true,
	} {
		if got := tells(body, "VP"); got != want {
			t.Errorf("%s tells of VP: %v, want %v", body, got, want)
		}
	}
}
