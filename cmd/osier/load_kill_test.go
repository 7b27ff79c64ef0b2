//go:build load

package main

import (
	"bytes"
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

// killClub is one club of theirs: each outlook has a club of its own, since a
// club's next one would supersede it.
const killClub = `{"name":"Invented Circle","zone":"Europe/London","waters":["pit"]}`

// write is one thing that a client has to get across: it repeats it with the
// same key until it is acknowledged.
type write struct {
	kind, method, path, key, body string
	status                        int // 0 until it is acknowledged
	answer                        []byte
	tries                         int
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
	switch k % 4 {
	case 0:
		return &write{kind: "sessions", method: "POST", path: "/v1/sessions", key: key, body: fmt.Sprintf(
			`{"water":"pit","angler":"a%d","group":"bream","style":"summary","start":%q,"end":%q,"rods":1,"bites":%d,"fish":{"bream":1}}`,
			w.n, at.Format(time.RFC3339), at.Add(4*time.Hour).Format(time.RFC3339), 1+k%20)}
	case 1:
		return &write{kind: "readings", method: "POST", path: "/v1/waters/pit/readings", key: key, body: fmt.Sprintf(
			`{"water_temp_c":%d,"at":%q,"by":"a%d"}`, 5+k%10, at.Format(time.RFC3339), w.n)}
	}
	return &write{kind: "events", method: "POST", path: fmt.Sprintf("/v1/sessions/s-w%d-%d/events", w.n, k), key: key, body: fmt.Sprintf(
		`{"sent_at":%q,"events":[{"id":"st","kind":"start","at":%[2]q,"start":{"water":"pit","angler":"live%[3]d-%[4]d","group":"bream"}},{"id":"c1","kind":"cast","at":%[2]q}]}`,
		w.now.Format(time.RFC3339), w.now.Add(-time.Hour).Format(time.RFC3339), w.n, k)}
}

// leastWrites is how often a writer writes at least, on the slowest machine: each
// kind twice.
const leastWrites = 8

// run writes until the context ends; the write under way is then still seen
// through.
func (w *writer) run(ctx context.Context) {
	for k := 0; (ctx.Err() == nil || k < leastWrites) && w.bad == nil; k++ {
		if k%4 == 3 {
			w.publish(k)
			continue
		}
		w.through(w.next(k))
	}
}

// publish registers a club, has its outlook drafted and publishes the draft. The
// schedule may have put a newer draft in its place: then that is to be had.
func (w *writer) publish(k int) {
	club := fmt.Sprintf("/v1/clubs/c%d-%d", w.n, k)
	w.through(&write{kind: "clubs", method: "PUT", path: club, body: killClub})
	for again := 0; w.bad == nil && again < 9; again++ {
		key := fmt.Sprintf("w%d-%d-%d", w.n, k, again)
		draft := w.through(&write{kind: "drafts", method: "POST", path: club + "/outlooks", key: key, body: `{"days":1}`})
		var told struct {
			ID string `json:"outlook_id"`
		}
		if w.bad == nil {
			w.bad = json.Unmarshal(draft.answer, &told)
		}
		published := &write{kind: "published", method: "POST", path: club + "/outlooks/" + told.ID + "/publish", key: key + "-p", body: `{"by":"officer"}`}
		if w.bad != nil || w.through(published).status != http.StatusNotFound {
			return
		}
	}
}

// through repeats a write until it is acknowledged.
func (w *writer) through(job *write) *write {
	w.done = append(w.done, job)
	last := ""
	// While kills go on, a busy machine may need longer for a draft than it lives.
	patience := figureOf(2*time.Minute, 20*time.Minute)
	for deadline := time.Now().Add(patience); w.bad == nil && job.status == 0; time.Sleep(2 * time.Millisecond) {
		if time.Now().After(deadline) {
			w.bad = fmt.Errorf("%s %s was not acknowledged within %s: %s", job.method, job.path, patience, last)
			break
		}
		job.tries++
		status, answer, err := exchange(context.Background(), w.client, job.method, w.base+job.path, job.key, job.body)
		last = fmt.Sprintf("status %d, %v, %s", status, err, answer)
		switch {
		case err != nil || status == http.StatusServiceUnavailable: // it may or may not be through
		case status == http.StatusOK || status == http.StatusCreated || status == http.StatusNotFound && job.kind == "published":
			job.status, job.answer = status, answer
		default:
			w.bad = fmt.Errorf("%s %s: status %d\n%s", job.method, job.path, status, answer)
		}
	}
	return job
}

// Killed at random instants while clients write, on each store: nothing that was
// acknowledged is lost, and nothing that a client repeated is there twice.
func TestLoadKilledAtRandomInstants(t *testing.T) {
	t.Parallel()
	for name, engine := range map[string]func(*testing.T) loadEngine{"SQLite": sqliteEngine, "PostgreSQL": postgresEngine} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			killAtRandom(t, engine(t))
		})
	}
}

// killAtRandom kills the program; each third time its database server crashes
// first, where it has one.
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
	for k := range kills {
		time.Sleep(time.Duration(20+random.IntN(600)) * time.Millisecond)
		if k%3 == 2 {
			engine.crash(t)
		}
		s.kill()
		if k%3 == 2 {
			engine.start(t)
		}
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
	db := engine.open(t, data)
	engine.check(t, db)
	for name, n := range countRows(t, db) {
		if n != want[name] {
			t.Errorf("%s: %d rows, and %d were acknowledged", name, n, want[name])
		}
	}
	for name := range countedTables {
		if want[name] == 0 {
			t.Errorf("%s: none was acknowledged, so nothing was tried", name)
		}
	}
	t.Logf("%s: %d kills; rows acknowledged: %v; %d writes were repeated; then stopped in %s", engine.name, kills, want, repeated, took.Round(time.Millisecond))
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
	switch job.kind {
	case "sessions":
		s.mustAnswer(http.StatusOK, "GET", "/v1/sessions/"+told.ID, "")
	case "events":
		var live model.Live
		if err := json.Unmarshal(s.mustAnswer(http.StatusOK, "GET", job.path[:len(job.path)-len("events")]+"live", ""), &live); err != nil {
			s.t.Fatal(err)
		}
		if len(live.Soaks) != 1 {
			s.t.Errorf("%s: one cast, and %d soaks", job.path, len(live.Soaks))
		}
		want["events"]++ // the start is another
	case "published":
		if job.status == http.StatusNotFound {
			return
		}
		kept := s.mustAnswer(http.StatusOK, "GET", job.path[:len(job.path)-len("/publish")], "")
		if got, said := bytes.TrimSpace(kept), bytes.TrimSpace(job.answer); !bytes.Equal(got, said) {
			s.t.Errorf("%s was published as\n%s\nand is now\n%s", job.path, said, got)
		}
	}
	want[job.kind]++
}
