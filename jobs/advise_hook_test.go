package jobs_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"osier/model"
	"osier/model/timing"
)

// castsSaid are casts every ten minutes, the last wound in now: what the letters
// say of each. f is a fish, m a missed bite, b a bite of which no more is told, d a
// bite on the drop that became a fish, l a line bite, - nothing, h a change of the hook length from 80 to 100 cm
// before a cast, u a top-up before one.
func castsSaid(casts string) []string {
	n := len(strings.NewReplacer("h", "", "u", "").Replace(casts))
	out := []string{said("st", "start", 10*float64(n)+5, startOf("reedmere")+`,"hook_length_cm":80`)}
	at := 10 * float64(n)
	for i, c := range casts {
		id := func(kind string) string { return fmt.Sprintf("%s%02d", kind, i) }
		switch c {
		case 'h':
			out = append(out, said(id("h"), "change", at+0.2, `,"hook_length_cm":100`))
			continue
		case 'u':
			out = append(out, said(id("u"), "top_up", at+0.2, `,"fills":2`))
			continue
		}
		out = append(out, said(id("c"), "cast", at, ""))
		settled := said(id("s"), "settled", at-0.4, "")
		switch c {
		case 'f':
			out = append(out, settled, said(id("b"), "bite", at-5, ""), said(id("k"), "fish", at-6, ""))
		case 'm':
			out = append(out, settled, said(id("b"), "bite", at-5, ""), said(id("m"), "missed", at-6, ""))
		case 'b':
			out = append(out, settled, said(id("b"), "bite", at-5, ""))
		case 'd':
			out = append(out, said(id("b"), "bite", at-0.3, ""), said(id("k"), "fish", at-2, ""))
		case 'l':
			out = append(out, settled, said(id("l"), "line_bite", at-5, ""))
		default:
			out = append(out, settled)
		}
		out = append(out, said(id("w"), "fill", at-9, ""))
		at -= 10
	}
	return out
}

// hookAdvice is the piece about the hook length, and where it stands.
func hookAdvice(t *testing.T, a model.BankAdvice) (model.AdvicePiece, int) {
	t.Helper()
	var about []int
	for i, p := range a.Advice {
		if strings.HasSuffix(p.Act, "_hook_length") {
			about = append(about, i)
		}
	}
	if len(about) != 1 {
		t.Fatalf("%d pieces are about the hook length in %+v", len(about), a.Advice)
	}
	return a.Advice[about[0]], about[0]
}

// changesIn counts what is to be changed now.
func changesIn(a model.BankAdvice) (n int) {
	for _, p := range a.Advice {
		if timing.Act(p.Act).IsChange() {
			n++
		}
	}
	return n
}

// In water of 6 to 10 C the plan's range for bream is 60 to 100 cm (trade pack,
// 3.6).
func TestAdviceOnTheHookLength(t *testing.T) {
	for _, c := range []struct {
		name, casts string
		act         timing.Act
		reason      timing.Reason
		text        string
		why, sure   string
	}{
		{"half of four bites missed", "fmfm", timing.ShortenHook, timing.BitesMissed, "Shorten the hook length to about 60 cm: common practice, not from your records.", "2 of 4 true bites", "weak evidence: 4 bites"},
		{"too few bites", "mmm", timing.KeepHook, timing.NoTrigger, "Keep the hook length", "Nothing asks", ""},
		{"missed before the last change", "mmmmhm", timing.KeepHook, timing.NoTrigger, "Keep the hook length", "Nothing asks", ""},
		{"missed again after it", "fffffhmmmm", timing.ShortenHook, timing.BitesMissed, "to about 75 cm", "4 of 4 true bites since the last change", "weak evidence"},
		{"missed before a top-up", "mmmmum", timing.KeepHook, timing.NoTrigger, "Keep the hook length", "Nothing asks", ""},
		{"bites of which no more is told", "bbbbbb", timing.KeepHook, timing.NoTrigger, "Keep the hook length", "Nothing asks", ""},
		{"quick, and nobody said when it settled", "dddddd", timing.KeepHook, timing.NoTrigger, "Keep the hook length", "Nothing asks", ""},
		{"on the drop", "-dddd", timing.LengthenHook, timing.BitesOnTheDrop, "Lengthen the hook length to about 100 cm: common practice, not from your records.", "4 of 4 true bites since the last change came as the bait sank", "weak evidence: 4 bites"},
		{"on the drop, at the long end", "-hdddd", timing.KeepHook, timing.HookAtLongEnd, "Keep the hook length", "at the long end", ""},
		{"six with line bites: less feed comes first", "llllllll", timing.KeepHook, timing.OneAtATime, "Keep the hook length", "One change at a time", ""},
		{"six without a bite, and soaks are too long: they come first", "--------", timing.KeepHook, timing.OneAtATime, "Keep the hook length", "One change at a time", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			b.putWeather(t)
			b.take(t, castsSaid(c.casts)...)
			a := b.advice(t)
			p, place := hookAdvice(t, a)
			if p.Act != string(c.act) || p.Reason != string(c.reason) || !strings.Contains(p.Text, c.text) || !strings.Contains(p.Why, c.why) || !strings.Contains(p.Sure, c.sure) {
				t.Errorf("%+v, want %s for %s, %q", p, c.act, c.reason, c.text)
			}
			if quick := strings.ContainsAny(c.casts, "d"); quick && c.act.IsChange() && !slices.ContainsFunc(a.Advice, func(p model.AdvicePiece) bool { return p.Act == "keep_feed" && p.Reason == "one_change_at_a_time" }) {
				t.Errorf("quick bites ask for more feed, which is to wait: %+v", a.Advice)
			}
			if c.act.IsChange() && (place != 0 || changesIn(a) != 1) {
				t.Errorf("it stands at %d of %+v", place, a.Advice)
			}
		})
	}
}

