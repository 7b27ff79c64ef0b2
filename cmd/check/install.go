package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// need is a program that the tests use, by any of its names or places, and the
// distribution's package that brings it.
type need struct{ program, pkg, why string }

var needs = []need{
	{"gcc", "gcc libc6-dev", "the race detector needs a C compiler"},
	{"redis-server", "redis-server", "the shared cache is tried on a real server"},
	{"initdb /usr/lib/postgresql/*/bin/initdb", "postgresql", "the store that replicas share is tried on a real server"},
	{"chromium chromium-browser google-chrome", "chromium", "the bankside page is tried in a real browser"},
}

// install looks for each need where it may be and otherwise installs it when it
// may; what it cannot install it names.
func install(ctx context.Context) error {
	var packages, unmet []string
	for _, n := range needs {
		if slices.ContainsFunc(strings.Fields(n.program), here) {
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
	if err := command("apt-get", append([]string{"install", "-y", "-q", "--no-install-recommends"}, packages...)...)(ctx); err != nil {
		return fmt.Errorf("install %s: %w", strings.Join(unmet, "; "), err)
	}
	return nil
}

// here says whether a program is on the PATH, or in the place that is given as a
// pattern: distributions keep PostgreSQL's server apart.
func here(program string) bool {
	if found, err := filepath.Glob(program); err == nil && len(found) > 0 && filepath.IsAbs(program) {
		return true
	}
	_, err := exec.LookPath(program)
	return err == nil
}
