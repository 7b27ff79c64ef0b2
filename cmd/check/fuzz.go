package main

import (
	"context"
	"fmt"
	"os/exec"
	"strings"
)

// fuzz runs every fuzz target of the project for a minute.
func fuzz(ctx context.Context) error {
	packages, err := exec.CommandContext(ctx, "go", "list", "./...").Output()
	if err != nil {
		return fmt.Errorf("list the packages: %w", err)
	}
	for _, pkg := range strings.Fields(string(packages)) {
		names, err := exec.CommandContext(ctx, "go", "test", "-list", "^Fuzz", pkg).Output()
		if err != nil {
			return fmt.Errorf("list the fuzz targets of %s: %w", pkg, err)
		}
		for _, name := range strings.Fields(string(names)) {
			if !strings.HasPrefix(name, "Fuzz") {
				continue
			}
			if err := command("go", "test", "-run", "^$", "-fuzz", "^"+name+"$", "-fuzztime", "60s", pkg)(ctx); err != nil {
				return err
			}
		}
	}
	return nil
}
