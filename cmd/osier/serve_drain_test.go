package main

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"osier/model"
	"osier/model/store"
)

// drainWater is a water to be asked about.
var drainWater = model.Water{
	ID: "quillmarsh-pit", Name: "Quillmarsh Pit", LatDeg: 51.5, LonDeg: -0.12, ElevationM: 12, MeanDepthM: 2.4,
	Bank: "grass", Colour: "tinged", Zone: "Europe/London", Groups: model.Groups(),
}

// inStore does something with a store that nobody else has open.
func inStore(t *testing.T, dir string, do func(*store.DB) error) {
	t.Helper()
	db, err := store.OpenSQLite(t.Context(), dir)
	if err == nil {
		err = do(db)
	}
	if err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
}

// until tries again until it is so.
func until(t *testing.T, what string, so func() bool) {
	t.Helper()
	for began := time.Now(); !so(); time.Sleep(10 * time.Millisecond) {
		if time.Since(began) > 20*time.Second {
			t.Fatalf("in 20 s it did not come to this: %s", what)
		}
	}
}

// readiness asks /readyz over a connection of its own.
func readiness(address string) (status int, body string) {
	client := http.Client{Transport: &http.Transport{DisableKeepAlives: true}, Timeout: 15 * time.Second}
	resp, err := client.Get(address + "/readyz")
	if err != nil {
		return 0, err.Error()
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	if err != nil {
		return 0, err.Error()
	}
	return resp.StatusCode, string(text)
}

// heldRequest asks for a plan and keeps half of the question back, once the
// handler waits for it.
func heldRequest(t *testing.T, address string) (answer func() (status int, err error)) {
	t.Helper()
	conn, err := net.Dial("tcp", strings.TrimPrefix(address, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	question := fmt.Sprintf(`{"water":%q,"start":%q,"hours":4,"group":"bream"}`, drainWater.ID, time.Now().Add(3*time.Hour).UTC().Format(time.RFC3339))
	fmt.Fprintf(conn, "POST /v1/plans HTTP/1.1\r\nHost: osier\r\nContent-Type: application/json\r\nContent-Length: %d\r\nExpect: 100-continue\r\n\r\n", len(question))
	in := bufio.NewReader(conn)
	if line, err := in.ReadString('\n'); err != nil || !strings.Contains(line, "100 Continue") {
		t.Fatalf("the handler does not wait for the question: %q, %v", line, err)
	}
	if _, err := in.ReadString('\n'); err != nil {
		t.Fatal(err)
	}
	fmt.Fprint(conn, question[:20])
	return func() (int, error) {
		fmt.Fprint(conn, question[20:])
		resp, err := http.ReadResponse(in, nil)
		if err != nil {
			return 0, err
		}
		defer resp.Body.Close()
		_, err = io.Copy(io.Discard, resp.Body)
		return resp.StatusCode, err
	}
}

// Told to stop, the program says at once that nobody should send it more, goes
// on answering for its notice, then lets nobody new in, finishes what is under
// way, and ends the run of the schedule with its record written.
func TestToldToStopTheProgramFinishesWhatIsUnderWay(t *testing.T) {
	asked := make(chan struct{}, 100)
	silent := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		asked <- struct{}{}
		<-r.Context().Done()
	}))
	defer silent.Close()
	dir := t.TempDir()
	inStore(t, dir, func(db *store.DB) error { return db.PutWater(t.Context(), drainWater) })

	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	out, in := io.Pipe()
	ended := make(chan int, 1)
	go func() {
		code := run(ctx, []string{"serve", "--listen", "127.0.0.1:0", "--notice", "1s", "--feeds", silent.URL, "--data", dir}, in, io.Discard)
		in.Close()
		ended <- code
	}()
	line, err := bufio.NewReader(out).ReadString('\n')
	address := regexp.MustCompile(`http://\S+`).FindString(line)
	if address == "" {
		t.Fatalf("serve printed no address: %q, %v", line, err)
	}
	<-asked // a pull is under way
	if status, body := readiness(address); status != http.StatusOK {
		t.Fatalf("before it is told to stop it is not ready: %d %s", status, body)
	}
	answer := heldRequest(t, address)

	stop()
	if status, body := readiness(address); status != http.StatusServiceUnavailable || !strings.Contains(body, "draining") {
		t.Errorf("told to stop, /readyz says %d %s", status, body)
	}
	if body := get(t, address+"/v1/waters"); !strings.Contains(body, drainWater.Name) {
		t.Errorf("in its notice it no longer answers: %s", body)
	}
	until(t, "a new connection is refused", func() bool {
		conn, err := net.Dial("tcp", strings.TrimPrefix(address, "http://"))
		if err == nil {
			_ = conn.Close()
		}
		return err != nil
	})
	select {
	case code := <-ended:
		t.Fatalf("it ended with %d while a request was under way", code)
	default:
	}
	if status, err := answer(); status != http.StatusOK {
		t.Errorf("the request under way was answered %d, %v", status, err)
	}
	if code := <-ended; code != exitDone {
		t.Errorf("serve ended with %d", code)
	}
	inStore(t, dir, func(db *store.DB) error {
		runs, err := db.JobRuns(t.Context(), 10)
		if err == nil && (len(runs) != 1 || runs[0].Job != "pull" || !runs[0].EndedAt.Known || !strings.Contains(runs[0].Error, "cancel")) {
			t.Errorf("the runs on record are %+v, want the pull alone, ended as cancelled", runs)
		}
		return err
	})
}

