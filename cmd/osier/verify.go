package main

import (
	"embed"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"

	"osier/model"
)

// reference holds small sets of published figures, so that verify answers on
// any machine.
//
//go:embed reference
var reference embed.FS

type verifyCmd struct {
	What    string `arg:"" enum:"air,metar,feed,oxygen,appetite,activity,timing,water" help:"What to check: air, metar, feed, oxygen, appetite, activity, timing or water."`
	Against string `help:"A folder of reference figures in place of the embedded ones." placeholder:"DIR"`
}

// verifyCheck is one figure held against a published one.
type verifyCheck struct {
	Name      string  `json:"name"`
	Got       any     `json:"got"`
	Want      any     `json:"want"`
	Tolerance float64 `json:"tolerance"`
	OK        bool    `json:"ok"`
	Source    string  `json:"source"`
}

// verifyResult is the whole answer.
type verifyResult struct {
	What    string        `json:"what"`
	OK      bool          `json:"ok"`
	Passed  int           `json:"passed"`
	Failed  int           `json:"failed"`
	Checks  []verifyCheck `json:"checks"`
	Summary any           `json:"summary"`
}

// numberCheck passes when got is within the tolerance of want.
func numberCheck(name string, got, want, tolerance float64, source string) verifyCheck {
	c := verifyCheck{Name: name, Got: got, Want: want, Tolerance: tolerance, Source: source}
	c.OK = math.Abs(got-want) <= tolerance // false for NaN
	if math.IsNaN(got) || math.IsInf(got, 0) {
		c.Got = fmt.Sprint(got)
	}
	return c
}

// textCheck passes when the texts are the same.
func textCheck(name, got, want, source string) verifyCheck {
	return verifyCheck{Name: name, Got: got, Want: want, OK: got == want, Source: source}
}

// verifiers is what can be checked. Each reads any folder laid out like its
// reference set.
var verifiers = map[string]func(fs.FS) ([]verifyCheck, any, error){
	"air":      verifyAir,
	"metar":    verifyMetar,
	"feed":     verifyFeed,
	"activity": verifyActivity,
	"timing":   verifyTiming,
	"oxygen":   verifyOxygen,
	"appetite": verifyAppetite,
	"water":    verifyWater,
}

func (c *verifyCmd) Run(a *app) error {
	files, err := c.files()
	if err != nil {
		return err
	}
	checks, summary, err := verifiers[c.What](files)
	if err != nil {
		return model.Invalidf("against", "give a folder laid out like cmd/osier/reference/"+c.What, "%v", err)
	}
	if summary == nil {
		summary = map[string]any{}
	}
	result := verifyResult{What: c.What, Checks: append([]verifyCheck{}, checks...), Summary: summary}
	for _, k := range checks {
		if k.OK {
			result.Passed++
		} else {
			result.Failed++
		}
	}
	result.OK = result.Failed == 0 && result.Passed > 0
	a.print(result, result.text)
	if !result.OK {
		return errSaid
	}
	return nil
}

func (c *verifyCmd) files() (fs.FS, error) {
	if c.Against == "" {
		return fs.Sub(reference, "reference/"+c.What)
	}
	if info, err := os.Stat(c.Against); err != nil || !info.IsDir() {
		return nil, model.Invalidf("against", "give a folder laid out like the reference figures", "%s is no folder", c.Against)
	}
	return os.DirFS(c.Against), nil
}

func (r verifyResult) text(w io.Writer) {
	for _, k := range r.Checks {
		verdict := "ok  "
		if !k.OK {
			verdict = "FAIL"
		}
		fmt.Fprintf(w, "%s  %s: got %v, reference %v%s (%s)\n", verdict, k.Name, k.Got, k.Want, difference(k), k.Source)
	}
	fmt.Fprintf(w, "%s: %d passed, %d failed\n", r.What, r.Passed, r.Failed)
}

func difference(k verifyCheck) string {
	got, isNumber := k.Got.(float64)
	want, _ := k.Want.(float64)
	if !isNumber {
		return ""
	}
	return fmt.Sprintf(", difference %.3g of %.3g allowed", got-want, k.Tolerance)
}
