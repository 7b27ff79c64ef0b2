//go:build load

package main

import (
	"io"
	"net"
	"net/url"
	"sync"
	"testing"
)

// link lies between a program and what it talks to, and can be cut.
type link struct {
	net.Listener
	to    string
	mu    sync.Mutex
	cut   cutAs
	conns []net.Conn
}

// cutAs is how a link is cut.
type cutAs int

const (
	linkWhole  cutAs = iota
	linkClosed       // connections end, and no more are taken
	linkSilent       // what is sent goes nowhere, and nothing says so
)

// linkTo opens a link to the server of an address, and gives the address through
// it.
func linkTo(t *testing.T, address string) (*link, string) {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	n := &link{Listener: l, to: u.Host}
	u.Host = l.Addr().String()
	go n.serve()
	t.Cleanup(func() {
		_ = l.Close()
		n.set(linkClosed)
	})
	return n, u.String()
}

// set cuts the link or mends it. Connections from before stay dead.
func (n *link) set(cut cutAs) {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.cut = cut; cut == linkSilent {
		return
	}
	for _, c := range n.conns {
		_ = c.Close()
	}
	n.conns = nil
}

// take keeps a connection, unless the link is closed.
func (n *link) take(c net.Conn) cutAs {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.cut == linkClosed {
		_ = c.Close()
		return linkClosed
	}
	n.conns = append(n.conns, c)
	return n.cut
}

func (n *link) serve() {
	for {
		near, err := n.Accept()
		if err != nil {
			return
		}
		if n.take(near) != linkWhole {
			continue
		}
		far, err := net.Dial("tcp", n.to)
		if err != nil {
			_ = near.Close()
			continue
		}
		if n.take(far) == linkClosed {
			continue
		}
		go n.pass(near, far)
		go n.pass(far, near)
	}
}

// pass carries what one side sends to the other, while the link is whole.
func (n *link) pass(to, from net.Conn) {
	b := make([]byte, 32<<10)
	for {
		got, err := from.Read(b)
		n.mu.Lock()
		gone := n.cut == linkSilent
		n.mu.Unlock()
		if gone {
			_, _ = io.Copy(io.Discard, from) // until somebody gives up, or it is mended
			return
		}
		if _, fault := to.Write(b[:got]); err != nil || fault != nil {
			_ = to.Close()
			_ = from.Close()
			return
		}
	}
}
