//go:build load

package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"osier/model/store"
)

// clubStore is a store with the invented club in it, made once.
var clubStore struct {
	once sync.Once
	file []byte
}

// clubData is a data folder with the invented club in it, and the arguments
// that set the clock to its day.
func clubData(t *testing.T) (data string, args []string) {
	t.Helper()
	data = t.TempDir()
	clubStore.once.Do(func() { clubStore.file = inventClub(t, data) })
	if err := os.WriteFile(filepath.Join(data, "osier.db"), clubStore.file, 0o600); err != nil {
		t.Fatal(err)
	}
	return data, []string{"--now", demoNow.Format(time.RFC3339)}
}

func inventClub(t *testing.T, data string) []byte {
	t.Helper()
	db, err := store.OpenSQLite(t.Context(), data)
	if err != nil {
		t.Fatal(err)
	}
	a := newApp(t.Context(), cli{Now: demoNow}, t.Output(), t.Output())
	if _, _, err := a.loadDemo(t.Context(), db); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	file, err := os.ReadFile(filepath.Join(data, "osier.db"))
	if err != nil {
		t.Fatal(err)
	}
	return file
}

// clubInPostgres copies the invented club into an empty database.
func clubInPostgres(t *testing.T, address string) (args []string) {
	t.Helper()
	data, args := clubData(t)
	from, err := store.OpenSQLite(t.Context(), data)
	if err != nil {
		t.Fatal(err)
	}
	defer from.Close()
	to, err := store.OpenPostgresToCopy(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer to.Close()
	if _, err := store.Copy(t.Context(), from, to); err != nil {
		t.Fatal(err)
	}
	return append(args, "--postgres", address)
}

// clubPlan is a question that members ask.
var clubPlan = fmt.Sprintf(`{"water":"quillmarsh-pit","start":%q,"hours":5,"group":"bream","mode":"pleasure"}`,
	demoNow.AddDate(0, 0, 1).Format(time.RFC3339))

// clubRequests are what a club's members ask and write on a Friday night; the
// last is the write.
func clubRequests(s *program, run string) []request {
	var issued struct {
		ID string `json:"plan_id"`
	}
	if err := json.Unmarshal(s.mustAnswer(http.StatusOK, "POST", "/v1/plans", clubPlan), &issued); err != nil {
		s.t.Fatal(err)
	}
	return []request{
		{name: "read plan", method: "GET", path: "/v1/plans/" + issued.ID, every: 4 * time.Millisecond},
		{name: "read conditions", method: "GET", path: "/v1/waters/quillmarsh-pit/conditions", every: 10 * time.Millisecond},
		{name: "read outlook", method: "GET", path: "/v1/waters/quillmarsh-pit/outlook?days=1", every: 50 * time.Millisecond},
		{name: "read waters", method: "GET", path: "/v1/waters", every: 10 * time.Millisecond},
		writeRecords("quillmarsh-pit", run, demoNow),
	}
}

// writeRecords writes records of sessions before an instant, each a day older.
// run keeps those of one phase apart from those of another.
func writeRecords(water, run string, now time.Time) request {
	return request{name: "write record", method: "POST", path: "/v1/sessions", key: run, every: 250 * time.Millisecond, body: func(n int) string {
		start := now.Add(-time.Duration(n%3000+10) * 24 * time.Hour)
		return fmt.Sprintf(`{"water":%q,"angler":"load-%s-%d","group":"bream","style":"summary","start":%q,"end":%q,"rods":1,"bites":%d,"fish":{"bream":1}}`,
			water, run, n, start.Format(time.RFC3339), start.Add(4*time.Hour).Format(time.RFC3339), 1+n%9)
	}}
}
