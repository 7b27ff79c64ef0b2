package cachetest

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// startLimit is how long a server may take to answer for the first time.
const startLimit = 20 * time.Second

// RedisServer is a real redis-server on a free loopback port, and the ways in
// which it can fail.
type RedisServer struct {
	// Addr is its host and port, the same again after every start.
	Addr string

	t    testing.TB
	args []string
	cmd  *exec.Cmd
	said bytes.Buffer
	mute *Mute
}

// StartRedis starts a server that lasts as long as the test, with more
// arguments of redis-server where given. Where there is no redis-server the
// test is skipped.
func StartRedis(t testing.TB, args ...string) *RedisServer {
	t.Helper()
	if _, err := exec.LookPath("redis-server"); err != nil {
		t.Skip("SKIPPED: redis-server is not on the PATH, so nothing here is known about a real Redis")
	}
	addr := FreeAddr(t)
	_, port, err := net.SplitHostPort(addr)
	if err != nil {
		t.Fatal(err)
	}
	s := &RedisServer{Addr: addr, t: t, args: append([]string{
		"--bind", "127.0.0.1", "--port", port, "--save", "", "--appendonly", "no", "--dir", t.TempDir(),
	}, args...)}
	s.Start()
	t.Cleanup(s.Kill)
	return s
}

// StartSentinel starts a sentinel that looks after the server under a name,
// and gives the sentinel's own host and port.
func StartSentinel(t testing.TB, name string, master *RedisServer) string {
	t.Helper()
	addr := FreeAddr(t)
	masterHost, masterPort, _ := net.SplitHostPort(master.Addr)
	_, port, _ := net.SplitHostPort(addr)
	file := filepath.Join(t.TempDir(), "sentinel.conf") // sentinels insist on a file that they can write
	config := fmt.Sprintf("bind 127.0.0.1\nport %s\nsentinel monitor %[2]s %s %s 1\nsentinel down-after-milliseconds %[2]s 500\nsentinel failover-timeout %[2]s 3000\n",
		port, name, masterHost, masterPort)
	if err := os.WriteFile(file, []byte(config), 0o600); err != nil {
		t.Fatal(err)
	}
	s := &RedisServer{Addr: addr, t: t, args: []string{file, "--sentinel"}}
	s.Start()
	t.Cleanup(s.Kill)
	return addr
}

// FreeAddr is a loopback address on which nobody listens.
func FreeAddr(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// URL is the server's address as a single server.
func (s *RedisServer) URL() string { return "redis://" + s.Addr }

// Start starts the server, with nothing in it, and waits until it answers.
func (s *RedisServer) Start() {
	s.t.Helper()
	s.said.Reset()
	s.cmd = exec.Command("redis-server", s.args...)
	s.cmd.Stdout, s.cmd.Stderr = &s.said, &s.said
	if err := s.cmd.Start(); err != nil {
		s.t.Fatalf("start redis-server: %v", err)
	}
	for deadline := time.Now().Add(startLimit); ; time.Sleep(5 * time.Millisecond) {
		answer, err := s.Do("PING")
		if err == nil && answer == "+PONG" {
			return
		}
		if time.Now().After(deadline) {
			s.Kill()
			s.t.Fatalf("redis-server on %s did not answer within %s: %v\n%s", s.Addr, startLimit, err, s.said.String())
		}
	}
}

// Do sends a command without blanks inside its words, and gives the answer:
// the line of a short one, the text of a long one.
func (s *RedisServer) Do(words ...string) (string, error) {
	c, err := net.DialTimeout("tcp", s.Addr, time.Second)
	if err != nil {
		return "", err
	}
	defer c.Close()
	if err := c.SetDeadline(time.Now().Add(time.Second)); err != nil {
		return "", err
	}
	if _, err := fmt.Fprintf(c, "%s\r\n", strings.Join(words, " ")); err != nil {
		return "", err
	}
	in := bufio.NewReader(c)
	line, err := in.ReadString('\n')
	line = strings.TrimRight(line, "\r\n")
	size, long := strings.CutPrefix(line, "$")
	if err != nil || !long {
		return line, err
	}
	n, err := strconv.ParseUint(size, 10, 20)
	if err != nil {
		return "", fmt.Errorf("read the size of the answer: %w", err)
	}
	text := make([]byte, n)
	_, err = io.ReadFull(in, text)
	return string(text), err
}

// Used is the memory that the server has in use.
func (s *RedisServer) Used() uint64 {
	s.t.Helper()
	return s.figure("memory", "used_memory:")
}

// Commands is how often the server was sent a command since it started.
func (s *RedisServer) Commands(name string) uint64 {
	s.t.Helper()
	return s.figure("commandstats", "cmdstat_"+name+":calls=")
}

// figure reads the number that stands behind a mark in a section of what the
// server says about itself; without the mark it is zero.
func (s *RedisServer) figure(section, mark string) uint64 {
	s.t.Helper()
	answer, err := s.Do("INFO", section)
	if err != nil {
		s.t.Fatalf("ask redis-server about its %s: %v", section, err)
	}
	_, after, found := strings.Cut(answer, mark)
	if !found {
		return 0
	}
	digits := after[:len(after)-len(strings.TrimLeft(after, "0123456789"))]
	n, err := strconv.ParseUint(digits, 10, 64)
	if err != nil {
		s.t.Fatalf("read %s in %q: %v", mark, answer, err)
	}
	return n
}

// Kill ends the server at once, as a crash would. It may be called again.
func (s *RedisServer) Kill() {
	if s.cmd == nil {
		return
	}
	_ = s.cmd.Process.Kill() // also ends one that hangs
	_ = s.cmd.Wait()
	s.cmd = nil
}

// Hang stops the server from doing anything; its port goes on accepting
// connections.
func (s *RedisServer) Hang() { s.signal(syscall.SIGSTOP) }

// Resume lets a hung server go on.
func (s *RedisServer) Resume() { s.signal(syscall.SIGCONT) }

// Mute puts a listener that never answers in the place of a killed server, so
// that not even a new connection hears anything.
func (s *RedisServer) Mute() {
	s.t.Helper()
	s.mute = ListenMute(s.t, s.Addr)
}

// Unmute takes that listener away.
func (s *RedisServer) Unmute() { s.mute.Close() }

func (s *RedisServer) signal(sig os.Signal) {
	s.t.Helper()
	if err := s.cmd.Process.Signal(sig); err != nil {
		s.t.Fatalf("signal redis-server: %v", err)
	}
}
