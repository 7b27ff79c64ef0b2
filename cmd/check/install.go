package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"
)

// need is a program that the tests use, by any of its names, and the
// distribution's package that brings it.
type need struct{ program, pkg, why string }

var needs = []need{
	{"gcc", "gcc libc6-dev", "the race detector needs a C compiler"},
	{"redis-server", "redis-server", "the shared cache is tried on a real server"},
	{"chromium chromium-browser google-chrome", "chromium", "the bankside page is tried in a real browser"},
}

// install looks for each need on the PATH and otherwise installs it when it
// may; what it cannot install it names.
func install(ctx context.Context) error {
	var packages, unmet []string
	for _, n := range needs {
		if slices.ContainsFunc(strings.Fields(n.program), onPath) {
			continue
		}
		packages = append(packages, strings.Fields(n.pkg)...)
		unmet = append(unmet, fmt.Sprintf("%s (package %s): %s", n.program, n.pkg, n.why))
	}
	if len(packages) == 0 {
		return nil
	}
	if _, err := exec.LookPath("apt-get"); err != nil || os.Geteuid() != 0 {
		return fmt.Errorf("install these and run again:\n  %s", strings.Join(unmet, "\n  "))
	}
	if err := command("apt-get", "update", "-q")(ctx); err != nil {
		return err
	}
	return command("apt-get", append([]string{"install", "-y", "-q", "--no-install-recommends"}, packages...)...)(ctx)
}

func onPath(program string) bool {
	_, err := exec.LookPath(program)
	return err == nil
}
