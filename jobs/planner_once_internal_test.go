package jobs

import (
	"context"
	"sync"
	"testing"
	"time"
)

// A first reader that leaves takes nothing with it: the next one makes it, and it is
// held for all.
func TestWhoWaitsWhileAMakingFailsMakesItForAll(t *testing.T) {
	var o once[string, int]
	room, made := roomFor(100), 0
	started, goOn := make(chan struct{}), make(chan struct{})
	var both sync.WaitGroup
	both.Go(func() {
		if _, err := o.get(room, "k", func() (int, int, error) {
			close(started)
			<-goOn
			return 0, 0, context.Canceled
		}); err == nil {
			t.Error("the first one leaves, and is told nothing of it")
		}
	})
	<-started
	get := func() {
		if got, err := o.get(room, "k", func() (int, int, error) { made++; return 7, 60, nil }); got != 7 || err != nil {
			t.Errorf("got %d, %v, want 7", got, err)
		}
	}
	both.Go(get)
	time.Sleep(50 * time.Millisecond) // it waits
	close(goOn)
	both.Wait()
	get()
	get()
	if made != 1 || room.left.Load() != 40 {
		t.Errorf("made %d times, want once; room left %d, want 40", made, room.left.Load())
	}
}
