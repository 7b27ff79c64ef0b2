package jobs_test

import (
	"context"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
)

// keeper notes what it is asked to keep.
type keeper struct{ asked model.KeepFrom }

func (k *keeper) Prune(_ context.Context, keep model.KeepFrom) (map[string]int, error) {
	k.asked = keep
	return map[string]int{"job_runs": 3}, nil
}

func TestHowLongWhatGrowsIsKept(t *testing.T) {
	now := time.Date(2026, 11, 25, 3, 29, 0, 0, time.UTC)
	var k keeper
	counts, err := jobs.PruneJob(&jobs.Pruner{Store: &k, Now: func() time.Time { return now }}).Run(t.Context())
	if err != nil || counts["job_runs"] != 3 {
		t.Errorf("counts %v, error %v", counts, err)
	}
	want := model.KeepFrom{
		JobRuns:   time.Date(2026, 8, 27, 3, 29, 0, 0, time.UTC),
		Answers:   time.Date(2026, 10, 26, 3, 29, 0, 0, time.UTC),
		Forecasts: time.Date(2025, 10, 21, 3, 29, 0, 0, time.UTC),
		Leases:    time.Date(2026, 10, 26, 3, 29, 0, 0, time.UTC),
	}
	if diff := cmp.Diff(want, k.asked); diff != "" {
		t.Errorf("kept from (-want +got):\n%s", diff)
	}
}
