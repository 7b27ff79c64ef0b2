//go:build browser

package main

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"osier/model"
)

// settable gives every tab of a phone a clock that a test sets, and a screen that
// stays on or does not. What nobody can set goes on as it does.
const settable = `{ const Real = Date; const ahead = () => Number(localStorage.aheadMs || 0);
	globalThis.Date = class extends Real { constructor(...a) { super(...(a.length ? a : [Real.now() + ahead()])); } static now() { return Real.now() + ahead(); } };
	const screen = { request: async () => { if (localStorage.screenOff) throw new Error("saving"); return new EventTarget(); } };
	Object.defineProperty(navigator, "wakeLock", { value: screen }); }`

func (p *phone) settable() {
	p.t.Helper()
	p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: settable})
		return err
	}), chromedp.Reload())
	p.ready()
}

// setClock sets the clock to so far ahead of the right time.
func (p *phone) setClock(ahead time.Duration) {
	p.t.Helper()
	value[bool](p, fmt.Sprintf(`(localStorage.aheadMs = %d, true)`, ahead.Milliseconds()))
}

// A clock that is set between two casts, without a signal: by hand or by the
// network, back or forward, right before or after it.
func TestBankWhenTheClockIsSet(t *testing.T) {
	b := newBankside(t)
	for _, c := range []struct {
		name          string
		first, second time.Duration // ahead
		screenOff     bool
		query         string // of the server
	}{
		{"put back", 0, -3 * time.Hour, true, "right, then 180 min behind"},
		{"put forward while the screen is kept on", 0, 3 * time.Hour, false, "right, then 180 min ahead"},
		{"put right, from three hours fast", 3 * time.Hour, 0, true, "180 min ahead, then right"},
		{"put right, from three hours slow", -3 * time.Hour, 0, false, "180 min behind, then right"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := b.newPhone(t, t.TempDir())
			p.setClock(c.first)
			value[bool](p, fmt.Sprintf(`(%t ? localStorage.screenOff = "yes" : 0, true)`, c.screenOff))
			p.settable()
			p.begin("quillmarsh-pit")
			b.signal.set(true)
			defer b.signal.set(false)
			began := time.Now()
			p.logs("Cast made")
			p.setClock(c.second)
			p.logs("Settled")
			p.logs("Bite")
			p.do(chromedp.Reload()) // what was counted outlives the page
			p.ready()
			p.logs("Fish landed")
			if clock := value[string](p, `document.getElementById("clock").textContent`); !strings.HasPrefix(clock, "0:") {
				t.Errorf("the clock shows %s seconds after the cast", clock)
			}
			if strip := value[string](p, `document.getElementById("strip").innerText`); !strings.Contains(strip, "fish") || !strings.HasPrefix(strings.TrimPrefix(strip, "1. "), "0.") {
				t.Errorf("the strip shows %q", strip)
			}
			b.signal.set(false)
			value[bool](p, `window.dispatchEvent(new Event("online"))`)
			p.untilShown("sending", "All is sent.")
			var live model.Live
			b.get("/v1/sessions/"+p.session()+"/live", &live)
			if live.Open == nil || live.Open.Cast.Sub(began).Abs() > 30*time.Second || !live.Open.Bitten {
				t.Fatalf("the cast at about %s is at %+v by the server", began.UTC().Format(time.RFC3339), live.Open)
			}
			if lain := live.Open.Settled.Value.Sub(live.Open.Cast); lain < 0 || lain > 30*time.Second {
				t.Errorf("it settled after %s, want a second or so", lain)
			}
			if q := fmt.Sprint(live.Session.Queries); !strings.Contains(q, c.query) {
				t.Errorf("queries %s, want %q", q, c.query)
			}
		})
	}
}

// A phone that may have slept for an hour was not set forward by one; and what
// another tab has counted is not counted again.
func TestBankDoesNotTakeANapForASetClock(t *testing.T) {
	b := newBankside(t)
	one := b.newPhone(t, t.TempDir())
	one.setClock(0)
	value[bool](one, `(localStorage.screenOff = "yes", true)`)
	one.settable()
	one.begin("quillmarsh-pit")
	one.setClock(time.Hour) // as after a nap: the clock went on, and the count did not
	one.logs("Cast made")
	two := one.tab()
	two.settable()
	two.setClock(30 * time.Minute)
	two.logs("Settled")
	one.logs("Bite")
	for _, e := range one.kept() {
		want := map[model.EventKind]float64{model.EventSettled: -1800, model.EventBite: -1800}[e.Event.Kind]
		if math.Abs(e.Event.ClockSetS-want) > 1 {
			t.Errorf("%s: the clock was set by %g s, want %g", e.Event.Kind, e.Event.ClockSetS, want)
		}
	}
}

// Both sides of 2 s, and of having slept.
func TestBankTellsASetClockFromADriftAndANap(t *testing.T) {
	p := newBankside(t).newPhone(t, t.TempDir())
	for _, c := range []struct {
		name            string
		wallMs, steady  float64 // gone by since the last look
		countedMs, want float64
		keptOn          bool
	}{
		{"together", 1000, 1000, 0, 0, true},
		{"2 s apart", 3000, 1000, 0, 0, true},
		{"more", 3001, 1000, 0, 2001, true},
		{"more, and it may have slept", 3001, 1000, 0, 0, false},
		{"2 s back", -1000, 1000, 0, 0, false},
		{"more, asleep or not", -1001, 1000, 0, -2001, false},
		{"an hour, and another tab has counted it", 3601000, 1000, 3600000, 0, true},
		{"an hour, of which another tab has counted half", 3601000, 1000, 1800000, 1800000, true},
		{"a nap, and another tab knows better", 3601000, 1000, 3600000, 0, false},
		{"an hour back that another tab has counted", -3599000, 1000, -3600000, 0, false},
	} {
		got := value[float64](p, fmt.Sprintf(`import("/bank/clock.js").then((m) => m.setBy({ wall: 5e12, steady: 700 }, { wall: 5e12 + %g, steady: 700 + %g }, %g, %t))`, c.wallMs, c.steady, c.countedMs, c.keptOn))
		if got != c.want {
			t.Errorf("%s: set by %g ms, want %g", c.name, got, c.want)
		}
	}
}
