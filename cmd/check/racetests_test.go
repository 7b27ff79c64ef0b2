package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What is left out of the race detector must have nothing for it to find.
func TestWhatIsNotRacedStartsNoGoroutine(t *testing.T) {
	for _, p := range oneGoroutine {
		dir := filepath.Join("../..", strings.TrimPrefix(p, "osier/"))
		files, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s holds no file (%v)", p, err)
		}
		for _, f := range files {
			body, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			for _, word := range []string{"\tgo func", "WaitGroup", "errgroup", "t.Parallel()", "make(chan"} {
				if bytes.Contains(body, []byte(word)) {
					t.Errorf("%s has %q: race it", f, word)
				}
			}
		}
	}
}

// Each name of the tests that are raced stands for some test: one that was
// renamed would otherwise no longer be raced, and nobody would know.
func TestWhatIsRacedIsThere(t *testing.T) {
	for _, p := range partly {
		files, err := filepath.Glob(filepath.Join("../..", strings.TrimPrefix(p.pkg, "osier/"), "*_test.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s holds no test (%v)", p.pkg, err)
		}
		var all []byte
		for _, f := range files {
			body, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, body...)
		}
		for _, name := range strings.Split(strings.Trim(strings.TrimPrefix(p.atOnce, "^Test"), "()"), "|") {
			if !bytes.Contains(all, []byte("\nfunc Test"+name)) {
				t.Errorf("no test of %s begins with Test%s", p.pkg, name)
			}
		}
	}
}
