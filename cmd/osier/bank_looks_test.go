//go:build browser

package main

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/google/go-cmp/cmp"
)

// faces are what somebody sees in a session, each from the one before.
var faces = []struct {
	name string
	come func(*phone)
}{
	{"begin", func(p *phone) { p.until(`!document.getElementById("begin").hidden`) }},
	{"ready", func(p *phone) { p.begin("quillmarsh-pit") }},
	{"cast", func(p *phone) { p.logs("Cast made") }},
	{"settled", func(p *phone) { p.logs("Settled") }},
	{"bitten", func(p *phone) { p.logs("Bite") }},
	{"landed", func(p *phone) { p.logs("Fish landed"); p.untilShown("sending", "All is sent.") }},
	{"describe", func(p *phone) { p.press("Describe fish"); p.until(`!document.getElementById("detail").hidden`) }},
	{"refused", func(p *phone) {
		p.press("Leave it")
		p.press("Water temperature")
		p.do(chromedp.SetValue(chromedp.CSS(`[name=temp_c]`), "81"))
		p.press("Keep")
		p.untilShown("refusedlist", "81")
	}},
	{"no-signal", func(p *phone) {
		p.press("Take it back")
		p.untilShown("sending", "All is sent.")
		p.loseSignal()
		p.logs("Wound in, refilled")
		p.untilShown("sending", "no signal")
	}},
	{"after", func(p *phone) {
		p.findSignal()
		p.logs("End session")
		p.untilShown("recordline", "The record is stored.")
	}},
}

// Every face fits a narrow phone, has targets for a cold hand, and is drawn in
// both schemes; go test -artifacts keeps the pictures. With OSIER_AXE naming the
// script of axe-core, a checker of accessibility, that looks as well.
func TestBankLooks(t *testing.T) {
	axe := readAxe(t)
	pictures := t.ArtifactDir()
	p := newBankside(t).newPhone(t, t.TempDir())
	for _, face := range faces {
		face.come(p)
		for _, widthPx := range []int64{320, 360} {
			p.do(chromedp.EmulateViewport(widthPx, 740, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulateScale(2)))
			if over := value[float64](p, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
				t.Errorf("%s: at %d px it is %g px too wide", face.name, widthPx, over)
			}
			for _, small := range value[[]string](p, smallTargets) {
				t.Errorf("%s: at %d px a target is small: %s", face.name, widthPx, small)
			}
		}
		for _, scheme := range []string{"light", "dark"} {
			p.scheme(scheme)
			picture, err := chromedp.Run(p.ctx, chromedp.FullScreenshot(100))
			fatal(t, err)
			fatal(t, os.WriteFile(filepath.Join(pictures, face.name+"-"+scheme+".png"), picture, 0o600))
			if axe != "" {
				value[bool](p, axe+"; true")
				for _, wrong := range value[[]string](p, axeFindings) {
					t.Errorf("%s, %s: %s", face.name, scheme, wrong)
				}
			}
		}
	}
}

// smallTargets lists what can be touched and is under 44 CSS pixels either way
// (WCAG 2.2, success criterion 2.5.5, the enhanced level: our choice).
const smallTargets = `[...document.querySelectorAll("a, button, input, select")].map((e) => [e, e.getBoundingClientRect()])
	.filter(([e, r]) => e.checkVisibility() && (r.width < 44 || r.height < 44)).map(([e, r]) => e.outerHTML.slice(0, 80) + " " + r.width + " x " + r.height)`

const axeFindings = `axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"] })
	.then((r) => r.passes.length === 0 ? ["nothing was looked at"] : r.violations.map((v) => v.id + ": " + v.help + ": " + v.nodes.map((n) => n.html).join(" ")))`

func readAxe(t *testing.T) string {
	t.Helper()
	file := os.Getenv("OSIER_AXE")
	if file == "" {
		t.Log("OSIER_AXE names no script, so axe-core does not look")
		return ""
	}
	script, err := os.ReadFile(file)
	fatal(t, err)
	return string(script)
}

