//go:build browser

package main

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"

	"osier/model"
)

// face is what the page tells at a glance, but for the running clock.
const face = `["buttons", "more", "strip"].map((id) => document.getElementById(id).innerText).join("\n")`

// A whole session without a signal: the page reloaded and the browser killed on
// the way, and every event on the server once.
func TestBankSessionWithoutASignal(t *testing.T) {
	b := newBankside(t)
	profile := t.TempDir()
	p := b.newPhone(t, profile)
	value[bool](p, `navigator.serviceWorker.ready.then(() => true)`)
	p.loseSignal()
	p.do(chromedp.Reload())
	p.ready()
	p.begin("quillmarsh-pit")
	for _, label := range []string{"Cast made", "Settled", "Bite", "Fish landed"} {
		p.logs(label)
	}
	p.press("Describe fish")
	p.do(chromedp.SetValue(chromedp.CSS(`[name=fish_g]`), "1450"))
	p.press("Keep")
	p.untilShown("strip", "fish: bream, 1450 g")
	for _, label := range []string{"Wound in, refilled", "Cast made", "Settled", "Line bite"} {
		p.logs(label)
	}
	p.untilShown("sending", "10 not sent yet, kept in this phone: no signal")

	before := value[string](p, face)
	p.do(chromedp.Reload())
	p.ready()
	if diff := cmp.Diff(before, value[string](p, face)); diff != "" {
		t.Errorf("after a reload (-before +after):\n%s", diff)
	}

	p.logs("Bite")
	before = value[string](p, face)
	p.die()
	p = b.newPhone(t, profile)
	if diff := cmp.Diff(before, value[string](p, face)); diff != "" {
		t.Errorf("after the browser was killed (-before +after):\n%s", diff)
	}
	p.emulate(true)
	p.logs("Missed it")
	p.logs("Undo: missed it", "Taken back")
	p.logs("Lost it")
	p.logs("Pause")
	p.logs("Cast made")
	p.logs("End session")
	p.untilShown("sending", "17 not sent yet")
	session, kept := p.session(), p.kept()
	if stored := b.events(session); len(stored) != 0 {
		t.Fatalf("%d events came through without a signal", len(stored))
	}

	p.findSignal()
	p.untilShown("sending", "All is sent.")
	p.untilShown("recordline", "The record is stored.")
	onPhone, onServer := map[string]int{}, map[string]int{}
	for _, e := range kept {
		onPhone[fmt.Sprint(e.Event.ID, " ", e.Event.Kind)]++
	}
	for _, e := range b.events(session) {
		onServer[fmt.Sprint(e.ID, " ", e.Kind)]++
	}
	if diff := cmp.Diff(onPhone, onServer); diff != "" || len(onServer) != 17 {
		t.Errorf("events in the phone (-) and on the server (+):\n%s", diff)
	}
	var live model.Live
	b.get("/v1/sessions/"+session+"/live", &live)
	var came []string
	for _, c := range live.Session.Casts {
		came = append(came, fmt.Sprintf("%s %s %g", c.Outcome, c.Group, float64(c.FishG.Or(0))))
	}
	if want := []string{"fish bream 1450", "lost  0", "none  0"}; !slices.Equal(came, want) || !live.Ended {
		t.Errorf("the server tells of %q, ended %t, want %q", came, live.Ended, want)
	}
}

// Two tabs show the same, and send each event once between them.
func TestBankTwoTabs(t *testing.T) {
	b := newBankside(t)
	one := b.newPhone(t, t.TempDir())
	two := one.tab()
	one.begin("quillmarsh-pit")
	two.until(`!document.getElementById("fishing").hidden`)
	b.signal.set(true)
	one.logs("Cast made")
	two.logs("Settled")
	one.logs("Bite")
	two.logs("Undo: bite", "Taken back")
	b.signal.set(false)
	for _, p := range []*phone{one, two} { // both send at once
		value[bool](p, `window.dispatchEvent(new Event("online"))`)
	}
	one.untilShown("sending", "All is sent.")
	two.untilShown("sending", "All is sent.")
	var kinds []string
	for _, e := range b.events(one.session()) {
		kinds = append(kinds, string(e.Kind))
	}
	slices.Sort(kinds)
	if want := []string{"bite", "cast", "settled", "start", "withdraw"}; !slices.Equal(kinds, want) {
		t.Errorf("the server has %v, want %v", kinds, want)
	}
	if a, z := value[string](one, face), value[string](two, face); a != z {
		t.Errorf("one tab shows\n%s\nthe other\n%s", a, z)
	}
}

// A refused event stays in sight with its reason until somebody mends it.
func TestBankRefusedEventIsShownAndMended(t *testing.T) {
	b := newBankside(t)
	p := b.newPhone(t, t.TempDir())
	p.begin("quilmarsh")
	p.untilShown("refusedlist", `there is no water "quilmarsh"`)
	p.logs("Cast made")
	p.press("Water temperature")
	p.do(chromedp.SetValue(chromedp.CSS(`[name=temp_c]`), "81"))
	p.press("Keep")
	p.untilShown("refusedlist", "Water temperature")
	p.do(chromedp.Reload())
	p.ready()
	p.untilShown("refusedlist", `there is no water "quilmarsh"`)
	p.press("Mend it")
	p.do(chromedp.SetValue(chromedp.CSS(`[name=water]`), "quillmarsh-pit"))
	p.press("Begin")
	p.until(`!document.getElementById("refusedlist").textContent.includes("quilmarsh")`)
	p.press("Take it back")
	p.until(`document.getElementById("refused").hidden`)
	p.untilShown("sending", "All is sent.")
	var live model.Live
	b.get("/v1/sessions/"+p.session()+"/live", &live)
	if s := live.Session; s.Water != "quillmarsh-pit" || live.Open == nil || s.WaterTemp.Known || s.Planned.RateGH != model.Known[model.GramsPerHour](90) {
		t.Errorf("the server tells %+v", s)
	}
}

// A shaking hand that touches twice means once.
func TestBankTwoTouchesAtOnceAreOne(t *testing.T) {
	p := newBankside(t).newPhone(t, t.TempDir())
	p.begin("quillmarsh-pit")
	time.Sleep(apart)
	value[bool](p, `(document.querySelector("#buttons button").click(), document.querySelector("#buttons button").click(), true)`)
	p.untilShown("sending", "Cast made")
	p.logs("Settled")
	var kinds []string
	for _, e := range p.kept() {
		kinds = append(kinds, string(e.Event.Kind))
	}
	slices.Sort(kinds)
	if got := strings.Join(kinds, " "); got != "cast settled start" {
		t.Errorf("kept are %s", got)
	}
}

// The advice of the server stands on the page in its own words.
func TestBankShowsTheAdvice(t *testing.T) {
	b := newBankside(t)
	p := b.newPhone(t, t.TempDir())
	p.begin("quillmarsh-pit")
	p.logs("Cast made")
	p.untilShown("sending", "All is sent.")
	var said struct {
		Advice []struct{ Text, Why string }
	}
	b.get("/v1/sessions/"+p.session()+"/advice", &said)
	if len(said.Advice) == 0 || said.Advice[0].Text == "" {
		t.Fatalf("the server advises %+v", said)
	}
	p.untilShown("advice", said.Advice[0].Text)
	p.untilShown("advicewhy", said.Advice[0].Why)
}
