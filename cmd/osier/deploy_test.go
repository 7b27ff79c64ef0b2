package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// parses says whether the program takes these arguments; it does not run them.
func parses(t *testing.T, args []string) {
	t.Helper()
	var c cli
	parser, err := kong.New(&c, kong.Vars{"data": t.TempDir()}, kong.WithHyphenPrefixedParameters(true))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := parser.Parse(args); err != nil {
		t.Errorf("the program does not take %q: %v", args, err)
	}
}

func TestTheServiceUnit(t *testing.T) {
	text, err := os.ReadFile("deploy/osier.service")
	if err != nil {
		t.Fatal(err)
	}
	set, section := map[string]string{}, ""
	for i, line := range strings.Split(string(text), "\n") {
		name, value, isSetting := strings.Cut(line, "=")
		switch {
		case line == "" || strings.HasPrefix(line, "#"):
		case strings.HasPrefix(line, "[") && strings.HasSuffix(line, "]"):
			section = line
		case isSetting && section != "":
			if _, twice := set[section+name]; twice {
				t.Errorf("line %d sets %s again", i+1, name)
			}
			set[section+name] = value
		default:
			t.Errorf("line %d is no setting: %q", i+1, line)
		}
	}
	for name, want := range map[string]string{
		"DynamicUser": "yes", "NoNewPrivileges": "yes", "ProtectSystem": "strict", "CapabilityBoundingSet": "", "StateDirectory": "osier",
	} {
		if got, found := set["[Service]"+name]; !found || got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	start := strings.Fields(set["[Service]ExecStart"])
	if len(start) < 2 || start[0] != "/usr/local/bin/osier" {
		t.Fatalf("it starts %q", start)
	}
	parses(t, start[1:])
	if _, err := exec.LookPath("systemd-analyze"); err != nil {
		t.Log("NOT CHECKED: systemd-analyze is not on the PATH, so systemd's own reading of the unit is not known")
		return
	}
	// It looks for the program at its place, so the unit is tried with one that is there.
	unit := filepath.Join(t.TempDir(), "osier.service")
	tried := strings.Replace(string(text), "ExecStart="+start[0], "ExecStart=/bin/true", 1)
	if err := os.WriteFile(unit, []byte(tried), 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.CommandContext(t.Context(), "systemd-analyze", "verify", "--man=no", unit).CombinedOutput(); err != nil || strings.Contains(string(out), "osier.service:") {
		t.Errorf("systemd-analyze verify: %v\n%s", err, out)
	}
}

// instructions are those of a container file that ours uses; from memory.
var instructions = []string{"FROM", "WORKDIR", "COPY", "RUN", "USER", "ENV", "VOLUME", "EXPOSE", "ENTRYPOINT", "CMD"}

func TestTheContainerFile(t *testing.T) {
	text, err := os.ReadFile("deploy/Containerfile")
	if err != nil {
		t.Fatal(err)
	}
	last, stages := map[string]string{}, []string{}
	for i, line := range strings.Split(strings.ReplaceAll(string(text), "\\\n", " "), "\n") {
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		word, rest, _ := strings.Cut(line, " ")
		if !slices.Contains(instructions, word) {
			t.Errorf("line %d begins with %q", i+1, word)
		}
		if word == "FROM" {
			stages, last = append(stages, rest), map[string]string{}
			if image, _, _ := strings.Cut(rest, " "); image != "scratch" && !regexp.MustCompile(`^[a-z]+:[0-9]+\.[0-9]+`).MatchString(image) {
				t.Errorf("line %d: %s names no version", i+1, image)
			}
		}
		if word == "COPY" {
			for _, part := range strings.Fields(rest) {
				if from, is := strings.CutPrefix(part, "--from="); is && !strings.HasSuffix(stages[0], " AS "+from) {
					t.Errorf("line %d copies from %q, which is no stage", i+1, from)
				}
			}
		}
		last[word] = rest
	}
	if len(stages) != 2 || stages[1] != "scratch" {
		t.Errorf("the stages are %q, want a build and an empty one", stages)
	}
	if user := last["USER"]; !regexp.MustCompile(`^[1-9][0-9]+:[1-9][0-9]+$`).MatchString(user) {
		t.Errorf("it runs as %q, want a number that is not root's", user)
	}
	var entry, command []string
	if err := json.Unmarshal([]byte(last["ENTRYPOINT"]), &entry); err != nil || !slices.Equal(entry, []string{"/osier"}) {
		t.Errorf("ENTRYPOINT %s, %v", last["ENTRYPOINT"], err)
	}
	if err := json.Unmarshal([]byte(last["CMD"]), &command); err != nil {
		t.Errorf("CMD %s, %v", last["CMD"], err)
	}
	for _, setting := range strings.Fields(last["ENV"]) {
		name, value, _ := strings.Cut(setting, "=")
		t.Setenv(name, value)
	}
	parses(t, command)
}
