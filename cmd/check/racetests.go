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

// program is the program itself. Most of its tests take records, recordings or
// reference figures through the stages one after another, which the race detector
// slows tenfold and could find nothing in; the packages that they go through are
// raced by themselves.
const program = "osier/cmd/osier"

// atOnce are those of its tests in which things run at once: servers, schedules,
// replays, stores and caches that are shared.
const atOnce = "^Test(Faults|ADeadStation|TheClockGoesBack|WrongUnits|Replay|TheClientThroughTheReplay|ToldToStop|TwoServers|TwoStores|" +
	"TheFigures|Figures|Readiness|LooksIntoTheCache|EachRun|TheLastSuccess|Requests|EveryHost|EveryCommandMayUse|AStoreMoves)"

// raceTests runs all other tests with the race detector.
func raceTests(ctx context.Context) error {
	out, err := exec.CommandContext(ctx, "go", "list", "./...").Output()
	if err != nil {
		return fmt.Errorf("list the packages: %w", err)
	}
	packages := slices.DeleteFunc(strings.Fields(string(out)), func(p string) bool { return p == program || slices.Contains(oneGoroutine, p) })
	if err := command("go", append([]string{"test", "-race", "-timeout", "12m"}, packages...)...)(ctx); err != nil {
		return err
	}
	return command("go", "test", "-race", "-timeout", "8m", "-run", atOnce, program)(ctx)
}
