//go:build load

package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"testing"
	"time"

	"osier/api/cache/cachetest"
	"osier/model/store"
)

// clubData is a data folder with the invented club in it, and the arguments
// that set the clock to its day.
func clubData(t *testing.T) (data string, args []string) {
	t.Helper()
	data = t.TempDir()
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
	return data, []string{"--now", demoNow.Format(time.RFC3339)}
}

// clubPlan is a question that members ask.
var clubPlan = fmt.Sprintf(`{"water":"quillmarsh-pit","start":%q,"hours":5,"group":"bream","mode":"pleasure"}`,
	demoNow.AddDate(0, 0, 1).Format(time.RFC3339))

// clubRequests are what a club's members ask and write on a Friday night. run
// keeps the records of one phase apart from those of another.
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
		{name: "read waters", method: "GET", path: "/v1/waters", every: 10 * time.Millisecond},
		{name: "write record", method: "POST", path: "/v1/sessions", key: run, every: 250 * time.Millisecond, body: func(n int) string {
			start := demoNow.Add(-time.Duration(n+10) * 24 * time.Hour)
			return fmt.Sprintf(`{"water":"quillmarsh-pit","angler":"load-%s-%d","group":"bream","style":"summary","start":%q,"end":%q,"rods":1,"bites":%d,"fish":{"bream":1}}`,
				run, n, start.Format(time.RFC3339), start.Add(4*time.Hour).Format(time.RFC3339), 1+n%9)
		}},
	}
}

// phase is how long the load lasts before, during and after an outage.
func phase() time.Duration { return figureOf(3*time.Second, time.Minute) }

// Redis gone under load: nothing fails, and the cache comes back by itself.
func TestLoadRedisGone(t *testing.T) {
	redis := cachetest.StartRedis(t)
	data, args := clubData(t)
	s := serveProgram(t, data, append(args, "--redis", redis.URL())...)
	for _, part := range []struct {
		name   string
		change func()
	}{
		{"before", func() {}},
		{"hanging", redis.Hang},
		{"gone", func() { redis.Resume(); redis.Kill() }},
		{"after", redis.Start},
	} {
		requests := clubRequests(s, part.name)
		part.change()
		for name, got := range loadFor(t, []string{s.Address}, phase(), requests) {
			t.Logf("%-8s %-16s %s", part.name, name, got)
			for status, n := range got.byStatus {
				if status != http.StatusOK && status != http.StatusCreated {
					t.Errorf("redis %s: %d of %q got %d", part.name, n, name, status)
				}
			}
		}
	}
	if kept, err := redis.Do("DBSIZE"); err != nil || kept == ":0" {
		t.Errorf("after it came back Redis holds %s, error %v", kept, err)
	}
}
