//go:build browser

package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"osier/model"
	"osier/model/store"
)

// bankside is the program serving one water, and the way to it.
type bankside struct {
	t      *testing.T
	db     *store.DB
	signal *radio
	scheme string
	client *http.Client // that trusts the server
}

const bankWater = `{"name":"Quillmarsh Pit","lat":51.5,"lon":-0.12,"elevation_m":12,"mean_depth_m":2.4,
	"bank":"grass","zone":"Europe/London","groups":["silver","bream"],"colour":"tinged"}`

func newBankside(t *testing.T) *bankside {
	t.Helper()
	b := openBankside(t, "", "", http.DefaultClient)
	b.register("quillmarsh-pit")
	return b
}

// openBankside serves an empty store, over https where it is given a certificate.
func openBankside(t *testing.T, cert, key string, client *http.Client) *bankside {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	said, says := io.Pipe()
	now := func() time.Time { return time.Now().UTC().Truncate(time.Second) }
	a := &app{ctx: ctx, stdout: says, stderr: io.Discard, data: t.TempDir(), now: now, log: slog.New(slog.NewTextHandler(t.Output(), &slog.HandlerOptions{Level: slog.LevelWarn}))}
	db, err := a.open()
	fatal(t, err)
	kept, err := a.cache("", db)
	fatal(t, err)
	ended := make(chan error, 1)
	go func() { ended <- a.serve(ctx, db, kept, nil, "127.0.0.1:0", cert, key, false) }()
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
	scheme, address, _ := strings.Cut(strings.TrimPrefix(strings.TrimSpace(line), "Serving on "), "://")
	return &bankside{t: t, db: db, signal: newRadio(t, address), scheme: scheme, client: client}
}

func fatal(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func (b *bankside) url(path string) string {
	return b.scheme + "://" + b.signal.l.Addr().String() + path
}

func (b *bankside) register(water string) {
	b.t.Helper()
	r, err := http.NewRequestWithContext(b.t.Context(), http.MethodPut, b.url("/v1/waters/"+water), strings.NewReader(bankWater))
	fatal(b.t, err)
	r.Header.Set("Content-Type", "application/json")
	answer, err := b.client.Do(r)
	fatal(b.t, err)
	fatal(b.t, answer.Body.Close())
	if answer.StatusCode != http.StatusCreated {
		b.t.Fatalf("register the water: %s", answer.Status)
	}
}

// get asks the server itself, past the phone.
func (b *bankside) get(path string, into any) {
	b.t.Helper()
	r, err := http.NewRequestWithContext(b.t.Context(), http.MethodGet, b.url(path), nil)
	fatal(b.t, err)
	answer, err := b.client.Do(r)
	fatal(b.t, err)
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		b.t.Fatalf("GET %s: %s", path, answer.Status)
	}
	fatal(b.t, json.NewDecoder(answer.Body).Decode(into))
}

func (b *bankside) events(session string) []model.LoggedEvent {
	b.t.Helper()
	events, err := b.db.Events(b.t.Context(), session)
	fatal(b.t, err)
	return events
}

// radio stands between phone and server: while it is gone, every connection
// breaks.
type radio struct {
	l    net.Listener
	to   string
	mu   sync.Mutex
	gone bool
	open map[net.Conn]bool
}

func newRadio(t *testing.T, to string) *radio {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	fatal(t, err)
	s := &radio{l: l, to: to, open: map[net.Conn]bool{}}
	t.Cleanup(func() { s.set(true); l.Close() })
	go func() {
		for {
			phone, err := l.Accept()
			if err != nil {
				return
			}
			go s.join(phone)
		}
	}()
	return s
}

func (s *radio) join(phone net.Conn) {
	defer phone.Close()
	server, err := net.Dial("tcp", s.to)
	if err != nil || !s.hold(phone, server) {
		return
	}
	defer server.Close()
	go func() {
		_, _ = io.Copy(server, phone)
		server.Close()
	}()
	_, _ = io.Copy(phone, server)
}

func (s *radio) hold(ends ...net.Conn) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, c := range ends {
		if s.gone {
			c.Close()
		} else {
			s.open[c] = true
		}
	}
	return !s.gone
}

func (s *radio) set(gone bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gone = gone
	for c := range s.open {
		if gone {
			c.Close()
		}
		delete(s.open, c)
	}
}

// phone is a browser of a phone's size on one profile, which outlives it.
type phone struct {
	t   *testing.T
	b   *bankside
	ctx context.Context
}

// chromium finds the distribution's browser.
func chromium(t *testing.T) string {
	t.Helper()
	names := []string{"chromium", "chromium-browser", "google-chrome"}
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Fatalf("none of %v is on the path; the browser tests need one", names)
	return ""
}

// newPhone starts the browser and opens the page.
func (b *bankside) newPhone(t *testing.T, profile string) *phone {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium(t)), chromedp.UserDataDir(profile),
		chromedp.Flag("ignore-certificate-errors", b.scheme == "https")) // the test's own certificate
	ctx, end := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(end)
	ctx, end = chromedp.NewContext(ctx, chromedp.WithErrorf(func(string, ...any) {})) // events newer than the client are noise
	t.Cleanup(end)
	p := &phone{t: t, b: b, ctx: ctx}
	p.open()
	return p
}

