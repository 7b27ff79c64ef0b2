package jobs_test

import (
	"context"
	"errors"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
)

func TestOneProgramDoesAllPiecesAndAddsThemUp(t *testing.T) {
	var done []string
	work := jobs.Work{Name: "outlook", Do: func(_ context.Context, piece string) (map[string]int, error) {
		done = append(done, piece)
		if piece == "b" {
			return map[string]int{"days": 1}, errors.New("it has no waters")
		}
		return map[string]int{"drafts": 1, "days": 4}, nil
	}}
	counts, err := jobs.Here(t.Context(), work, []string{"a", "b", "c"})
	if diff := cmp.Diff(map[string]int{"drafts": 2, "days": 9}, counts); diff != "" {
		t.Errorf("counts (-want +got):\n%s", diff)
	}
	if err == nil || err.Error() != "outlook b: it has no waters" || !slices.Equal(done, []string{"a", "b", "c"}) {
		t.Errorf("did %v, error %v; want all three, and told of b", done, err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := jobs.Here(ctx, work, []string{"d"}); !errors.Is(err, context.Canceled) || slices.Contains(done, "d") {
		t.Errorf("after the end: did %v, error %v", done, err)
	}
}
