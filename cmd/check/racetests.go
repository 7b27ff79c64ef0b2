package main

import (
	"context"
	"fmt"
	"os/exec"
	"slices"
	"strings"
)

// oneGoroutine are pure packages that start no goroutine, so that the race
// detector could find nothing in them, and whose arithmetic it slows tenfold.
var oneGoroutine = []string{"osier/model/activity", "osier/model/plan", "osier/model/timing"}

// raceTests runs all other tests with the race detector.
func raceTests(ctx context.Context) error {
	out, err := exec.CommandContext(ctx, "go", "list", "./...").Output()
	if err != nil {
		return fmt.Errorf("list the packages: %w", err)
	}
	packages := slices.DeleteFunc(strings.Fields(string(out)), func(p string) bool { return slices.Contains(oneGoroutine, p) })
	return command("go", append([]string{"test", "-race", "-timeout", "12m"}, packages...)...)(ctx)
}
