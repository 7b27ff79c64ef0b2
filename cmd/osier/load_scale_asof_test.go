//go:build load

package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"testing"
	"time"

	"osier/model/store"
)

// asofTheirs is what .ci/asof prints.
type asofTheirs struct {
	asofSum
	Engine  string  `json:"engine"`
	Reports int     `json:"reports"`
	Seconds float64 `json:"seconds"`
	CPUS    float64 `json:"cpu_s"`
	LoadS   float64 `json:"load_s"`
}

// asofProgram builds the yardstick, or skips the test and says what is missing.
func asofProgram(t *testing.T) string {
	t.Helper()
	for _, compiler := range []string{"gcc", "g++"} {
		if _, err := exec.LookPath(compiler); err != nil {
			t.Skipf("SKIPPED, so no ratio to DuckDB's ASOF join is told: its driver needs %s, which is not at hand", compiler)
		}
	}
	inModule := func(args ...string) ([]byte, error) {
		cmd := exec.CommandContext(t.Context(), "go", args...)
		cmd.Dir = filepath.Join("..", "..", ".ci", "asof")
		cmd.Env = append(os.Environ(), "CGO_ENABLED=1")
		return cmd.CombinedOutput()
	}
	const tags = "-tags=no_duckdb_arrow" // which leaves out what nothing here needs
	if out, err := inModule("list", "-deps", "-f", "{{/* errors alone */}}", tags, "."); err != nil {
		t.Skipf("SKIPPED, so no ratio to DuckDB's ASOF join is told: the modules of .ci/asof are not to be had: %v\n%s", err, out)
	}
	program := filepath.Join(t.TempDir(), "asof")
	for _, args := range [][]string{{"build", tags, "-o", program, "."}, {"vet", tags, "."}} { // no ./... reaches into that folder
		if out, err := inModule(args...); err != nil {
			t.Fatalf("go %s in .ci/asof: %v\n%s", args[0], err, out)
		}
	}
	return program
}

// theirs runs the yardstick.
func theirs(t *testing.T, program, dir string, threads int, more ...string) (out asofTheirs) {
	t.Helper()
	args := append([]string{"-threads", strconv.Itoa(threads), "-reach", strconv.Itoa(int(asofReach.Seconds()))}, more...)
	cmd := exec.CommandContext(t.Context(), program, append(args, dir)...)
	var said bytes.Buffer
	cmd.Stderr = &said
	body, err := cmd.Output()
	if err == nil {
		err = json.Unmarshal(body, &out)
	}
	if err != nil {
		t.Fatalf("%s: %v\n%s", program, err, said.Bytes())
	}
	return out
}

// againstAsof holds our finding of reports, and the rate of the whole stage of
// joining, against DuckDB's ASOF join of the same rows in the same run.
//
// On one thread processor time is compared, since a machine may have other things
// to do as well; on all of them it is the time by the clock.
func againstAsof(t *testing.T, db *store.DB, regions []region, joined int, joining spent) {
	program := asofProgram(t)
	dir := t.TempDir()
	one := layAndWrite(t, db, regions, dir)
	cores, began := runtime.GOMAXPROCS(0), time.Now()
	parts := slices.Repeat([]asofOurs{{clock: func() float64 { return time.Since(began).Seconds() }}}, cores)
	many, err := layAll(t.Context(), db, regions, parts)
	mustGoWell(t, err)

	sessions := float64(len(regions) * regions[0].sessions)
	for _, by := range []struct {
		threads  int
		ours     asofOurs
		joiningS float64
		took     func(asofTheirs) float64
	}{
		{1, one, joining.cpuS, func(a asofTheirs) float64 { return a.CPUS }},
		{cores, many, joining.took.Seconds(), func(a asofTheirs) float64 { return a.Seconds }},
	} {
		memory, file := theirs(t, program, dir, by.threads), theirs(t, program, dir, by.threads, "-stored")
		ours := by.ours
		for name, sum := range map[string]asofSum{"the hourly series": ours.fromSeries, "a search": ours.searched, "a merge": ours.merged, "the engine from its file": file.asofSum} {
			if sum != memory.asofSum || sum.Rows == 0 {
				t.Errorf("%s found %+v, the engine %+v", name, sum, memory.asofSum)
			}
		}
		inMemory, inFile := sessions/by.took(memory), sessions/by.took(file)
		t.Logf("threads: %d. DuckDB %s finds %d reports nearest before, of %d, for %.0f sessions: %.0f sessions/s in memory (loading took %.1f s more), %.0f from its own file",
			by.threads, memory.Engine, memory.Rows, memory.Reports, sessions, inMemory, memory.LoadS, inFile)
		tell := func(what string, seconds, theirs float64) { t.Logf("  %s: %s", what, bar(sessions/seconds, theirs)) }
		tell("like for like, both in memory: the search", ours.searching, inMemory)
		tell("both from disk, ours reading every column: the store read, and the search", ours.reading+ours.searching, inFile)
		tell("ours from disk as above, DuckDB in memory", ours.reading+ours.searching, inMemory)
		tell("a merge instead of the search, both in memory", ours.merging, inMemory)
		tell("unlike, in memory: all nine values of every hour against one value of the sessions' hours", ours.making, inMemory)
		tell("unlike, the whole stage of joining, with its models and what it writes, against the bare join in memory", by.joiningS*sessions/float64(joined), inMemory)
	}
}

// layAndWrite does the work on one thread, which has its garbage to collect as
// well, and writes the yardstick's tables along the way.
func layAndWrite(t *testing.T, db *store.DB, regions []region, dir string) asofOurs {
	t.Helper()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	reports, err := os.Create(filepath.Join(dir, "reports.csv"))
	mustGoWell(t, err)
	wanted, err := os.Create(filepath.Join(dir, "wanted.csv"))
	mustGoWell(t, err)
	to := asofOurs{clock: cpuSeconds, reports: bufio.NewWriter(reports), wanted: bufio.NewWriter(wanted)}
	fmt.Fprintln(to.reports, "station,at,wind_mps")
	fmt.Fprintln(to.wanted, "session,station,at")
	ours, err := layAll(t.Context(), db, regions, []asofOurs{to})
	mustGoWell(t, errors.Join(err, to.reports.Flush(), to.wanted.Flush(), reports.Close(), wanted.Close()))
	return ours
}

// bar says a rate and whether it is at least the other.
func bar(ours, theirs float64) string {
	verdict := "bar met"
	if ours < theirs {
		verdict = "BAR MISSED"
	}
	return fmt.Sprintf("%.0f sessions/s, %.2f of DuckDB's: %s", ours, ours/theirs, verdict)
}
