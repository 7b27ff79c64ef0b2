//go:build load

package main

import (
	"database/sql"
	"net/http"
	"syscall"
	"testing"
	"time"

	"osier/api/cache/cachetest"
	"osier/model/store/storetest"
)

// phase is how long the load lasts before, during and after an outage.
func phase() time.Duration { return figureOf(3*time.Second, time.Minute) }

// Redis gone under load: nothing fails, and the cache comes back by itself.
func TestLoadRedisGone(t *testing.T) {
	t.Parallel()
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
			t.Logf("Redis %-8s %-16s %s", part.name, name, got)
			if got.done() != got.asked {
				t.Errorf("with Redis %s: %s: %s", part.name, name, got)
			}
		}
	}
	if kept, err := redis.Do("DBSIZE"); err != nil || kept == ":0" {
		t.Errorf("after it came back Redis holds %s, error %v", kept, err)
	}
}

// outage is one phase of a load while the store may not answer.
type outage struct {
	name                string
	long                time.Duration
	change              func()
	reads, writes, sure bool // served; the last: that the program says it is ready
}

// throughOutages puts the load on the program, phase by phase, and holds what
// became of it against what is promised: reads are served, from the cache and
// with their age while the store does not answer them, and writes are refused
// with 503 and when to come again. What was refused is not there afterwards.
func (s *program) throughOutages(requests []request, sessions func() int, phases []outage) {
	s.t.Helper()
	before, kept := sessions(), 0
	for _, p := range phases {
		requests[len(requests)-1] = writeRecords("quillmarsh-pit", p.name, demoNow)
		p.change()
		s.becomesReady(p)
		for name, got := range loadFor(s.t, []string{s.Address}, p.long, requests) {
			s.t.Logf("%-8s %-16s %s", p.name, name, got)
			refused, wrote := got.byStatus[http.StatusServiceUnavailable], name == "write record"
			switch {
			case wrote && !p.writes && (refused != got.asked || got.retry != refused):
				s.t.Errorf("%s: %s: %s, %d said when to come again; want all refused so", p.name, name, got, got.retry)
			case (!wrote || p.writes) && got.done() != got.asked:
				s.t.Errorf("%s: %s: %s; want all served", p.name, name, got)
			case !wrote && !p.reads && got.aged != got.asked:
				s.t.Errorf("%s: %s: %s; want an age in all", p.name, name, got)
			}
			if wrote {
				kept += got.byStatus[http.StatusCreated]
			}
		}
	}
	if got := sessions() - before; got != kept {
		s.t.Errorf("%d records were kept, and %d acknowledged", got, kept)
	}
}

// becomesReady waits until /readyz tells what is true, and says how long it took.
func (s *program) becomesReady(p outage) {
	s.t.Helper()
	want := http.StatusServiceUnavailable
	if p.sure {
		want = http.StatusOK
	}
	began := time.Now()
	for {
		status, answer, err := exchange(s.t.Context(), http.DefaultClient, "GET", s.Address+"/readyz", "", "")
		if err == nil && status == want {
			break
		}
		if time.Since(began) > time.Minute {
			s.t.Fatalf("%s: /readyz answers %d, %v, %s, want %d", p.name, status, err, answer, want)
		}
		time.Sleep(20 * time.Millisecond)
	}
	s.t.Logf("%-8s /readyz says %d after %s", p.name, want, time.Since(began).Round(time.Millisecond))
}

// PostgreSQL standing still, gone and back under load.
func TestLoadPostgresGone(t *testing.T) {
	t.Parallel()
	server := storetest.StartPostgres(t)
	address := server.Database(t)
	s := serveProgram(t, t.TempDir(), clubInPostgres(t, address)...)
	var resume func()
	requests := clubRequests(s, "before")
	s.throughOutages(requests, func() int { return countRows(t, openSQL(t, "pgx", address))["sessions"] }, []outage{
		{name: "before", long: phase(), change: func() {}, reads: true, writes: true, sure: true},
		{name: "hanging", long: figureOf(15*time.Second, time.Minute), change: func() { resume = hangPostgres(t, server, address) }},
		{name: "gone", long: phase(), change: func() { resume(); server.Kill(t) }},
		{name: "after", long: phase(), change: func() { server.Start(t) }, reads: true, writes: true, sure: true},
	})
}

// hangPostgres stops the server and all its processes where they stand. New
// connections are taken by the machine, and nobody answers them.
func hangPostgres(t *testing.T, server *storetest.PostgresServer, address string) (resume func()) {
	t.Helper()
	conn, err := openSQL(t, "pgx", address).Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var stopped []int
	send := func(pid int, sig syscall.Signal) {
		if err := syscall.Kill(pid, sig); err != nil && sig == syscall.SIGSTOP {
			t.Errorf("stop process %d of PostgreSQL: %v", pid, err)
		}
	}
	stop := func(pid int) { send(pid, syscall.SIGSTOP); stopped = append(stopped, pid) }
	stop(server.Process().Pid) // first, so that it makes no more
	rows, err := conn.QueryContext(t.Context(), "SELECT pid FROM pg_stat_activity ORDER BY pid = pg_backend_pid()")
	if err != nil {
		t.Fatal(err)
	}
	var pids []int
	for rows.Next() {
		var pid int
		if err := rows.Scan(&pid); err != nil {
			t.Fatal(err)
		}
		pids = append(pids, pid)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	for _, pid := range pids {
		stop(pid)
	}
	resume = func() {
		for _, pid := range stopped {
			send(pid, syscall.SIGCONT)
		}
		stopped = nil
		_ = conn.Close()
	}
	t.Cleanup(resume)
	return resume
}

// SQLite's file held by another process: it can be read and not written, so
// reads go on and writes are refused.
func TestLoadSQLiteHeld(t *testing.T) {
	t.Parallel()
	data, args := clubData(t)
	s := serveProgram(t, data, args...)
	var held *sql.Conn
	exec := func(statement string) {
		t.Helper()
		if _, err := held.ExecContext(t.Context(), statement); err != nil {
			t.Fatalf("%s: %v", statement, err)
		}
	}
	requests := clubRequests(s, "before")
	s.throughOutages(requests, func() int { return countRows(t, openSQLiteFile(t, data))["sessions"] }, []outage{
		{name: "before", long: phase(), change: func() {}, reads: true, writes: true, sure: true},
		{name: "held", long: phase(), change: func() {
			var err error
			if held, err = openSQLiteFile(t, data).Conn(t.Context()); err != nil {
				t.Fatal(err)
			}
			exec("PRAGMA busy_timeout = 10000")
			exec("BEGIN EXCLUSIVE")
		}, reads: true},
		{name: "after", long: phase(), change: func() { exec("ROLLBACK") }, reads: true, writes: true, sure: true},
	})
}
