//go:build load

package main

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"osier/api/cache/cachetest"
	"osier/model"
	"osier/model/store/storetest"
)

// replica is one of several programs on one store, and its link to it.
type replica struct {
	*program
	*link
}

// Three programs on one PostgreSQL and one Redis, of which in each round one is
// cut off from the store and another killed, in the middle of a scheduled run of
// one of the three, and the third stands still when the second is back: one at
// least is well at any instant. Each scheduled run takes effect once, and no
// request fails that one of them could serve.
func TestLoadThreeReplicas(t *testing.T) {
	t.Parallel()
	server, redis := storetest.StartPostgres(t), cachetest.StartRedis(t)
	address := server.Database(t)
	args := []string{"--redis", redis.URL()}
	// In full the times leave room for a run whose program died to be taken over
	// before the next is due.
	often := figureOf("* * * * *", "*/3 * * * *")
	for _, job := range frequentJobs {
		args = append(args, "--"+job+"-at", often)
	}
	var all []replica
	var addresses []string
	for range 3 {
		cable, through := linkTo(t, address)
		r := replica{serveProgram(t, t.TempDir(), append(args, "--postgres", through)...), cable}
		all, addresses = append(all, r), append(addresses, r.Address)
	}
	requests := replicaRequests(all[0].program)
	ctx, end := context.WithCancel(t.Context())
	defer end()
	load := make(chan map[string]*tally, 1)
	began := time.Now()
	go func() { load <- loadUntil(ctx, t, addresses, requests) }()
	db := openSQL(t, "pgx", address)
	for round := range figureOf(3, 10) {
		disturb(t, db, all, round)
	}
	end()
	tallies := <-load
	for name, got := range tallies {
		t.Logf("%-15s %s", name, got)
		if got.done() != got.asked {
			t.Errorf("%s: %s; one of the programs could have served all", name, got)
		}
	}
	disturbed := time.Now()
	awaitRuns(t, db, disturbed.Truncate(time.Minute))
	for _, r := range all {
		r.stop()
	}
	everyRunOnce(t, db, all, began, disturbed)
	if want, got := tallies["write record"].asked, countRows(t, db)["sessions"]; got != want {
		t.Errorf("%d records were kept, and %d written", got, want)
	}
	checkPostgres(t, db)
}

// frequentJobs run often in this test.
var frequentJobs = []string{"join", "fit", "score", "outlook"}

// replicaRequests are those of a small club.
func replicaRequests(s *program) []request {
	s.mustAnswer(http.StatusCreated, "PUT", "/v1/waters/pit", killWater)
	s.mustAnswer(http.StatusCreated, "PUT", "/v1/clubs/circle", killClub)
	now := time.Now().UTC().Truncate(time.Second)
	var issued struct {
		ID string `json:"plan_id"`
	}
	plan := fmt.Sprintf(`{"water":"pit","start":%q,"hours":4,"group":"bream"}`, now.Add(20*time.Hour).Format(time.RFC3339))
	if err := json.Unmarshal(s.mustAnswer(http.StatusOK, "POST", "/v1/plans", plan), &issued); err != nil {
		s.t.Fatal(err)
	}
	return []request{
		{name: "read plan", method: "GET", path: "/v1/plans/" + issued.ID, every: 20 * time.Millisecond},
		{name: "read conditions", method: "GET", path: "/v1/waters/pit/conditions", every: 20 * time.Millisecond},
		{name: "read outlook", method: "GET", path: "/v1/waters/pit/outlook", every: 50 * time.Millisecond},
		writeRecords("pit", "r", now),
	}
}

// disturb is one round of what befalls the three.
func disturb(t *testing.T, db *sql.DB, all []replica, round int) {
	off, dead, still := all[round%3], all[(round+1)%3], all[(round+2)%3]
	running := awaitRunning(t, db)
	off.set([]cutAs{linkClosed, linkSilent}[round%2])
	dead.kill()
	t.Logf("round %d: one cut off and one killed while %q ran", round, running)
	time.Sleep(2 * time.Second)
	dead.start()
	time.Sleep(3 * time.Second)
	still.hang()
	time.Sleep(figureOf(10*time.Second, 30*time.Second))
	still.resume()
	time.Sleep(2 * time.Second)
	off.set(linkWhole)
	time.Sleep(figureOf(3*time.Second, 30*time.Second))
}

// awaitRunning waits until a scheduled run is under way, though not for ever, and
// gives the job: the one that takes longest, since its work goes through the queue.
func awaitRunning(t *testing.T, db *sql.DB) (job string) {
	t.Helper()
	for began := time.Now(); time.Since(began) < 70*time.Second; time.Sleep(5 * time.Millisecond) {
		err := db.QueryRowContext(t.Context(), "SELECT job FROM leases WHERE outcome = '' AND job = 'outlook' LIMIT 1").Scan(&job)
		if err == nil {
			break
		}
		if !errors.Is(err, sql.ErrNoRows) {
			t.Fatal(err)
		}
	}
	return job
}

