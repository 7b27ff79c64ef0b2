//go:build browser

package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"

	"osier/model"
)

// randomLog makes a log as phones do: times and kinds that often meet, and
// corrections and withdrawals of what came before.
func randomLog(r *rand.Rand) []model.Event {
	kinds := []model.EventKind{
		model.EventStart, model.EventCast, model.EventCast, model.EventSettled, model.EventBite, model.EventMissed, model.EventLost,
		model.EventFish, model.EventLineBite, model.EventFill, model.EventPause, model.EventEnd, model.EventWithdraw, model.EventWithdraw,
	}
	begin := time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)
	var events []model.Event
	set := r.IntN(3) == 0 // the clock is set while it logs
	for i := range 3 + r.IntN(14) {
		e := model.Event{ID: fmt.Sprintf("e%02d", r.IntN(10)*10+i%10), Kind: kinds[r.IntN(len(kinds))], At: begin.Add(time.Duration(r.IntN(12)) * time.Minute)}
		e.MadeAt = model.Known(e.At.Add(time.Duration(r.IntN(3)) * time.Minute))
		if slices.ContainsFunc(events, func(o model.Event) bool { return o.ID == e.ID }) {
			continue
		}
		if set {
			e.ClockSetS = float64(r.IntN(3)*450 - 300)
			by := time.Duration(e.ClockSetS) * time.Second
			e.At, e.MadeAt.Value = e.At.Add(by), e.MadeAt.Value.Add(by)
		}
		if e.Kind == model.EventStart {
			e.Start = &model.EventStartOf{Water: "quillmarsh-pit", Angler: "sedge", Group: model.Bream}
		}
		if len(events) > 0 && (e.Kind == model.EventWithdraw || r.IntN(4) == 0) {
			e.Replaces = events[r.IntN(len(events))].ID
		}
		if e.Kind == model.EventWithdraw && e.Replaces == "" {
			e.Replaces = "gone"
		}
		events = append(events, e)
	}
	r.Shuffle(len(events), func(i, j int) { events[i], events[j] = events[j], events[i] })
	return events
}

// What the page makes of a log is what the server makes of it: the same events
// hold, in the same order, and every cast came to the same.
func TestBankReadsALogAsTheServerDoes(t *testing.T) {
	p := newBankside(t).newPhone(t, t.TempDir())
	r := rand.New(rand.NewPCG(5, 6))
	came := map[model.Outcome][]string{
		model.NoBite: {"none"}, model.LineBite: {"line_bite"}, model.MissedBite: {"bite", "missed"}, model.FishLost: {"lost"}, model.FishLanded: {"fish"},
	}
	ended, told := 0, 0
	for range 600 {
		events := randomLog(r)
		body, err := json.Marshal(events)
		fatal(t, err)
		got := value[struct {
			IDs   []string
			Phase string
			Casts []string
		}](p, fmt.Sprintf(`import("/bank/state.js").then(({ fold, inForce, onClock }) => {
			const events = %s.map((e) => onClock(e, 150));
			const s = fold(events);
			return { IDs: inForce(events).map((e) => e.id), Phase: s.phase, Casts: s.casts.map((c) => c.came) };
		})`, body))
		var logged []model.LoggedEvent
		for _, e := range events {
			logged = append(logged, model.LoggedEvent{Event: e, Skew: -time.Duration(e.ClockSetS) * time.Second})
		}
		ids := []string{}
		for _, e := range model.InForce(logged) {
			ids = append(ids, e.ID)
		}
		if diff := cmp.Diff(ids, got.IDs); diff != "" {
			t.Fatalf("of %s hold by the server (-) and by the page (+):\n%s", body, diff)
		}
		live, err := model.BuildLive("s-live", logged)
		if err != nil {
			continue // no start, or no cast
		}
		told++
		if live.Ended {
			ended++
		}
		if (got.Phase == "ended") != live.Ended || (got.Phase == "paused") != live.PausedAt.Known || (got.Phase == "flying" || got.Phase == "fishing") != (live.Open != nil) {
			t.Fatalf("%s: the page is in the phase %s; ended %t, paused %t, open %v", body, got.Phase, live.Ended, live.PausedAt.Known, live.Open)
		}
		if len(live.Soaks) != len(got.Casts) {
			t.Fatalf("%s: %d casts by the server, %q by the page", body, len(live.Soaks), got.Casts)
		}
		if len(live.Session.Casts) != len(got.Casts) {
			continue // a cast of no length is left out of the record
		}
		for i, c := range live.Session.Casts {
			if !slices.Contains(came[c.Outcome], got.Casts[i]) {
				t.Fatalf("%s: cast %d came to %s by the server, to %s by the page", body, i+1, c.Outcome, got.Casts[i])
			}
		}
	}
	if told < 30 || ended < 10 {
		t.Errorf("only %d logs tell of a session, and %d of one that ended", told, ended)
	}
}

// A phone whose clock is three hours fast: the page runs by it, and the server
// puts every time right.
func TestBankOnAPhoneWithAWrongClock(t *testing.T) {
	const fast = `{ const Real = Date; const ahead = 3 * 3600 * 1000;
		globalThis.Date = class extends Real { constructor(...a) { super(...(a.length ? a : [Real.now() + ahead])); } static now() { return Real.now() + ahead; } }; }`
	b := newBankside(t)
	p := b.newPhone(t, t.TempDir())
	p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: fast})
		return err
	}), chromedp.Reload())
	p.ready()
	began := time.Now()
	p.begin("quillmarsh-pit")
	b.signal.set(true)
	p.logs("Cast made")
	p.logs("Settled")
	b.signal.set(false)
	value[bool](p, `window.dispatchEvent(new Event("online"))`)
	p.untilShown("sending", "All is sent.")
	if off := p.kept()[0].Event.At.Sub(began); off < 2*time.Hour {
		t.Fatalf("the phone's clock is %s fast, want some three hours", off)
	}
	var live model.Live
	b.get("/v1/sessions/"+p.session()+"/live", &live)
	if live.Open == nil || live.Open.Cast.Sub(began).Abs() > 30*time.Second {
		t.Errorf("the cast at about %s is at %+v by the server", began.UTC().Format(time.RFC3339), live.Open)
	}
}
