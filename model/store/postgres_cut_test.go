package store_test

import (
	"io"
	"net"
	"net/url"
	"sync"
	"testing"
	"time"

	"osier/model"
	"osier/model/store/storetest"
)

// network lies between a store and its server, and can be cut: what is sent then
// goes nowhere, and nothing says so, as when a cable is pulled.
type network struct {
	net.Listener
	mu   sync.Mutex
	gone bool
	held []net.Conn
}

func (n *network) isCut() bool {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.gone
}

// set cuts the network, or mends it: connections from before stay dead.
func (n *network) set(cut bool) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.gone = cut
}

func (n *network) serve(server string) {
	for {
		near, err := n.Accept()
		if err != nil {
			return
		}
		n.mu.Lock()
		n.held = append(n.held, near)
		n.mu.Unlock()
		if n.isCut() {
			continue
		}
		far, err := net.Dial("tcp", server)
		if err != nil {
			_ = near.Close()
			continue
		}
		go n.pass(near, far)
		go n.pass(far, near)
	}
}

func (n *network) pass(to io.WriteCloser, from io.ReadCloser) {
	b := make([]byte, 32<<10)
	for {
		got, err := from.Read(b)
		if n.isCut() {
			_, _ = io.Copy(io.Discard, from) // until somebody gives up
			return
		}
		if _, fault := to.Write(b[:got]); err != nil || fault != nil {
			_ = to.Close()
			return
		}
	}
}

func TestAServerThatIsCutOffKeepsNobodyWaitingForEver(t *testing.T) {
	address, err := url.Parse(storetest.StartPostgres(t).Database(t))
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	n := &network{Listener: l}
	server := address.Host
	address.Host = l.Addr().String()
	go n.serve(server)
	t.Cleanup(func() {
		_ = n.Close()
		for _, c := range n.held {
			_ = c.Close()
		}
	})
	db := closing(t, openPostgres(t, address.String()))
	if err := working(db); err != nil {
		t.Fatal(err)
	}
	n.set(true)
	var all sync.WaitGroup
	for range 3 {
		all.Go(func() {
			began := time.Now()
			if err := db.PutWater(t.Context(), model.Water{ID: "carr"}); model.CodeOf(err) != model.Unavailable {
				t.Errorf("write: error %v, want it unavailable", err)
			}
			if took := time.Since(began); took > 30*time.Second {
				t.Errorf("a write was refused after %v", took)
			}
		})
		all.Go(func() {
			began := time.Now()
			if _, err := db.Water(t.Context(), "carr"); model.CodeOf(err) != model.Unavailable {
				t.Errorf("read: error %v, want it unavailable", err)
			}
			if took := time.Since(began); took > 30*time.Second {
				t.Errorf("a read failed after %v", took)
			}
		})
	}
	began := time.Now()
	if err := db.Ping(t.Context()); model.CodeOf(err) != model.Unavailable || time.Since(began) > 6*time.Second {
		t.Errorf("ping said %v after %v, want it unavailable within 5 s", err, time.Since(began))
	}
	all.Wait()
	n.set(false)
	// An attempt to connect from before may still be waited for.
	for back := time.Now(); ; time.Sleep(100 * time.Millisecond) {
		err := working(db)
		if err == nil {
			break
		}
		if time.Since(back) > 10*time.Second {
			t.Fatalf("when the network was back for 10 s: %v", err)
		}
	}
}
