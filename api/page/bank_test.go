package page_test

import (
	"html"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"osier/api/page"
	"osier/model"
)

func bank(t *testing.T, demo bool) map[string]page.File {
	t.Helper()
	files, err := page.Bank(demo)
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func text(t *testing.T, path string) string {
	t.Helper()
	f, found := bank(t, false)[path]
	if !found {
		t.Fatalf("there is no %s", path)
	}
	return string(f.Body)
}

func TestOnlyADemoSaysThatItIsInvented(t *testing.T) {
	real, demo := bank(t, false), bank(t, true)
	if strings.Contains(string(real["/bank"].Body), "INVENTED") || !strings.Contains(string(demo["/bank"].Body), "INVENTED") {
		t.Error("the demo's page must say that all is invented, and no other")
	}
	if !strings.Contains(html.UnescapeString(string(real["/bank"].Body)), model.Deferral) {
		t.Error("the deferral does not stand on the page")
	}
	if string(real[page.BankWorker].Body) == string(demo[page.BankWorker].Body) {
		t.Error("a phone that kept the one page would not fetch the other")
	}
}

// What the page is made of lies in the phone, or it does not open without a
// signal.
func TestTheWorkerKeepsEveryFile(t *testing.T) {
	list := regexp.MustCompile(`(?s)const files = \[(.*?)\]`).FindStringSubmatch(text(t, page.BankWorker))
	if list == nil {
		t.Fatal("the worker has no list of files")
	}
	var kept []string
	for _, m := range regexp.MustCompile(`"([^"]+)"`).FindAllStringSubmatch(list[1], -1) {
		kept = append(kept, m[1])
	}
	var served []string
	for path, f := range bank(t, false) {
		if path != page.BankWorker { // the browser keeps the worker itself
			served = append(served, path)
		}
		if f.Type == "" || len(f.Body) == 0 {
			t.Errorf("%s has the type %q and %d bytes", path, f.Type, len(f.Body))
		}
	}
	slices.Sort(kept)
	slices.Sort(served)
	if !slices.Equal(kept, served) {
		t.Errorf("the worker keeps %v, and served are %v", kept, served)
	}
	if strings.Contains(text(t, page.BankWorker), "VERSION") {
		t.Error("the worker's store is not named after this release")
	}
}

// The policy that the page is served with forbids what stands in the page.
func TestNothingStandsInThePageThatThePolicyForbids(t *testing.T) {
	body := text(t, "/bank")
	for _, forbidden := range []string{`<script>`, `<style`, ` style=`, ` onclick=`, `javascript:`, `http://`, `https://`} {
		if strings.Contains(body, forbidden) {
			t.Errorf("the page holds %s", forbidden)
		}
	}
}

// Contrast by WCAG 2.2, success criteria 1.4.3 and 1.4.11. Text is held to 7:1,
// the enhanced level of 1.4.6, for the sun on a wet screen: our choice.
func TestContrastInBothSchemes(t *testing.T) {
	css := text(t, "/bank/bank.css")
	blocks := regexp.MustCompile(`:root \{([^}]*)\}`).FindAllStringSubmatch(css, -1)
	if len(blocks) != 2 || !strings.Contains(css, "@media (prefers-color-scheme: dark) { :root") {
		t.Fatalf("%d sets of colours, want a light one and a dark one", len(blocks))
	}
	for i, scheme := range []string{"light", "dark"} {
		for _, c := range []struct {
			over, under string
			least       float64
		}{
			{"ink", "paper", 7},
			{"ink", "quiet", 7},
			{"on-deep", "deep", 7},
			{"line", "paper", 3},
			{"line", "quiet", 3},
			{"deep", "paper", 3},
		} {
			got := contrast(luminance(t, blocks[i][1], c.over), luminance(t, blocks[i][1], c.under))
			if got < c.least {
				t.Errorf("%s: %s on %s has a contrast of %.2f, want %g at least", scheme, c.over, c.under, got, c.least)
			}
		}
	}
	rules := regexp.MustCompile(`(?s)@media.*?\} \}|:root \{[^}]*\}`).ReplaceAllString(css, "")
	if colour := regexp.MustCompile(`#[0-9a-f]{3,8}\b[^{]*;|rgb|hsl|opacity`).FindString(rules); colour != "" {
		t.Errorf("a colour stands outside the two sets: %q", colour)
	}
}

func TestContrastOfBlackAndWhiteIs21(t *testing.T) {
	const block = "--ink: #000000; --paper: #ffffff;"
	if got := contrast(luminance(t, block, "ink"), luminance(t, block, "paper")); math.Abs(got-21) > 1e-9 {
		t.Errorf("%g", got)
	}
}

// luminance is the relative luminance of a colour as WCAG 2.2 defines it.
func luminance(t *testing.T, block, name string) float64 {
	t.Helper()
	m := regexp.MustCompile(`--` + name + `: #([0-9a-f]{6});`).FindStringSubmatch(block)
	if m == nil {
		t.Fatalf("no colour %s in %q", name, block)
	}
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		v, err := strconv.ParseUint(m[1][2*i:2*i+2], 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		c := float64(v) / 255
		if c <= 0.04045 {
			sum += weight * c / 12.92
		} else {
			sum += weight * math.Pow((c+0.055)/1.055, 2.4)
		}
	}
	return sum
}

func contrast(a, b float64) float64 { return (max(a, b) + 0.05) / (min(a, b) + 0.05) }

// Nothing moves, for anybody, so there is nothing to reduce.
func TestNothingMoves(t *testing.T) {
	for path, f := range bank(t, false) {
		for _, moving := range []string{"transition:", "animation:", "@keyframes", "scroll-behavior", "animate(", "<marquee", "<blink"} {
			if strings.Contains(string(f.Body), moving) {
				t.Errorf("%s has %s", path, moving)
			}
		}
	}
}