// A bite on the cast in the water says nothing yet: it may be a fish.
func TestTheCastInTheWaterSaysNothingOfTheHookLength(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	told := castsSaid("ffmm")
	b.take(t, told[:len(told)-2]...) // the last bite was struck at, and the cast is not wound in
	if p, _ := hookAdvice(t, b.advice(t)); p.Act != string(timing.KeepHook) {
		t.Errorf("%+v, want to keep it while the fourth bite is open", p)
	}
	b.take(t, told[len(told)-2:]...)
	if p, _ := hookAdvice(t, b.advice(t)); p.Act != string(timing.ShortenHook) {
		t.Errorf("%+v, want a shorter one", p)
	}
}

// Where a caution says stop, nothing else is said, whatever the bites ask for.
func TestWhereFishingMustStopTheHookLengthIsNoMatter(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	b.take(t, castsSaid("mmmm")...)
	if p, _ := hookAdvice(t, b.advice(t)); p.Act != string(timing.ShortenHook) {
		t.Fatalf("%+v, want a shorter one while nothing forbids to fish", p)
	}
	done(t, b.db.PutReport(t.Context(), model.Report{ID: "r-1", Water: "reedmere", Kind: model.HeardThunder, At: b.now.Add(-time.Minute)}))
	if a := b.advice(t); len(a.Advice) != 1 || a.Advice[0].Act != "stop" {
		t.Errorf("with thunder heard: %+v, want to stop and nothing else", a.Advice)
	}
}

// Whatever happened: at most one change is advised, and none of the hook length
// within three casts of any change. (In package timing the same holds of any casts.)
func TestAtMostOneChangeIsAdvised(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	advisor, advised, r := b.advisor(), map[string]int{}, rand.New(rand.NewPCG(3, 6))
	for n := range 40 {
		mood := []string{"fmmb-", "fdd", "l-", "fmdl-hu"}[n%4]
		var casts string
		for range 2 + r.IntN(10) {
			casts += mood[r.IntN(len(mood)):][:1]
		}
		casts += mood[:1]
		id := fmt.Sprintf("s-%d", n)
		_, err := b.live().TakeEvents(t.Context(), id, batchOf(b.now, castsSaid(casts)...))
		done(t, err)
		a, err := advisor.Advice(t.Context(), id)
		done(t, err)
		if changesIn(a) > 1 {
			t.Errorf("%s: %d changes at once in %+v", casts, changesIn(a), a.Advice)
		}
		p, _ := hookAdvice(t, a)
		advised[p.Act]++
		since := len(casts) - 1 - strings.LastIndexAny(casts, "hu")
		if timing.Act(p.Act).IsChange() && (since < 4 || !strings.Contains(p.Text, "common practice, not from your records")) {
			t.Errorf("%s: %+v", casts, p)
		}
	}
	for _, act := range []timing.Act{timing.KeepHook, timing.ShortenHook, timing.LengthenHook} {
		if advised[string(act)] == 0 {
			t.Errorf("%s was never advised: %v", act, advised)
		}
	}
}

// Nothing is said of the hook length where a caution stops fishing, nor after
// the end.
func TestNoAdviceOnTheHookLengthWhereNothingIsAdvised(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	b.take(t, append(castsSaid("mmmm"), said("en", "end", 0, ""))...)
	if a := b.advice(t); slices.ContainsFunc(a.Advice, func(p model.AdvicePiece) bool { return strings.Contains(p.Act, "hook") }) {
		t.Errorf("after the end: %+v", a.Advice)
	}
}
