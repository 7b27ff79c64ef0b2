package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"osier": main})
}

// TestScripts runs the program as a person would, from a shell. Scripts that
// replay recorded weather need the shared recordings and skip without them.
func TestScripts(t *testing.T) {
	shared, err := filepath.Abs("../../../shared/data")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(shared); err != nil {
		t.Log("the shared recordings are not here: scripts that replay them are skipped")
		shared = ""
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("HOME", e.WorkDir)
			e.Setenv("OSIER_DATA", filepath.Join(e.WorkDir, "store"))
			e.Setenv("SHARED", shared)
			return nil
		},
		Condition: func(condition string) (bool, error) {
			if condition == "shared" {
				return shared != "", nil
			}
			return false, fmt.Errorf("unknown condition %q", condition)
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"background": background,
			"post":       post,
			"same":       same,
			"has":        has,
			"fetch":      fetch,
			"tokenid":    tokenid,
			"id":         outlookIDOf,
		},
	})
}

// background NAME ARGS... runs osier until the script ends, and sets NAME to
// the address it prints.
func background(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: background NAME ARGS...")
	}
	path, err := exec.LookPath("osier")
	ts.Check(err)
	cmd := exec.Command(path, args[1:]...)
	cmd.Dir = ts.MkAbs(".")
	cmd.Env = append(os.Environ(), "OSIER_DATA="+ts.Getenv("OSIER_DATA"), "HOME="+ts.Getenv("HOME"))
	if now := ts.Getenv("OSIER_NOW"); now != "" {
		cmd.Env = append(cmd.Env, "OSIER_NOW="+now)
	}
	out, err := cmd.StdoutPipe()
	ts.Check(err)
	var said bytes.Buffer
	cmd.Stderr = &said
	ts.Check(cmd.Start())
	ts.Defer(func() {
		_ = cmd.Process.Signal(os.Interrupt)
		_ = cmd.Wait()
	})
	address := make(chan string, 1)
	go func() {
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			if i := strings.Index(lines.Text(), "http://"); i >= 0 {
				address <- strings.TrimSpace(lines.Text()[i:])
				break
			}
		}
		_, _ = io.Copy(io.Discard, out)
	}()
	select {
	case a := <-address:
		ts.Setenv(args[0], a)
	case <-time.After(20 * time.Second):
		ts.Fatalf("osier %s printed no address; it said: %s", strings.Join(args[1:], " "), said.String())
	}
}

// post STATUS URL FILE OUT sends a JSON file and keeps the answer.
func post(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 4 {
		ts.Fatalf("usage: post STATUS URL FILE OUT")
	}
	resp, err := http.Post(args[1], "application/json", strings.NewReader(ts.ReadFile(args[2])))
	ts.Check(err)
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	ts.Check(err)
	if got := fmt.Sprint(resp.StatusCode); got != args[0] {
		ts.Fatalf("status %s, want %s: %s", got, args[0], body)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[3]), body, 0o600))
}

// same A B holds two JSON documents against each other.
func same(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: same A B")
	}
	if diff := cmp.Diff(document(ts, args[0]), document(ts, args[1])); diff != "" {
		ts.Fatalf("%s and %s differ:\n%s", args[0], args[1], diff)
	}
}

// has FILE PATH VALUE says that a JSON document holds a value, written as JSON,
// at a path of names and positions parted by dots. Negated, it holds another.
func has(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) != 3 {
		ts.Fatalf("usage: has FILE PATH VALUE")
	}
	at := document(ts, args[0])
	for _, step := range strings.Split(args[1], ".") {
		switch v := at.(type) {
		case map[string]any:
			next, ok := v[step]
			if !ok {
				ts.Fatalf("%s: there is no %s in %s", args[0], step, args[1])
			}
			at = next
		case []any:
			var i int
			if _, err := fmt.Sscan(step, &i); err != nil || i >= len(v) {
				ts.Fatalf("%s: there is no position %s in %s", args[0], step, args[1])
			}
			at = v[i]
		default:
			ts.Fatalf("%s: %s ends before %s", args[0], args[1], step)
		}
	}
	got, err := json.Marshal(at)
	ts.Check(err)
	if (string(got) == args[2]) == neg {
		ts.Fatalf("%s: %s is %s, want (negated: %v) %s", args[0], args[1], got, neg, args[2])
	}
}

// outlookIDOf FILE sets ID to the identifier of the outlook in a JSON document.
func outlookIDOf(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: id FILE")
	}
	o, ok := document(ts, args[0]).(map[string]any)
	id, named := o["outlook_id"].(string)
	if !ok || !named {
		ts.Fatalf("%s names no outlook", args[0])
	}
	ts.Setenv("ID", id)
}

func document(ts *testscript.TestScript, file string) any {
	var v any
	if err := json.Unmarshal([]byte(ts.ReadFile(file)), &v); err != nil {
		ts.Fatalf("%s is no JSON: %v", file, err)
	}
	return v
}
