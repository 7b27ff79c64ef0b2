package main

import (
	"context"
	_ "embed"
	"fmt"
	"os/exec"
	"slices"
	"strings"
)

// linkedModules lists every module that the program is built from, so that a
// new dependency is always a line in a review.
//
//go:embed linked-modules.txt
var linkedModules string

// linked fails when the binary holds other modules than the list says.
func linked(ctx context.Context, binary string) error {
	out, err := exec.CommandContext(ctx, "go", "version", "-m", binary).Output()
	if err != nil {
		return fmt.Errorf("read what the binary is built from: %w", err)
	}
	var got []string
	for _, line := range strings.Split(string(out), "\n") {
		if field := strings.Fields(line); len(field) > 1 && field[0] == "dep" {
			got = append(got, field[1])
		}
	}
	want := strings.Fields(linkedModules)
	slices.Sort(got)
	slices.Sort(want)
	if slices.Equal(got, want) {
		return nil
	}
	return fmt.Errorf("the binary is built from other modules than cmd/check/linked-modules.txt lists: new %v, gone %v", without(got, want), without(want, got))
}

func without(all, taken []string) []string {
	return slices.DeleteFunc(slices.Clone(all), func(m string) bool { return slices.Contains(taken, m) })
}
