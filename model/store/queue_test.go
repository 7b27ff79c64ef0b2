package store_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync"
	"testing"
	"time"

	"osier/model"
	"osier/model/store"
	"osier/model/store/storetest"
)

// hands counts who did which piece.
type hands struct {
	mu   sync.Mutex
	done map[string][]int
}

func (h *hands) of(program int) store.Do {
	return func(_ context.Context, piece string) (map[string]int, error) {
		time.Sleep(100 * time.Millisecond)
		h.mu.Lock()
		defer h.mu.Unlock()
		h.done[piece] = append(h.done[piece], program)
		return map[string]int{"pieces": 1, "letters": len(piece)}, nil
	}
}

func queue(t *testing.T, address string, works map[string]store.Do) *store.Queue {
	t.Helper()
	q, err := store.OpenQueue(t.Context(), address, slog.New(slog.DiscardHandler), works)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := q.Close(context.Background()); err != nil {
			t.Errorf("close: %v", err)
		}
	})
	return q
}

func TestPiecesAreDoneOnceEachByWhicheverProgramIsFree(t *testing.T) {
	address := storetest.StartPostgres(t).Database(t)
	h := hands{done: map[string][]int{}}
	var first *store.Queue
	for program := range 2 {
		q := queue(t, address, map[string]store.Do{"outlook": h.of(program)})
		if first == nil {
			first = q
		}
	}
	var pieces []string
	letters := 0
	for i := range 24 {
		pieces = append(pieces, fmt.Sprint("club-", i))
		letters += len(pieces[i])
	}
	counts, err := first.Each(t.Context(), "outlook", pieces)
	if err != nil || counts["pieces"] != len(pieces) || counts["letters"] != letters {
		t.Errorf("counts %v, error %v; want %d pieces of %d letters", counts, err, len(pieces), letters)
	}
	share := [2]int{}
	for _, piece := range pieces {
		if len(h.done[piece]) != 1 {
			t.Errorf("%s was done by %v, want it done once", piece, h.done[piece])
			continue
		}
		share[h.done[piece][0]]++
	}
	if share[0] == 0 || share[1] == 0 {
		t.Errorf("the two programs did %v pieces: one did all the work", share)
	}
	if counts, err := first.Each(t.Context(), "outlook", nil); err != nil || len(counts) != 0 {
		t.Errorf("no pieces came to %v, error %v", counts, err)
	}
}

func TestAPieceThatFailsIsToldAndOthersAreDone(t *testing.T) {
	address := storetest.StartPostgres(t).Database(t)
	var mu sync.Mutex
	tries := 0
	q := queue(t, address, map[string]store.Do{"outlook": func(_ context.Context, piece string) (map[string]int, error) {
		mu.Lock()
		defer mu.Unlock()
		switch piece {
		case "never":
			return nil, model.Invalidf("club", "", "it has no such water")
		case "at last":
			if tries++; tries < 2 {
				return nil, &model.Error{Code: model.Unavailable, Wrong: "not yet"}
			}
		}
		return map[string]int{"drafts": 1}, nil
	}})
	counts, err := q.Each(t.Context(), "outlook", []string{"good", "never", "at last"})
	if counts["drafts"] != 2 || err == nil || !strings.Contains(err.Error(), "outlook never") || !strings.Contains(err.Error(), "no such water") || strings.Contains(err.Error(), "at last") {
		t.Errorf("counts %v, error %v; want two drafts, and told of the one that failed", counts, err)
	}
}

func TestWhatNobodyWaitsForIsCalledOff(t *testing.T) {
	address := storetest.StartPostgres(t).Database(t)
	var mu sync.Mutex
	begun := 0
	q := queue(t, address, map[string]store.Do{"outlook": func(ctx context.Context, _ string) (map[string]int, error) {
		mu.Lock()
		begun++
		mu.Unlock()
		<-ctx.Done()
		return nil, ctx.Err()
	}})
	ctx, stop := context.WithTimeout(t.Context(), 3*time.Second)
	defer stop()
	var pieces []string
	for i := range 20 {
		pieces = append(pieces, fmt.Sprint(i))
	}
	if _, err := q.Each(ctx, "outlook", pieces); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("error %v, want the deadline's", err)
	}
	time.Sleep(2 * time.Second)
	mu.Lock()
	defer mu.Unlock()
	if begun == 0 || begun > 6 {
		t.Errorf("%d pieces were begun, want the few that were before they were called off", begun)
	}
}
