//go:build browser

package main

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"log/slog"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// newClubSite serves the invented club with a closed water and with thermometer
// readings.
func newClubSite(t *testing.T) *bankside {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	said, says := io.Pipe()
	now := func() time.Time { return time.Now().UTC().Truncate(time.Second) }
	a := &app{ctx: ctx, stdout: says, stderr: io.Discard, data: t.TempDir(), now: now, log: slog.New(slog.NewTextHandler(t.Output(), &slog.HandlerOptions{Level: slog.LevelWarn}))}
	db, err := a.open()
	fatal(t, err)
	world, _, err := a.takeInDemo(ctx, db)
	fatal(t, err)
	fatal(t, a.liveThroughDemo(ctx, db, world))
	_, err = a.publishDemo(ctx, db, world)
	fatal(t, err)
	kept, err := a.cache("", db)
	fatal(t, err)
	ended := make(chan error, 1)
	go func() { ended <- a.serve(ctx, db, kept, nil, "127.0.0.1:0", "", "", true) }()
	t.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
		kept.Close()
		fatal(t, db.Close())
	})
	line, err := bufio.NewReader(said).ReadString('\n')
	fatal(t, err)
	b := &bankside{t: t, db: db, scheme: "http", client: http.DefaultClient, signal: newRadio(t, strings.TrimPrefix(strings.TrimSpace(line), "Serving on http://"))}
	b.post("/v1/clubs/hobbin-row/restrictions", `{"water":"thistlecote-pool","kind":"closed","reason":"fish in distress","decided_by":"water-officer"}`)
	for _, hoursAgo := range []time.Duration{2, 30, 55, 100} {
		at := now().Add(-hoursAgo * time.Hour).Format(time.RFC3339)
		b.post("/v1/waters/quillmarsh-pit/readings", `{"water_temp_c":6.4,"depth_m":0.5,"by":"RJ","at":"`+at+`"}`)
	}
	return b
}

func (b *bankside) post(path, body string) {
	b.t.Helper()
	r, err := http.NewRequestWithContext(b.t.Context(), http.MethodPost, b.url(path), strings.NewReader(body))
	fatal(b.t, err)
	r.Header.Set("Content-Type", "application/json")
	answer, err := http.DefaultClient.Do(r)
	fatal(b.t, err)
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusCreated {
		why, _ := io.ReadAll(answer.Body)
		b.t.Fatalf("POST %s: %s: %s", path, answer.Status, bytes.TrimSpace(why))
	}
}

// newReader opens a browser at no page yet. No page runs a script.
func (b *bankside) newReader(t *testing.T) *phone {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium(t)), chromedp.UserDataDir(t.TempDir()))
	ctx, end := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(end)
	ctx, end = chromedp.NewContext(ctx, chromedp.WithErrorf(func(string, ...any) {}))
	t.Cleanup(end)
	p := &phone{t: t, b: b, ctx: ctx}
	fatal(t, chromedp.Do(ctx))
	return p
}

// reads opens a page in a window of a width.
func (p *phone) reads(path string, widthPx int64) {
	p.t.Helper()
	options := []chromedp.EmulateViewportOption{}
	if widthPx < 500 {
		options = append(options, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulateScale(2))
	}
	p.do(chromedp.EmulateViewport(widthPx, 800, options...), chromedp.Navigate(p.b.url(path)))
}

// seen sets the scheme of colours and the medium, screen or print.
func (p *phone) seen(scheme, medium string) {
	p.t.Helper()
	p.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		features := []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: medium, Features: features})
		return err
	}))
}

func (p *phone) withoutScripts() {
	p.t.Helper()
	p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	}))
}

// comes waits for a condition that another page may bring.
func (p *phone) comes(condition string) {
	p.t.Helper()
	for end := time.Now().Add(15 * time.Second); ; time.Sleep(50 * time.Millisecond) {
		ctx, stop := context.WithTimeout(p.ctx, 5*time.Second)
		is, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`document.readyState === "complete" && `+condition))
		stop()
		if err == nil && is {
			return
		}
		if time.Now().After(end) {
			p.t.Fatalf("%s did not come: %v; the page shows:\n%s", condition, err, p.shown())
		}
	}
}

