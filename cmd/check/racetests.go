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

// partly are packages most of whose tests take records, recordings or reference
// figures through the stages one after another, which the race detector slows
// tenfold and could find nothing in; what they go through is raced by itself. Of
// these packages the tests are raced in which things run at once: servers,
// schedules, leases, replays, what is shared by several readers. All of their tests
// run plainly besides.
var partly = []struct{ pkg, atOnce string }{
	{"osier/api", "^Test(ReadsOutlive|AWriteWithAKey|FaultsOfOurOwn|StoreDown|EachRequest|HEADOverTheWire|SlowCallers|HeadsThat|BodiesThat|NothingIsInjected|RequestsAreNamed|FeedsOutlive|TooMany|" +
		"TheSignInServiceMayBeDown|ASignIn|ASessionIsLogged|ARecordSentTwice|AReading)"},
	{"osier/cmd/osier", "^Test(Faults|ADeadStation|TheClockGoesBack|WrongUnits|Replay|TheClientThroughTheReplay|ToldToStop|TwoServers|TwoStores|" +
		"TheFigures|Figures|Readiness|LooksIntoTheCache|EachRun|TheLastSuccess|Requests|EveryHost|EveryCommandMayUse|AStoreMoves)"},
	{"osier/model/store", "^Test(SQLite|Postgres|TwoHandles|ManyMayOpen|ABackupUnderWrites|WhileTheServer|OfAServer|PiecesAreDone|APieceThatFails|WhatNobodyWaits)"},
	{"osier/jobs", "^Test(ASession|OneBadEvent|Order|Batches|ARun|WhatAProgram|OfThree|AProgram|ATime|OnlyWhatWas|AJob|TheObserver|" +
		"AYearOfTheSchedule|WhatWasMissed|AStart|AClock|TheSoak|WhatCameUp|EachOption|RecordsAreReadOnce|JoinedSessions|SessionsWithAReading|" +
		"FitsAndOwn|APull|NoFeed|OneFeedDown|Waters|Drafts|APublished)"},
}

// plainly are the packages whose tests all run without the race detector.
func plainly() []string {
	packages := slices.Clone(oneGoroutine)
	for _, p := range partly {
		packages = append(packages, p.pkg)
	}
	return packages
}

// raceTests runs all other tests with the race detector, and those of the tests
// above in which things run at once.
func raceTests(ctx context.Context) error {
	out, err := exec.CommandContext(ctx, "go", "list", "./...").Output()
	if err != nil {
		return fmt.Errorf("list the packages: %w", err)
	}
	packages := slices.DeleteFunc(strings.Fields(string(out)), func(p string) bool { return slices.Contains(plainly(), p) })
	if err := command("go", append([]string{"test", "-race", "-timeout", "12m"}, packages...)...)(ctx); err != nil {
		return err
	}
	names, together := []string{}, []string{"test", "-race", "-timeout", "10m"}
	for _, p := range partly {
		names = append(names, p.atOnce)
	}
	together = append(together, "-run", strings.Join(names, "|"))
	for _, p := range partly {
		together = append(together, p.pkg)
	}
	return command("go", together...)(ctx)
}
