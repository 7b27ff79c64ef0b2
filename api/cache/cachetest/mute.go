package cachetest

import (
	"net"
	"sync"
	"testing"
)

// Mute accepts connections and never says a word.
type Mute struct {
	// Addr is its host and port.
	Addr string

	listener net.Listener
	done     sync.WaitGroup
	mu       sync.Mutex
	conns    []net.Conn
}

// ListenMute listens for as long as the test lasts, on port 0 on a free one.
func ListenMute(t testing.TB, addr string) *Mute {
	t.Helper()
	l, err := net.Listen("tcp", addr)
	if err != nil {
		t.Fatal(err)
	}
	m := &Mute{Addr: l.Addr().String(), listener: l}
	m.done.Go(m.accept)
	t.Cleanup(m.Close)
	return m
}

func (m *Mute) accept() {
	for {
		c, err := m.listener.Accept()
		if err != nil {
			return
		}
		m.mu.Lock()
		m.conns = append(m.conns, c)
		m.mu.Unlock()
	}
}

// Accepted counts the connections so far.
func (m *Mute) Accepted() int {
	m.mu.Lock()
	defer m.mu.Unlock()
	return len(m.conns)
}

// Close ends the listener and its connections. It may be called again.
func (m *Mute) Close() {
	m.listener.Close()
	m.done.Wait()
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, c := range m.conns {
		c.Close()
	}
}
