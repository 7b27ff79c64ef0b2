package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// module is what the packages of ours are named after.
const module = "osier"

// mayImport is the table of the design, section 3: what a package may import of
// ours, apart from its tests. A name that ends in /... stands for the package
// and all below it.
var mayImport = map[string][]string{
	"model":          {},
	"model/solar":    {},
	"model/air":      {},
	"model/fish":     {},
	"model/feeder":   {},
	"model/activity": {},
	"api/cache":      {},
	"jobs/feed":      {},
	"openapi":        {},
	"model/water":    {"model/solar", "model/air", "model/activity"},
	"model/timing":   {"model/activity"},
	"model/caution":  {"model", "model/air", "model/solar", "model/water"},
	"model/plan": {
		"model", "model/solar", "model/air", "model/fish", "model/feeder", "model/activity", "model/water", "model/timing", "model/caution",
	},
	"model/store": {"model"},
	"api/page":    {"model"},
	"api/auth":    {"model"},

	"jobs/feed/<format>": {"model", "model/air"},

	"jobs":      {"model/...", "jobs/feed/...", "!model/store"},
	"api":       {"model/...", "api/...", "openapi", "!model/store"},
	"cmd/osier": {"..."},
	"cmd/check": {},

	"model/store/storetest": {"model", "model/store"},
	"api/cache/cachetest":   {"model", "api/cache"},
	"openapi/contract":      {"model", "openapi"},
}

// rulesOf finds the rules of a package; false when the design knows none.
func rulesOf(name string) ([]string, bool) {
	if path.Dir(name) == "jobs/feed" {
		name = "jobs/feed/<format>"
	}
	rules, known := mayImport[name]
	return rules, known
}

// allows says whether the rules of a package let it import another.
func allows(rules []string, other string) bool {
	allowed := false
	for _, rule := range rules {
		if stem, never := strings.CutPrefix(rule, "!"); never {
			if other == stem || strings.HasPrefix(other, stem+"/") {
				return false
			}
			continue
		}
		stem, below := strings.CutSuffix(rule, "...")
		allowed = allowed || other == rule || below && (stem == "" || strings.HasPrefix(other+"/", stem))
	}
	return allowed
}

// listed is what go list says of a package.
type listed struct {
	ImportPath string
	Doc        string
	GoFiles    []string
	Imports    []string
}

// inside is a package's path within the module; false for one that is not ours.
func inside(importPath string) (string, bool) {
	return strings.CutPrefix(importPath, module+"/")
}

// notice looks into every folder, so that a kept test result does not outlive a
// change that only go list and git see.
func notice(t *testing.T) {
	t.Helper()
	err := filepath.WalkDir("../..", func(_ string, d fs.DirEntry, err error) error {
		if err == nil && d.Name() == ".git" {
			return fs.SkipDir
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func packages(t *testing.T) []listed {
	t.Helper()
	notice(t)
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("NOT CHECKED: go is not on the path, so the imports cannot be listed")
	}
	cmd := exec.CommandContext(t.Context(), "go", "list", "-json=ImportPath,Doc,GoFiles,Imports", "./...")
	cmd.Dir = "../.."
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("list the packages: %v", err)
	}
	var all []listed
	for in := json.NewDecoder(bytes.NewReader(out)); ; {
		var p listed
		if err := in.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

func TestPackagesImportOnlyWhatTheDesignLetsThem(t *testing.T) {
	for _, p := range packages(t) {
		name, _ := inside(p.ImportPath)
		rules, known := rulesOf(name)
		if !known {
			t.Errorf("%s is not in the design's table of packages", name)
			continue
		}
		for _, imported := range p.Imports {
			if other, ours := inside(imported); ours && !allows(rules, other) {
				t.Errorf("%s imports %s; the design lets it import %v", name, other, rules)
			}
		}
	}
}

func TestTheRulesOfImport(t *testing.T) {
	for _, c := range []struct {
		from, to string
		want     bool
	}{
		{"jobs", "model", true},
		{"jobs", "model/plan", true},
		{"jobs", "jobs/feed/awc", true},
		{"jobs", "model/store", false},
		{"jobs", "api", false},
		{"api", "jobs", false},
		{"api", "model/store", false},
		{"api", "model/store/storetest", false},
		{"api", "api/cache", true},
		{"model", "model/air", false},
		{"model/store", "model", true},
		{"model/store", "model/plan", false},
		{"model/caution", "model/plan", false},
		{"jobs/feed/metar", "model/air", true},
		{"jobs/feed/metar", "jobs/feed", false},
		{"cmd/osier", "model/store", true},
	} {
		rules, known := rulesOf(c.from)
		if got := allows(rules, c.to); got != c.want || !known {
			t.Errorf("%s may import %s: %v, want %v", c.from, c.to, got, c.want)
		}
	}
}

func TestEveryPackageSaysWhatItIsFor(t *testing.T) {
	for _, p := range packages(t) {
		name, _ := inside(p.ImportPath)
		if len(p.GoFiles) == 0 {
			t.Errorf("%s has no file but tests", name)
			continue
		}
		command := strings.HasPrefix(name, "cmd/")
		begins := "Package " + path.Base(name) + " "
		if command {
			begins = "Command " + path.Base(name) + " "
		}
		if !strings.HasPrefix(p.Doc, begins) {
			t.Errorf("%s: its comment begins %q, want %q", name, p.Doc, begins)
		}
		if !command && len(p.GoFiles) > 1 && !slices.Contains(p.GoFiles, "doc.go") {
			t.Errorf("%s has several files and no doc.go", name)
		}
	}
}

// topLevel are the names at the top of the project (design, section 3), apart
// from those that begin with a dot.
var topLevel = []string{"cmd", "api", "model", "jobs", "openapi", "testdata", "go.mod", "go.sum", "README.md", "DEVELOPERS.md", "LICENSE"}

func TestNothingElseLiesAtTheTop(t *testing.T) {
	notice(t)
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("NOT CHECKED: git is not on the path, so the files cannot be listed")
	}
	cmd := exec.CommandContext(t.Context(), "git", "ls-files", "--cached", "--others", "--exclude-standard")
	cmd.Dir = "../.."
	out, err := cmd.Output()
	if err != nil {
		t.Skipf("NOT CHECKED: this is no git working tree: %v", err)
	}
	seen := map[string]bool{}
	for _, file := range strings.Fields(string(out)) {
		top, _, _ := strings.Cut(file, "/")
		if !seen[top] && !strings.HasPrefix(top, ".") && !slices.Contains(topLevel, top) {
			t.Errorf("%s lies at the top of the project, where only %v do", top, topLevel)
		}
		seen[top] = true
	}
}