// where is the path of the page shown.
func (p *phone) where() string { p.t.Helper(); return value[string](p, `location.pathname`) }

// sitePages are the pages that anybody may read; {plan} is one that was issued.
var sitePages = []struct{ name, path string }{
	{"front", "/"},
	{"water", "/waters/quillmarsh-pit"},
	{"closed", "/waters/thistlecote-pool"},
	{"season", "/waters/quillmarsh-pit/season"},
	{"weather", "/waters/quillmarsh-pit/weather"},
	{"form", "/plan?water=quillmarsh-pit"},
	{"plan", "{plan}"},
	{"docs", "/docs"},
	{"missing", "/waters/nowhere"},
}

// asks fills in the form by keyboard and sends it, and gives the plan's path.
func (p *phone) asks(width int64) string {
	p.t.Helper()
	p.reads("/plan?water=quillmarsh-pit&group=bream&angler=RJ", width)
	p.do(chromedp.Focus(chromedp.CSS(`form.ask button`)), chromedp.KeyEvent(kb.Enter))
	p.comes(`location.pathname.startsWith("/plans/")`)
	return p.where()
}

// look is one way of looking at a page.
type look struct {
	name           string
	widthPx        int64
	scheme, medium string
	examined       bool // by axe-core
}

var looks = []look{
	{"narrow", 320, "light", "screen", false},
	{"phone", 390, "light", "screen", true},
	{"phone-dark", 390, "dark", "screen", true},
	{"print", 390, "light", "print", false},
	{"desk", 1280, "light", "screen", true},
	{"desk-dark", 1280, "dark", "screen", false},
}

// Every page fits, has targets that can be hit, is drawn in both schemes and in
// print, and runs no script; go test -artifacts keeps the pictures. OSIER_AXE is
// as for the bankside page.
func TestPagesLooks(t *testing.T) {
	axe := readAxe(t)
	pictures := t.ArtifactDir()
	p := newClubSite(t).newReader(t)
	plan := p.asks(390)
	for _, page := range sitePages {
		for _, l := range looks {
			p.seen(l.scheme, l.medium)
			p.reads(strings.Replace(page.path, "{plan}", plan, 1), l.widthPx)
			p.fits(page.name+", "+l.name, l.medium == "screen")
			// A picture of the document would be of the height of a house. Drawing
			// takes most of the time: with -short each page is drawn once.
			if page.name != "docs" && (!testing.Short() || l.name == "phone") {
				picture, err := chromedp.Run(p.ctx, chromedp.FullScreenshot(100))
				fatal(t, err)
				fatal(t, os.WriteFile(filepath.Join(pictures, page.name+"-"+l.name+".png"), picture, 0o600))
			}
			if axe != "" && l.examined && (page.name != "docs" || l.name == "phone") {
				for _, wrong := range p.examine(axe) {
					t.Errorf("%s, %s: %s", page.name, l.name, wrong)
				}
			}
		}
	}
}

// fits finds what is too wide, too small to be hit where it can be, or a script.
func (p *phone) fits(name string, touched bool) {
	p.t.Helper()
	if over := value[float64](p, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
		p.t.Errorf("%s: it is %g px too wide: %s", name, over, value[string](p, tooWide))
	}
	if touched {
		for _, small := range value[[]string](p, smallTargetsOfPages) {
			p.t.Errorf("%s: a target is small: %s", name, small)
		}
	}
	if n := value[int](p, `document.scripts.length`); n != 0 {
		p.t.Errorf("%s: %d scripts", name, n)
	}
}

// examine has axe-core look. It takes its time over the long page of the API.
func (p *phone) examine(axe string) []string {
	p.t.Helper()
	ctx, stop := context.WithTimeout(p.ctx, 3*time.Minute)
	defer stop()
	found, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](axe+";"+axeFindings, chromedp.EvalAwaitPromise))
	fatal(p.t, err)
	return found
}