// tab opens the page once more in the same browser.
func (p *phone) tab() *phone {
	p.t.Helper()
	ctx, end := chromedp.NewContext(p.ctx)
	p.t.Cleanup(end)
	other := &phone{t: p.t, b: p.b, ctx: ctx}
	other.open()
	return other
}

func (p *phone) open() {
	p.t.Helper()
	fatal(p.t, chromedp.Do(p.ctx)) // the browser ends with the context of the first call, so without a deadline
	p.do(chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulateScale(2)), chromedp.Navigate(p.b.url("/bank")))
	p.ready()
}

func (p *phone) ready() { p.t.Helper(); p.until(`document.documentElement.dataset.ready === "yes"`) }

// do fails the test, with what the page shows, when a step does not end.
func (p *phone) do(steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	ctx, stop := context.WithTimeout(p.ctx, 20*time.Second)
	defer stop()
	if err := chromedp.Do(ctx, steps...); err != nil {
		p.t.Fatalf("%v; the page shows:\n%s", err, p.shown())
	}
}

func value[T any](p *phone, script string) T {
	p.t.Helper()
	ctx, stop := context.WithTimeout(p.ctx, 20*time.Second)
	defer stop()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
	if err != nil {
		p.t.Fatalf("%s: %v", script, err)
	}
	return v
}

func (p *phone) shown() string {
	ctx, stop := context.WithTimeout(p.ctx, 5*time.Second)
	defer stop()
	text, err := chromedp.Run(ctx, chromedp.Evaluate[string](`document.body.innerText`))
	if err != nil {
		return err.Error()
	}
	return text
}

// until waits for a condition on the page.
func (p *phone) until(condition string) {
	p.t.Helper()
	ctx, stop := context.WithTimeout(p.ctx, 15*time.Second)
	defer stop()
	if _, err := chromedp.Run(ctx, chromedp.Poll[bool](condition)); err != nil {
		p.t.Fatalf("%s did not come: %v; the page shows:\n%s", condition, err, p.shown())
	}
}

func (p *phone) untilShown(id, text string) {
	p.t.Helper()
	p.until(fmt.Sprintf(`document.getElementById(%q).textContent.includes(%q)`, id, text))
}

// apart is the time after which two touches are two; the page takes half a
// second.
const apart = 520 * time.Millisecond

// press touches the button of a label.
func (p *phone) press(label string) {
	p.t.Helper()
	time.Sleep(apart)
	p.do(chromedp.Tap(fmt.Sprintf(`//button[normalize-space()=%q]`, label), chromedp.NodeVisible))
}

// logs presses a button and waits until the page says that it is kept.
func (p *phone) logs(label string, says ...string) {
	p.t.Helper()
	before := value[int](p, countLogged)
	p.press(label)
	p.until(fmt.Sprintf(`(%s).then((n) => n > %d)`, countLogged, before))
	p.untilShown("sending", append(says, label)[0]+", ")
}

const countLogged = `import("/bank/queue.js").then((q) => q.entries()).then((all) => all.length)`

// begin fills in the first form.
func (p *phone) begin(water string) {
	p.t.Helper()
	p.until(`!document.getElementById("begin").hidden`)
	p.do(
		chromedp.SetValue(chromedp.CSS(`[name=water]`), water), chromedp.SetValue(chromedp.CSS(`[name=angler]`), "sedge"),
		chromedp.SetValue(chromedp.CSS(`[name=group]`), "bream"), chromedp.SetValue(chromedp.CSS(`[name=rate]`), "90"),
	)
	p.press("Begin")
	p.until(`!document.getElementById("fishing").hidden`)
}

// entry is an event as the phone keeps it.
type entry struct {
	Session string      `json:"session"`
	Event   model.Event `json:"event"`
	Sent    bool        `json:"sent"`
	Refused string      `json:"refused"`
}

func (p *phone) kept() []entry {
	p.t.Helper()
	text := value[string](p, `import("/bank/queue.js").then((q) => q.entries()).then((all) => JSON.stringify(all))`)
	var all []entry
	fatal(p.t, json.NewDecoder(bytes.NewReader([]byte(text))).Decode(&all))
	return all
}

func (p *phone) session() string {
	p.t.Helper()
	return value[string](p, `import("/bank/queue.js").then((q) => q.get("current"))`)
}

// loseSignal cuts the way to the server, and tells the browser so.
func (p *phone) loseSignal() { p.t.Helper(); p.b.signal.set(true); p.emulate(true) }

func (p *phone) findSignal() { p.t.Helper(); p.b.signal.set(false); p.emulate(false) }

func (p *phone) emulate(offline bool) {
	p.t.Helper()
	p.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		rules := []*network.Conditions{{Offline: offline, DownloadThroughput: -1, UploadThroughput: -1}}
		if _, err := chromedp.Call(ctx, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: rules}); err != nil {
			return err
		}
		_, err := chromedp.Call(ctx, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: offline, DownloadThroughput: -1, UploadThroughput: -1})
		return err
	}))
}

// die kills the browser as an empty battery would.
func (p *phone) die() {
	p.t.Helper()
	browser := chromedp.FromContext(p.ctx).Browser
	fatal(p.t, browser.Process().Kill())
	<-browser.LostConnection
}

func (p *phone) scheme(name string) {
	p.t.Helper()
	p.do(chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
		features := []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: name}}
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features})
		return err
	}))
}
