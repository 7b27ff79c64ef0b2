//go:build load

package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"sync"
	"testing"
	"time"

	"osier/model"
)

// killWater is the invented water of the writers.
const killWater = `{"name":"Invented Pit","lat":53,"lon":2,"elevation_m":5,"mean_depth_m":2.4,"bank":"grass","zone":"Europe/London","groups":["bream"],"colour":"tinged"}`

// write is one thing that a client has to get across: it repeats it with the
// same key until it is acknowledged.
type write struct {
	method, path, key, body string
	acknowledged            bool
	answer                  []byte
	tries                   int
}

// writer sends writes of all kinds until told to end, each until it is
// acknowledged.
type writer struct {
	n      int
	now    time.Time // of the device
	base   string
	client *http.Client
	done   []*write
	bad    error
}

// next is the writer's k-th write: a record, a reading, or a batch of events of
// a session of its own.
func (w *writer) next(k int) *write {
	at := time.Date(2025, 1, 1, 6, 0, 0, 0, time.UTC).AddDate(0, 0, k%300).Add(time.Duration(w.n*90+k/300) * time.Second)
	key := fmt.Sprintf("w%d-%d", w.n, k)
	switch k % 3 {
	case 0:
		return &write{method: "POST", path: "/v1/sessions", key: key, body: fmt.Sprintf(
			`{"water":"pit","angler":"a%d","group":"bream","style":"summary","start":%q,"end":%q,"rods":1,"bites":%d,"fish":{"bream":1}}`,
			w.n, at.Format(time.RFC3339), at.Add(4*time.Hour).Format(time.RFC3339), 1+k%20)}
	case 1:
		return &write{method: "POST", path: "/v1/waters/pit/readings", key: key, body: fmt.Sprintf(
			`{"water_temp_c":%d,"at":%q,"by":"a%d"}`, 5+k%10, at.Format(time.RFC3339), w.n)}
	}
	return &write{method: "POST", path: fmt.Sprintf("/v1/sessions/s-w%d-%d/events", w.n, k), key: key, body: fmt.Sprintf(
		`{"sent_at":%q,"events":[{"id":"st","kind":"start","at":%[2]q,"start":{"water":"pit","angler":"live%[3]d-%[4]d","group":"bream"}},{"id":"c1","kind":"cast","at":%[2]q}]}`,
		w.now.Format(time.RFC3339), w.now.Add(-time.Hour).Format(time.RFC3339), w.n, k)}
}

// run writes until the context ends; the write under way is then still seen
// through.
func (w *writer) run(ctx context.Context) {
	for k := 0; ctx.Err() == nil; k++ {
		job := w.next(k)
		w.done = append(w.done, job)
		last := ""
		for deadline := time.Now().Add(time.Minute); !job.acknowledged; time.Sleep(2 * time.Millisecond) {
			if time.Now().After(deadline) {
				w.bad = fmt.Errorf("%s %s was not acknowledged within a minute: %s", job.method, job.path, last)
				return
			}
			job.tries++
			status, answer, err := exchange(context.Background(), w.client, job.method, w.base+job.path, job.key, job.body)
			last = fmt.Sprintf("status %d, %v, %s", status, err, answer)
			switch {
			case err != nil || status == http.StatusServiceUnavailable: // it may or may not be through
			case status == http.StatusOK || status == http.StatusCreated:
				job.acknowledged, job.answer = true, answer
			default:
				w.bad = fmt.Errorf("%s %s: status %d\n%s", job.method, job.path, status, answer)
				return
			}
		}
	}
}

// Killed at random instants while clients write, on each store: nothing that was
// acknowledged is lost, and nothing that a client repeated is there twice.
func TestLoadKilledAtRandomInstants(t *testing.T) {
	for _, engine := range loadEngines(t) {
		t.Run(engine.name, func(t *testing.T) { killAtRandom(t, engine) })
	}
}

func killAtRandom(t *testing.T, engine loadEngine) {
	const writers = 4
	kills := figureOf(10, 200)
	random := rand.New(rand.NewPCG(1, 2))
	data := t.TempDir()
	s := serveProgram(t, data, engine.args...)
	s.mustAnswer(http.StatusCreated, "PUT", "/v1/waters/pit", killWater)
	ctx, end := context.WithCancel(context.Background())
	defer end()
	var all [writers]*writer
	var wg sync.WaitGroup
	for i := range all {
		all[i] = &writer{n: i, now: time.Now().UTC(), base: s.Address, client: &http.Client{Timeout: 10 * time.Second, Transport: &http.Transport{}}}
		wg.Go(func() { all[i].run(ctx) })
	}
	for range kills {
		time.Sleep(time.Duration(20+random.IntN(400)) * time.Millisecond)
		s.kill()
		s.start()
	}
	time.Sleep(200 * time.Millisecond)
	end()
	wg.Wait()
	want, repeated := map[string]int{}, 0
	for _, w := range all {
		if w.bad != nil {
			t.Fatal(w.bad)
		}
		for _, job := range w.done {
			s.wantKept(job, want)
			if job.tries > 1 {
				repeated++
			}
		}
	}
	took := s.stop()
	counted := engine.count(t, data)
	for table, n := range want {
		if counted[table] != n {
			t.Errorf("%s: %d rows, and %d were acknowledged", table, counted[table], n)
		}
	}
	t.Logf("%s: %d kills, %d writes acknowledged (%v), %d of them repeated; then stopped in %s", engine.name, kills, want["sessions"]+want["meter_readings"]+want["events"]/2, want, repeated, took.Round(time.Millisecond))
	if repeated == 0 {
		t.Error("no write was cut off by a kill, so nothing was tried")
	}
}

// wantKept looks for what was acknowledged, and counts the rows it stands for.
func (s *program) wantKept(job *write, want map[string]int) {
	s.t.Helper()
	var told struct {
		ID string `json:"id"`
	}
	if err := json.Unmarshal(job.answer, &told); err != nil {
		s.t.Fatal(err)
	}
	switch job.path {
	case "/v1/sessions":
		s.mustAnswer(http.StatusOK, "GET", "/v1/sessions/"+told.ID, "")
		want["sessions"]++
	case "/v1/waters/pit/readings":
		want["meter_readings"]++
	default:
		var live model.Live
		if err := json.Unmarshal(s.mustAnswer(http.StatusOK, "GET", job.path[:len(job.path)-len("events")]+"live", ""), &live); err != nil {
			s.t.Fatal(err)
		}
		if len(live.Soaks) != 1 {
			s.t.Errorf("%s: one cast, and %d soaks", job.path, len(live.Soaks))
		}
		want["events"] += 2
	}
}