func TestReadinessIsThatOfTheStore(t *testing.T) {
	dir := t.TempDir()
	address := running(t, "--data", dir, "--join-at", "1 1 1 1 *")
	until(t, "the runs made up at the start are over", func() bool {
		return strings.Contains(get(t, address+"/metrics"), `osier_job_runs_total{job="prune",outcome="done"} 1`)
	})
	behind, err := sql.Open("sqlite", "file:"+filepath.Join(dir, "osier.db")+"?_pragma=busy_timeout(5000)")
	if err != nil {
		t.Fatal(err)
	}
	defer behind.Close()
	behind.SetMaxOpenConns(1)
	for _, fault := range []struct{ name, begins, ends string }{
		{"another program holds the writer's lock", "BEGIN IMMEDIATE", "ROLLBACK"},
		{"what is read is not there", "ALTER TABLE revision RENAME TO elsewhere", "ALTER TABLE elsewhere RENAME TO revision"},
		{"writing fails and reading does not", "CREATE TRIGGER full BEFORE UPDATE ON revision BEGIN SELECT RAISE(FAIL, 'database or disk is full'); END", "DROP TRIGGER full"},
	} {
		if status, body := readiness(address); status != http.StatusOK {
			t.Fatalf("before %s: %d %s", fault.name, status, body)
		}
		if _, err := behind.ExecContext(t.Context(), fault.begins); err != nil {
			t.Fatal(err)
		}
		if status, body := readiness(address); status != http.StatusServiceUnavailable || !strings.Contains(body, "the store did not") {
			t.Errorf("while %s: %d %s", fault.name, status, body)
		}
		if figures := get(t, address+"/metrics"); !strings.Contains(figures, "\nosier_store_up 0\n") {
			t.Errorf("while %s the figures do not say that the store is down", fault.name)
		}
		if _, err := behind.ExecContext(t.Context(), fault.ends); err != nil {
			t.Fatal(err)
		}
		if status, body := readiness(address); status != http.StatusOK {
			t.Errorf("after %s: %d %s; it does not recover", fault.name, status, body)
		}
	}
	if figures := get(t, address+"/metrics"); !strings.Contains(figures, "\nosier_store_up 1\n") {
		t.Error("the figures do not say that the store is up again")
	}
}

// A program told to stop while it is still starting has done what it was told:
// a supervisor would call anything else a crash.
func TestToldToStopWhileStartingTheProgramEndsWell(t *testing.T) {
	for _, after := range []time.Duration{0, 2 * time.Millisecond, 10 * time.Millisecond, 30 * time.Millisecond, 100 * time.Millisecond, 300 * time.Millisecond, time.Second} {
		ctx, stop := context.WithCancel(t.Context())
		if after == 0 {
			stop()
		}
		time.AfterFunc(after, stop)
		var said bytes.Buffer
		code := run(ctx, []string{"serve", "--listen", "127.0.0.1:0", "--data", t.TempDir()}, io.Discard, &said)
		stop()
		if code != exitDone {
			t.Errorf("told to stop after %s, it ended with %d and said:\n%s", after, code, &said)
		}
	}
}
