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
