package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// newcomer builds the program as one static binary and runs it in an empty
// home folder: the demo must answer with a plan that says it is invented, and
// every embedded reference figure must hold.
func newcomer(ctx context.Context) error {
	home, err := os.MkdirTemp("", "osier-newcomer")
	if err != nil {
		return fmt.Errorf("make an empty home: %w", err)
	}
	defer os.RemoveAll(home)
	binary := filepath.Join(home, "osier")
	build := exec.CommandContext(ctx, "go", "build", "-trimpath", "-o", binary, "./cmd/osier")
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		return fmt.Errorf("build without cgo: %w\n%s", err, out)
	}
	if err := linked(ctx, binary); err != nil {
		return err
	}
	run := func(args ...string) ([]byte, error) {
		cmd := exec.CommandContext(ctx, binary, args...)
		cmd.Dir, cmd.Env = home, []string{"HOME=" + home, "PATH=" + os.Getenv("PATH")}
		var out, errOut bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &errOut
		if err := cmd.Run(); err != nil {
			return nil, fmt.Errorf("osier %s: %w\n%s%s", strings.Join(args, " "), err, out.Bytes(), errOut.Bytes())
		}
		return out.Bytes(), nil
	}
	began := time.Now()
	out, err := run("demo", "--once", "--json")
	if err != nil {
		return err
	}
	fmt.Printf("the demo answered in %s\n", time.Since(began).Round(10*time.Millisecond))
	var plan struct {
		ID       string `json:"plan_id"`
		Demo     bool   `json:"demo"`
		Deferral string `json:"deferral"`
	}
	if err := json.Unmarshal(out, &plan); err != nil {
		return fmt.Errorf("the demo printed no plan: %w", err)
	}
	if plan.ID == "" || !plan.Demo || plan.Deferral == "" {
		return fmt.Errorf("the demo's plan lacks its identifier, its demo mark or the deferral sentence:\n%s", out)
	}
	for _, what := range []string{"air", "metar", "feed", "oxygen", "appetite", "water", "activity", "timing"} {
		if _, err := run("verify", what); err != nil {
			return err
		}
	}
	return nil
}
