package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
)

// benchmarksPage is the page of speed figures; figures writes it anew.
const benchmarksPage = "testdata/benchmarks.md"

// measured are the benchmarks whose figures say something on any machine: most
// are ratios of two things measured in one run.
var measured = []struct{ pkg, pattern, says string }{
	{"./api", "ReadsAgainstABareHandler", "Cached reads over loopback, as a share of a bare gin handler that sends the same bytes (of_bare; the issue asks 0.8, and 0.9 of those not modified)."},
	{"./api/cache", "Hit", "A read of the shared cache against one of the cache in this process."},
	{"./model/water", ".", "The water temperature of ten years of hours."},
	{"./jobs", "Conditions", "An answer from a stored water state against one spun up anew."},
	{"./jobs", "Plan$", "A plan that nobody asked for before, in processor time (cpu-ms; the issue asks for 1 at most), and the first after a change of the store."},
	{"./jobs/feed/metar", "Decode", "Reports decoded."},
	{"./model/timing", "Advise|MoveGrid", "Advice in a session of 200 events, and the tables of moving, made once."},
}

// figures measures and writes the page. A ratio is of two things measured in
// turns in one run; the rest depends on the machine, which is named.
func figures(ctx context.Context) error {
	var page bytes.Buffer
	fmt.Fprintf(&page, "# Speed\n\nWritten by `go run ./cmd/check -figures` on %s/%s with %d processors and %s. Do not edit.\n", runtime.GOOS, runtime.GOARCH, runtime.NumCPU(), runtime.Version())
	for _, m := range measured {
		out, err := exec.CommandContext(ctx, "go", "test", "-run", "^$", "-bench", m.pattern, "-benchmem", m.pkg).CombinedOutput()
		if err != nil {
			return fmt.Errorf("measure %s: %w\n%s", m.pkg, err, out)
		}
		rows := benchmarkRows(string(out))
		if len(rows) == 0 {
			return fmt.Errorf("measure %s: no benchmark is called %s", m.pkg, m.pattern)
		}
		fmt.Fprintf(&page, "\n%s (`%s`)\n\n| benchmark | figures |\n|---|---|\n%s\n", m.says, m.pkg, strings.Join(rows, "\n"))
		fmt.Print(string(out))
	}
	if err := os.MkdirAll(filepath.Dir(benchmarksPage), 0o755); err != nil {
		return fmt.Errorf("make a place for the page: %w", err)
	}
	return os.WriteFile(benchmarksPage, page.Bytes(), 0o644) //nolint:gosec // a page of the project
}

// benchmarkLine is one result as the toolchain prints it: name, runs, figures.
var benchmarkLine = regexp.MustCompile(`(?m)^Benchmark(\S+?)(?:-\d+)?\s+\d+\s+(.+)$`)

// benchmarkRows are the rows of a table, one a benchmark.
func benchmarkRows(out string) []string {
	var rows []string
	for _, found := range benchmarkLine.FindAllStringSubmatch(out, -1) {
		fields := strings.Fields(found[2])
		var told []string
		for i := 0; i+1 < len(fields); i += 2 {
			told = append(told, fields[i]+" "+fields[i+1])
		}
		rows = append(rows, fmt.Sprintf("| %s | %s |", found[1], strings.Join(told, ", ")))
	}
	return rows
}