// tooWide names what reaches over the edge.
const tooWide = `[...document.querySelectorAll("main *")].filter((e) => e.getBoundingClientRect().right > innerWidth + 1).map((e) => e.outerHTML.slice(0, 90)).slice(0, 3).join(" | ")`

// smallTargetsOfPages lists what can be touched and is under 24 CSS pixels
// either way and not a part of a sentence or a list of such (WCAG 2.2, success
// criterion 2.5.8).
const smallTargetsOfPages = `[...document.querySelectorAll("a:not(p a, li > a, li > code a), button, input, select, summary, .links a")].map((e) => [e, e.getBoundingClientRect()])
	.filter(([e, r]) => e.checkVisibility() && !e.matches(".skip") && (r.width < 24 || r.height < 24)).map(([e, r]) => e.outerHTML.slice(0, 80) + " " + r.width + " x " + r.height)`

// The whole way by keyboard alone and with no script: from the front to a water,
// to the form, over a refusal, to a plan.
func TestPagesByKeyboardWithoutScripts(t *testing.T) {
	p := newClubSite(t).newReader(t)
	p.withoutScripts()
	p.reads("/", 390)
	p.do(chromedp.KeyEvent(kb.Tab))
	if got := value[string](p, `document.activeElement.textContent`); got != "To the content" {
		t.Errorf("the first stop is %q", got)
	}
	if ring := value[string](p, `getComputedStyle(document.activeElement).outlineWidth`); ring != "4px" {
		t.Errorf("the ring round what has the focus is %s wide", ring)
	}
	p.do(chromedp.KeyEvent(kb.Enter))
	p.comes(`document.activeElement.id === "content"`)
	p.tabTo("Quillmarsh Pit (invented)")
	p.do(chromedp.KeyEvent(kb.Enter))
	p.comes(`location.pathname === "/waters/quillmarsh-pit"`)
	p.tabTo("Plan a session here")
	p.do(chromedp.KeyEvent(kb.Enter))
	p.comes(`location.pathname === "/plan"`)
	p.tabTo("hours")
	p.do(chromedp.KeyEvent("0")) // tabbing into a field marks all of it
	p.do(chromedp.KeyEvent(kb.Enter))
	p.comes(`document.querySelector("#hours").getAttribute("aria-invalid") === "true"`)
	if told := value[string](p, `document.querySelector("#wrong").textContent`); !strings.Contains(told, "0.5 to 24") {
		t.Errorf("the field says %q", told)
	}
	p.tabTo("Nothing was planned: one field needs another look")
	if to := value[string](p, `document.activeElement.getAttribute("href")`); to != "#hours" {
		t.Errorf("the refusal leads to %q", to)
	}
	p.tabTo("hours")
	p.do(chromedp.KeyEvent("4"), chromedp.KeyEvent(kb.Enter))
	p.comes(`location.pathname.startsWith("/plans/")`)
	if shown := p.shown(); !strings.Contains(shown, "What to do") || !strings.Contains(shown, "INVENTED") {
		t.Errorf("the plan shows:\n%s", shown)
	}
}

// tabTo moves the focus until it is on what has this name or text.
func (p *phone) tabTo(what string) {
	p.t.Helper()
	var passed []string
	for range 60 {
		here := value[string](p, `document.activeElement === document.body ? "" : (document.activeElement.name || document.activeElement.textContent).trim()`)
		if here == what {
			return
		}
		passed = append(passed, here)
		p.do(chromedp.KeyEvent(kb.Tab))
	}
	p.t.Fatalf("the keyboard does not reach %q but %q; the page shows:\n%s", what, passed, p.shown())
}

// A page of another origin cannot have a plan issued.
func TestPagesRefuseAForeignForm(t *testing.T) {
	b := newClubSite(t)
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, b.url("/plan"), strings.NewReader("water=quillmarsh-pit"))
	fatal(t, err)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", "https://elsewhere.example")
	r.Header.Set("Sec-Fetch-Site", "cross-site")
	answer, err := http.DefaultClient.Do(r)
	fatal(t, err)
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusForbidden {
		t.Errorf("answered %s", answer.Status)
	}
}
