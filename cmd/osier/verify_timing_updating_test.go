package main

import (
	"errors"
	"io/fs"
	"os"
	"strings"
	"testing"
	"testing/fstest"
)

func TestVerifyTimingUpdatingPassesOnTheEmbeddedFigures(t *testing.T) {
	checks, err := verifyTimingUpdating(os.DirFS("reference/timing"))
	if err != nil {
		t.Fatal(err)
	}
	if failed := failedChecks(checks); len(failed) > 0 || len(checks) != 36 {
		t.Errorf("of %d checks, 36 wanted, failed: %v", len(checks), failed)
	}
}

func TestVerifyTimingUpdatingPassesOnTheSharedFigures(t *testing.T) {
	shared := os.DirFS(sharedStatistics)
	if _, err := fs.Stat(shared, updatingSource); errors.Is(err, fs.ErrNotExist) {
		t.Skip("the shared statistics are not here; the embedded figures are checked in their place")
	}
	checks, err := verifyTimingUpdating(shared)
	if err != nil {
		t.Fatal(err)
	}
	if failed := failedChecks(checks); len(failed) > 0 || len(checks) < 100 {
		t.Errorf("of %d checks failed: %v", len(checks), failed)
	}
}

// A folder laid out alike, with figures that are right and one that is wrong.
func TestVerifyTimingUpdatingNoticesAWrongFigure(t *testing.T) {
	const text = `{"marginal_value":[{"G":10,"T_min":60,"travel_and_settle_min":20,"leave_at_min":43.13735040666051,"rate_per_min":0.09}],
"move":[{"prior_feeding":0.7,"shape":1.8,"rate_min":54,"horizon_min":240,"step_min":10,"minutes_lost_by_a_move":20,"moves_allowed":1,
"value_bites":6.9699870430879365,"value_if_never_moving":5.599993287686478,"first_minute_to_move_with_no_bite":40,"first_minute_to_move_with_k_bites":{"1":110,"2":null}}]}`
	checks, err := verifyTimingUpdating(fstest.MapFS{updatingSource: {Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	failed := failedChecks(checks)
	if len(checks) != 7 || len(failed) != 1 || !strings.Contains(failed[0], "gain a minute") {
		t.Errorf("of %d checks failed %+v, want the gain a minute alone of 7", len(checks), failed)
	}
}

func TestVerifyTimingUpdatingNamesWhatIsWrongInTheFile(t *testing.T) {
	for text, says := range map[string]string{
		`{"gamma_poisson":[{"prior_shape":-1,"prior_rate_h":1}]}`:  "gamma_poisson 1",
		`{"move":[{"prior_feeding":0.7,"shape":1,"rate_min":60}]}`: "move 1",
		`{"move":[`: updatingSource,
	} {
		if _, err := verifyTimingUpdating(fstest.MapFS{updatingSource: {Data: []byte(text)}}); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: the error is %v, want it to name %s", text, err, says)
		}
	}
	if checks, err := verifyTimingUpdating(fstest.MapFS{}); err != nil || len(checks) > 0 {
		t.Errorf("an empty folder gives %d checks and %v", len(checks), err)
	}
}
