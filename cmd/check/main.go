// Command check sets up what the tests need and runs every check. It is the
// one command behind continuous integration, and the one a contributor runs.
//
//	go run ./cmd/check        everything that must pass, within 15 minutes
//	go run ./cmd/check -long  adds the slow figures for closing notes
//	go run ./cmd/check -figures  measures speed only, and writes testdata/benchmarks.md
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"strings"
	"time"
)

// step is one check: a name for people and the work.
type step struct {
	name string
	run  func(context.Context) error
}

func main() {
	long := flag.Bool("long", false, "add the slow figures: the count model's, longer fuzzing and the benchmarks")
	speed := flag.Bool("figures", false, "measure speed only, and write "+benchmarksPage)
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := 0
	if *speed {
		code = run(ctx, []step{{"figures of speed", figures}})
	} else {
		code = run(ctx, steps(*long))
	}
	stop()
	os.Exit(code)
}

// steps are the checks, in order.
func steps(long bool) []step {
	all := []step{
		{"what the tests need", install},
		{"modules are whole and tidy", tidy},
		{"format", format},
		{"vet", command("go", "vet", "./...")},
		{"staticcheck", command("go", "tool", "-modfile=.ci/tools.mod", "staticcheck", "./...")},
		{"tests, with the race detector", raceTests},
		{"tests, without it, of what runs on one goroutine", command("go", append([]string{"test", "-timeout", "8m"}, plainly()...)...)},
		{"vet, of the browser tests", command("go", "vet", "-tags", "browser", "./cmd/osier")},
		{"the pages, in a browser", browser},
		{"vet, of the tests under load", command("go", "vet", "-tags", "load", "./cmd/osier")},
		{"the program under load, and killed", command("go", "test", "-tags", "load", "-run", "^TestLoad(Killed|Soak)", "-count=1", "-parallel", "6", "-timeout", "8m", "./cmd/osier")},
		{"the program, as a newcomer runs it", newcomer},
	}
	if long {
		all = append(all,
			step{"the count model's figures", command("go", "test", "-run", "^Test(OutOfSample|Recovery|Catches)", "-v", "-timeout", "30m", "./model/activity", "-args", "-long")},
			step{"every look of every page", command("go", "test", "-tags", "browser", "-run", "^TestPages.*Looks", "-artifacts", "-outputdir", "check-artefacts", "-count=1", "-timeout", "20m", "./cmd/osier")},
			step{"the program under load, in full", command("go", "test", "-tags", "load", "-run", "^TestLoad", "-v", "-count=1", "-timeout", "3h", "./cmd/osier", "-args", "-long")},
			step{"fuzzing, a minute each", fuzz},
			step{"benchmarks", command("go", "test", "-run", "^$", "-bench", ".", "-benchmem", "./...")},
		)
	}
	return all
}

// run takes the steps in order until one fails.
func run(ctx context.Context, all []step) int {
	start := time.Now()
	for _, s := range all {
		fmt.Printf("== %s\n", s.name)
		began := time.Now()
		if err := s.run(ctx); err != nil {
			fmt.Printf("FAIL %s: %v\n", s.name, err)
			return 1
		}
		fmt.Printf("ok   %s (%s)\n", s.name, time.Since(began).Round(time.Second))
	}
	fmt.Printf("All checks passed in %s.\n", time.Since(start).Round(time.Second))
	return 0
}

// command makes a step of one command whose output is shown.
func command(name string, args ...string) func(context.Context) error {
	return func(ctx context.Context) error {
		cmd := exec.CommandContext(ctx, name, args...)
		cmd.Stdout, cmd.Stderr = os.Stdout, os.Stderr
		if err := cmd.Run(); err != nil {
			return fmt.Errorf("%s %s: %w", name, strings.Join(args, " "), err)
		}
		return nil
	}
}

// tidy fails when go.mod says other than the code needs, or a module was
// altered.
func tidy(ctx context.Context) error {
	if err := command("go", "mod", "verify")(ctx); err != nil {
		return err
	}
	return command("go", "mod", "tidy", "-diff")(ctx)
}

// format fails when gofumpt would change a file, and names the files.
func format(ctx context.Context) error {
	out, err := exec.CommandContext(ctx, "go", "tool", "-modfile=.ci/tools.mod", "gofumpt", "-l", ".").Output()
	if err != nil {
		return fmt.Errorf("run gofumpt: %w", err)
	}
	if len(out) > 0 {
		return fmt.Errorf("gofumpt would change:\n%s", out)
	}
	return nil
}