// heard lists what a screen reader is given, in its order: role and name of what
// has one of the roles.
func (p *phone) heard(roles ...string) []string {
	p.t.Helper()
	tree, err := chromedp.Run(p.ctx, func(ctx context.Context, t *chromedp.Target) (accessibility.GetFullAXTreeResult, error) {
		return cdp.Call(ctx, t, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	})
	fatal(p.t, err)
	text := func(v *accessibility.Value) string {
		if v == nil {
			return ""
		}
		return strings.Trim(string(v.Value), `"`)
	}
	byID := map[accessibility.NodeID]*accessibility.Node{}
	for _, n := range tree.Nodes {
		byID[n.NodeID] = n
	}
	var out []string
	var read func(n *accessibility.Node)
	read = func(n *accessibility.Node) {
		if role := text(n.Role); !n.Ignored && slices.Contains(roles, role) {
			out = append(out, role+" "+text(n.Name))
		}
		for _, child := range n.ChildIDs {
			if c := byID[child]; c != nil {
				read(c)
			}
		}
	}
	read(tree.Nodes[0])
	return out
}

func TestBankForAScreenReader(t *testing.T) {
	p := newBankside(t).newPhone(t, t.TempDir())
	want := []string{
		"textbox Water", "textbox Your handle", "combobox Fish for", "textbox Peg, if it has a number", "textbox Planned feed, damp grams an hour",
		"textbox Opening fills", "textbox Plan you follow, by its name", "button Begin",
	}
	got := p.heard("textbox", "combobox", "button", "spinbutton")
	for i := range got {
		got[i] = strings.Replace(got[i], "combobox Water", "textbox Water", 1) // it offers a list, where there is one
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("at the beginning (-want +got):\n%s", diff)
	}
	p.begin("quillmarsh-pit")
	p.logs("Cast made")
	p.logs("Settled")
	want = []string{
		"heading On the bank", "region The session", "timer Clock",
		"group What happened", "button Wound in, refilled", "button Bite", "button Line bite", "button Fish landed", "button Missed it", "button Lost it",
		"button Cast again, no feed", "button Undo: settled", "heading Last casts", "list Last casts",
		"group Less often", "button Water temperature", "button Change tackle", "button Pause", "button What I feed", "button End session",
	}
	if diff := cmp.Diff(want, p.heard("heading", "region", "timer", "group", "button", "list")); diff != "" {
		t.Errorf("in a session (-want +got):\n%s", diff)
	}
	if live := value[[]string](p, `[...document.querySelectorAll("[role=status], [role=alert]")].map((e) => e.id)`); !slices.Contains(live, "sending") || !slices.Contains(live, "cautions") || !slices.Contains(live, "advice") {
		t.Errorf("said by themselves are %v", live)
	}
}

// A whole session by keyboard alone: the focus is never lost, and stands where
// the next step is likely.
func TestBankByKeyboard(t *testing.T) {
	p := newBankside(t).newPhone(t, t.TempDir())
	focus := func() string {
		return value[string](p, `(document.activeElement.name || document.activeElement.textContent).trim()`)
	}
	press := func(key string) { p.do(chromedp.Sleep(apart), chromedp.KeyEvent(key)) }
	tabTo := func(what string) {
		t.Helper()
		for range 30 {
			if focus() == what {
				return
			}
			p.do(chromedp.KeyEvent(kb.Tab))
		}
		t.Fatalf("the keyboard does not reach %q", what)
	}
	follow := func(key, said, next string) {
		t.Helper()
		press(key)
		p.untilShown("sending", said)
		if got := focus(); got != next {
			t.Errorf("after %q the focus is on %q, want %q", said, got, next)
		}
	}
	tabTo("water")
	p.do(chromedp.KeyEvent("quillmarsh-pit"))
	tabTo("angler")
	p.do(chromedp.KeyEvent("sedge"))
	follow(kb.Enter, "Session begun", "Cast made")
	follow(kb.Enter, "Cast made", "Settled")
	follow(" ", "Settled", "Wound in, refilled")
	tabTo("Bite")
	follow(" ", "Bite", "Fish landed")
	tabTo("Missed it")
	follow(kb.Enter, "Missed it", "Missed it")
	tabTo("Water temperature")
	press(kb.Enter)
	p.until(`document.activeElement.name === "temp_c"`)
	press(kb.Escape)
	p.until(`document.activeElement.textContent === "Water temperature"`)
	press(kb.Enter)
	p.until(`document.activeElement.name === "temp_c"`)
	p.do(chromedp.KeyEvent("6,5"))
	follow(kb.Enter, "Water temperature", "Water temperature")
	tabTo("End session")
	press(kb.Enter)
	p.until(`!document.getElementById("after").hidden`)
	tabTo("Not over: go on")
	press(kb.Enter)
	p.until(`!document.getElementById("fishing").hidden`)
	ring := value[string](p, `(document.querySelector("#buttons button").focus(), getComputedStyle(document.activeElement).outlineWidth)`)
	if ring != "4px" {
		t.Errorf("the ring round what has the focus is %s wide, want 4px", ring)
	}
}

// The browser offers to install the page, and it opens as a program of its own.
func TestBankCanBeInstalled(t *testing.T) {
	p := newBankside(t).newPhone(t, t.TempDir())
	value[bool](p, `navigator.serviceWorker.ready.then(() => true)`)
	got, err := chromedp.Run(p.ctx, func(ctx context.Context, t *chromedp.Target) (page.GetInstallabilityErrorsResult, error) {
		return cdp.Call(ctx, t, page.GetInstallabilityErrors, cdp.Empty{})
	})
	fatal(t, err)
	for _, e := range got.InstallabilityErrors {
		t.Errorf("the browser would not install it: %s", e.ErrorID)
	}
}
