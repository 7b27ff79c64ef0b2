//go:build load

package main

import (
	"bufio"
	"context"
	"encoding/json"
	"flag"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// long asks for the figures of closing notes, which take an hour and more.
var long = flag.Bool("long", false, "the full figures instead of the short ones")

// figureOf is how often, or for how long, something is done: short in the check
// and full in the figures of closing notes.
func figureOf[T any](short, full T) T {
	if *long {
		return full
	}
	return short
}

// program is the program serving in a process of its own, at the same address
// after every start.
type program struct {
	t       *testing.T
	args    []string
	token   string // what it is asked with, if with any
	Address string // http://host:port
	log     string // the file of all that it said
	cmd     *exec.Cmd
	ended   chan struct{}
}

// serveProgram starts the program on a free loopback port and stops it with the
// test.
func serveProgram(t *testing.T, data string, args ...string) *program {
	t.Helper()
	s := &program{
		t: t, log: filepath.Join(t.TempDir(), "log"),
		args: append([]string{"--data", data, "--json", "serve", "--listen", "127.0.0.1:0"}, args...),
	}
	s.start()
	// The same port from now on, so that clients need not be told.
	s.args[5] = strings.TrimPrefix(s.Address, "http://")
	t.Cleanup(s.kill)
	return s
}

// start starts the program and waits until it says where it serves.
func (s *program) start() {
	s.t.Helper()
	s.cmd = exec.Command("osier", s.args...) // TestMain puts this binary on the PATH under that name
	log, err := os.OpenFile(s.log, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		s.t.Fatal(err)
	}
	defer log.Close() // the program has its own
	s.cmd.Stderr = log
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		s.t.Fatal(err)
	}
	if err := s.cmd.Start(); err != nil {
		s.t.Fatalf("start the program: %v", err)
	}
	var told struct {
		Serving string `json:"serving"`
	}
	in := bufio.NewReader(out)
	if err := json.NewDecoder(in).Decode(&told); err != nil || told.Serving == "" {
		s.kill()
		s.t.Fatalf("the program did not say where it serves: %v\n%s", err, s.said())
	}
	s.Address = told.Serving
	ended := make(chan struct{})
	go func(cmd *exec.Cmd) {
		_, _ = io.Copy(io.Discard, in)
		_ = cmd.Wait()
		close(ended)
	}(s.cmd)
	s.ended = ended
}

// said is the end of what the program said.
func (s *program) said() []byte {
	const most = 8 << 10
	all, err := os.ReadFile(s.log)
	if err != nil {
		return []byte(err.Error())
	}
	return all[max(0, len(all)-most):]
}

// kill ends the program as a power cut would end it, and waits until it is gone.
func (s *program) kill() {
	if s.cmd == nil || s.cmd.Process == nil {
		return
	}
	_ = s.cmd.Process.Signal(syscall.SIGKILL)
	if s.ended != nil {
		<-s.ended
	}
	s.cmd = nil
}

// stop ends it as an operator would, and says how long it took.
func (s *program) stop() time.Duration {
	s.t.Helper()
	began := time.Now()
	if err := s.cmd.Process.Signal(syscall.SIGTERM); err != nil {
		s.t.Fatal(err)
	}
	select {
	case <-s.ended:
	case <-time.After(30 * time.Second):
		s.t.Fatalf("the program did not stop within 30 s of being asked\n%s", s.said())
	}
	s.cmd = nil
	return time.Since(began)
}

// hang and resume stop the process from doing anything, and let it go on.
func (s *program) hang()   { _ = s.cmd.Process.Signal(syscall.SIGSTOP) }
func (s *program) resume() { _ = s.cmd.Process.Signal(syscall.SIGCONT) }

// exchange sends one request and reads the whole answer.
func exchange(ctx context.Context, client *http.Client, method, url, key, body string) (status int, answer []byte, err error) {
	r, err := http.NewRequestWithContext(ctx, method, url, nil)
	if err != nil {
		return 0, nil, err
	}
	if key != "" {
		r.Header.Set("Idempotency-Key", key)
	}
	status, _, answer, err = send(client, r, body)
	return status, answer, err
}

// send gives the request a body, where there is one, and reads the whole answer.
func send(client *http.Client, r *http.Request, body string) (status int, header http.Header, answer []byte, err error) {
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
		r.Body, r.ContentLength = io.NopCloser(strings.NewReader(body)), int64(len(body))
	}
	w, err := client.Do(r)
	if err != nil {
		return 0, nil, nil, err
	}
	defer w.Body.Close()
	answer, err = io.ReadAll(w.Body)
	return w.StatusCode, w.Header, answer, err
}

// mustAnswer is an exchange that has to come to this status.
func (s *program) mustAnswer(want int, method, path, body string) []byte {
	s.t.Helper()
	r, err := http.NewRequestWithContext(s.t.Context(), method, s.Address+path, nil)
	if err != nil {
		s.t.Fatal(err)
	}
	if s.token != "" {
		r.Header.Set("Authorization", "Bearer "+s.token)
	}
	status, _, answer, err := send(http.DefaultClient, r, body)
	if err != nil || status != want {
		s.t.Fatalf("%s %s: status %d, error %v, want %d\n%s", method, path, status, err, want, answer)
	}
	return answer
}