// awaitRuns waits until every run that was due by an instant and begun has ended:
// those of programs that were cut off or killed are taken over in a while.
func awaitRuns(t *testing.T, db *sql.DB, by time.Time) {
	t.Helper()
	for began := time.Now(); ; time.Sleep(time.Second) {
		var open int
		if err := db.QueryRowContext(t.Context(), "SELECT count(*) FROM leases WHERE outcome = '' AND due <= $1", by.Unix()).Scan(&open); err != nil {
			t.Fatal(err)
		}
		if open == 0 {
			t.Logf("all runs had ended %s after the last disturbance", time.Since(began).Round(time.Second))
			return
		}
		if time.Since(began) > 6*time.Minute {
			t.Fatalf("%d runs have not ended in six minutes", open)
		}
	}
}

// everyRunOnce holds the runs that succeeded against the leases: as many of a job
// as leases on it that ended well, whoever had them, and no lease ended badly.
// Between the instants every due time has a lease, unless the run before went on
// over it in all the programs that could have run it.
func everyRunOnce(t *testing.T, db *sql.DB, all []replica, from, until time.Time) {
	t.Helper()
	done, bad := leasesOf(t, db)
	succeeded, lost := jobRunsOf(t, db)
	skipped := 0
	ran := make([]int, len(all))
	for i, r := range all {
		log, err := os.ReadFile(r.log)
		if err != nil {
			t.Fatal(err)
		}
		skipped += bytes.Count(log, []byte("its last run still goes on"))
		ran[i] = bytes.Count(log, []byte(`msg="job done"`))
	}
	for job, due := range done {
		if len(due) != succeeded[job] {
			t.Errorf("%s: %d runs succeeded, of %d leases that ended well", job, succeeded[job], len(due))
		}
	}
	for job, n := range succeeded {
		if len(done[job]) == 0 {
			t.Errorf("%s: %d runs succeeded without a lease", job, n)
		}
	}
	if len(bad) > 0 {
		t.Errorf("runs that failed, or never ended: %v", bad)
	}
	missed, due := 0, 0
	step := figureOf(time.Minute, 3*time.Minute)
	for at := from.Truncate(step).Add(step); at.Before(until.Truncate(step)); at = at.Add(step) {
		for _, job := range frequentJobs {
			due++
			if !slices.Contains(done[job], at.Unix()) {
				missed++
			}
		}
	}
	if due == 0 || missed > figureOf(skipped, 0) {
		t.Errorf("%d runs were due, and %d were not made; a last run still went on %d times", due, missed, skipped)
	}
	t.Logf("%d runs due, %d not made since the one before went on (skipped %d times); runs that succeeded: %v; cut short and made by another: %d; by program: %v", due, missed, skipped, succeeded, lost, ran)
}

// leasesOf gives when the runs were due that ended well, by job, and names the
// others.
func leasesOf(t *testing.T, db *sql.DB) (done map[string][]int64, bad []string) {
	t.Helper()
	rows, err := db.QueryContext(t.Context(), "SELECT job, due, outcome, expires FROM leases")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	done = map[string][]int64{}
	for rows.Next() {
		var job, outcome string
		var due, expires int64
		if err := rows.Scan(&job, &due, &outcome, &expires); err != nil {
			t.Fatal(err)
		}
		switch {
		case outcome == string(model.LeaseDone):
			done[job] = append(done[job], due)
		case outcome != "" || expires != 0: // not given back by a program that was told to stop
			bad = append(bad, fmt.Sprintf("%s due %s %q", job, time.Unix(due, 0).UTC().Format(time.TimeOnly), outcome))
		}
	}
	return done, bad
}

// jobRunsOf counts the runs that succeeded, by job, and those that did not.
func jobRunsOf(t *testing.T, db *sql.DB) (succeeded map[string]int, lost int) {
	t.Helper()
	rows, err := db.QueryContext(t.Context(), "SELECT body FROM job_runs")
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	succeeded = map[string]int{}
	for rows.Next() {
		var body string
		var run model.JobRun
		if err := rows.Scan(&body); err != nil {
			t.Fatal(err)
		}
		if err := json.NewDecoder(strings.NewReader(body)).Decode(&run); err != nil {
			t.Fatal(err)
		}
		if run.EndedAt.Known && run.Error == "" {
			succeeded[run.Job]++
			continue
		}
		lost++
		t.Logf("a run of %s that began %s did not succeed: %s", run.Job, run.StartedAt.Format(time.TimeOnly), run.Error)
	}
	return succeeded, lost
}
