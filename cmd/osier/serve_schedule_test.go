package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
)

// scrape is what Prometheus would read.
func scrape(t *testing.T, m *metrics) string {
	t.Helper()
	w := httptest.NewRecorder()
	m.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/metrics", nil))
	return w.Body.String()
}

func TestTimesThatCannotBeAreRefusedAtTheStart(t *testing.T) {
	for _, c := range []struct {
		flag, env, when, want string
	}{
		{"--pull-at", "OSIER_PULL_AT", "often", `--pull-at: cannot read the times "often"`},
		{"--join-at", "OSIER_JOIN_AT", "13 4 30 2 *", `--join-at: the times "13 4 30 2 *" never come`},
		{"--fit-at", "OSIER_FIT_AT", "CRON_TZ=Europe/London 30 1 * * *", `--fit-at: cannot read the times`},
	} {
		dir := t.TempDir()
		for _, args := range [][]string{{"serve", "--data", dir, "--listen", "127.0.0.1:0", c.flag, c.when}, {"serve", "--data", dir, "--listen", "127.0.0.1:0"}} {
			if len(args) == 5 {
				t.Setenv(c.env, c.when)
			}
			var out, said bytes.Buffer
			ctx, stop := context.WithTimeout(t.Context(), 5*time.Second)
			code := run(ctx, args, &out, &said)
			stop()
			if code != exitUsage || !strings.Contains(said.String(), c.want) || !strings.Contains(said.String(), "give minute, hour, day") {
				t.Errorf("%v with %s=%s: exit %d, said %q, want %q", args, c.env, c.when, code, said.String(), c.want)
			}
		}
		t.Setenv(c.env, "")
	}
}

func TestFlagsChangeTheEntriesOfTheTable(t *testing.T) {
	a := newApp(t.Context(), cli{Data: t.TempDir()}, io.Discard, io.Discard)
	db, err := a.open()
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, c := range []struct {
		at   timesFlags
		want string
	}{
		{timesFlags{}, "pull 13,43 * * * *; join 22 * * * *; fit 37 * * * *; score 52 * * * *; outlook 7 4,10,17 * * *; outlook-score 19 3 * * *; prune 29 3 * * *"},
		{timesFlags{PullAt: "7 * * * *", FitAt: "5 3 * * MON"}, "pull 7 * * * *; join 22 * * * *; fit 5 3 * * MON; score 52 * * * *; outlook 7 4,10,17 * * *; outlook-score 19 3 * * *; prune 29 3 * * *"},
		{timesFlags{JoinAt: "9 * * * *"}, "pull 13,43 * * * *; join 9 * * * *; fit 37 * * * *; score 52 * * * *; outlook 7 4,10,17 * * *; outlook-score 19 3 * * *; prune 29 3 * * *"},
		{timesFlags{PruneAt: "1 1 * * *"}, "pull 13,43 * * * *; join 22 * * * *; fit 37 * * * *; score 52 * * * *; outlook 7 4,10,17 * * *; outlook-score 19 3 * * *; prune 1 1 * * *"},
		{timesFlags{OutlookAt: "9 5 * * *", OutlookScoreAt: "9 2 * * *"}, "pull 13,43 * * * *; join 22 * * * *; fit 37 * * * *; score 52 * * * *; outlook 9 5 * * *; outlook-score 9 2 * * *; prune 29 3 * * *"},
	} {
		s, err := a.schedule(feedFlags{Contact: "bailiff@example.org"}, c.at, db, &jobs.Outlooker{Store: db, Now: a.now})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, j := range s.Jobs {
			got = append(got, j.Name+" "+j.When)
		}
		if strings.Join(got, "; ") != c.want {
			t.Errorf("the table is %q, want %q", got, c.want)
		}
	}
}

func TestTheHelpGivesTheTimesOfTheTable(t *testing.T) {
	var out, said bytes.Buffer
	if code := run(t.Context(), []string{"serve", "--help"}, &out, &said); code != exitDone {
		t.Fatalf("exit %d: %s", code, &said)
	}
	help := strings.Join(strings.Fields(out.String()), " ")
	for _, j := range []jobs.Job{jobs.PullJob(nil, nil), jobs.JoinJob(&jobs.Joiner{}), jobs.FitJob(nil), jobs.ScoreJob(&jobs.Scorer{}), jobs.OutlookJob(&jobs.Outlooker{}), jobs.OutlookScoreJob(&jobs.OutlookScorer{})} {
		if !strings.Contains(help, "--"+j.Name+"-at=CRON") || !strings.Contains(help, "("+j.When+" when not given)") {
			t.Errorf("the help lacks --%s-at with %s:\n%s", j.Name, j.When, &out)
		}
	}
}

// running runs the program until the test ends and gives its address.
func running(t *testing.T, args ...string) string {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	out, in := io.Pipe()
	ended := make(chan int, 1)
	go func() {
		code := run(ctx, append([]string{"serve", "--listen", "127.0.0.1:0"}, args...), in, io.Discard)
		in.Close()
		ended <- code
	}()
	t.Cleanup(func() {
		stop()
		if code := <-ended; code != exitDone {
			t.Errorf("serve ended with %d", code)
		}
	})
	line := make([]byte, 200)
	n, _ := out.Read(line)
	address := regexp.MustCompile(`http://\S+`).FindString(string(line[:n]))
	if address == "" {
		t.Fatalf("serve printed no address: %q", line[:n])
	}
	return address
}

func get(t *testing.T, url string) string {
	t.Helper()
	resp, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	if err != nil || resp.StatusCode != http.StatusOK {
		t.Fatalf("GET %s: %d, %v: %s", url, resp.StatusCode, err, body)
	}
	return string(body)
}

func TestEachRunIsShownWithItsCountsAndDuration(t *testing.T) {
	address := running(t, "--data", t.TempDir())
	var shown struct{ Runs []model.JobRun }
	for began := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		if err := json.Unmarshal([]byte(get(t, address+"/v1/jobs")), &shown); err != nil {
			t.Fatal(err)
		}
		if len(shown.Runs) == 6 && !slices.ContainsFunc(shown.Runs, func(r model.JobRun) bool { return !r.EndedAt.Known }) && strings.Contains(get(t, address+"/metrics"), `osier_job_runs_total{job="score",outcome="done"} 1`) {
			break
		}
		if time.Since(began) > 10*time.Second {
			t.Fatalf("join, fit, score, the outlooks and prune have not run: %+v", shown.Runs)
		}
	}
	for _, r := range shown.Runs {
		what := "sessions"
		switch r.Job {
		case "outlook", "outlook-score":
			what = "clubs"
		case "prune":
			what = "answers"
		}
		if _, counted := r.Counts[what]; !counted || !r.DurationS.Known || r.DurationS.Value < 0 || r.DurationS.Value > 10 {
			t.Errorf("the run shows %+v, want what it counted and how long it took", r)
		}
	}
	figures := get(t, address+"/metrics")
	for _, want := range []string{
		`osier_job_runs_total{job="join",outcome="done"} 1`,
		`osier_job_items_total{item="sessions",job="fit"} 0`,
		`osier_job_last_success_timestamp_seconds{job="join"} 1.`,
		`osier_http_request_duration_seconds_count{method="GET",route="/v1/jobs",status="200"} `,
		`osier_build_info{application="osier/0.1",demo="false",`,
		"go_goroutines ",
	} {
		if !strings.Contains(figures, want) {
			t.Errorf("the figures lack %s", want)
		}
	}
}
