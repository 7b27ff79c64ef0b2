package timing_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"osier/model/timing"
)

// The casts that speak of the hook length.
var (
	hookFish    = timing.HookCast{Bite: true}
	hookMissed  = timing.HookCast{Bite: true, Missed: true}
	hookDropped = timing.HookCast{Bite: true, OnTheDrop: true}
	hookBoth    = timing.HookCast{Bite: true, Missed: true, OnTheDrop: true}
	hookLiner   = timing.HookCast{LineBites: true}
	hookBlank   = timing.HookCast{}
)

// hooked is a question in water of 6 to 10 C for bream, where the plan's range is
// 60 to 100 cm (trade pack, 3.6), with 80 cm tied on.
func hooked(casts ...timing.HookCast) timing.HookInput {
	return timing.HookInput{Casts: casts, LengthCm: 80, LowCm: 60, HighCm: 100}
}

func TestTheHookLength(t *testing.T) {
	times := func(n int, c timing.HookCast) (out []timing.HookCast) {
		for range n {
			out = append(out, c)
		}
		return out
	}
	and := func(lists ...[]timing.HookCast) (out []timing.HookCast) {
		for _, l := range lists {
			out = append(out, l...)
		}
		return out
	}
	for _, c := range []struct {
		name  string
		casts []timing.HookCast
		want  timing.HookPiece
	}{
		{"nothing yet", nil, timing.HookPiece{Act: timing.KeepHook, Reason: timing.NoTrigger}},

		{"three bites, all missed", times(3, hookMissed), timing.HookPiece{Act: timing.KeepHook, Reason: timing.NoTrigger}},
		{"a fourth", times(4, hookMissed), timing.HookPiece{Act: timing.ShortenHook, Reason: timing.BitesMissed, Seen: 4, Of: 4, ToCm: 60, Weak: true}},
		{"half of four missed", and(times(2, hookFish), times(2, hookMissed)), timing.HookPiece{Act: timing.ShortenHook, Reason: timing.BitesMissed, Seen: 2, Of: 4, ToCm: 60, Weak: true}},
		{"fewer than half", and(times(3, hookFish), times(2, hookMissed)), timing.HookPiece{Act: timing.KeepHook, Reason: timing.NoTrigger}},
		{"blank casts between them", and(times(2, hookFish), times(5, hookBlank), times(2, hookMissed)), timing.HookPiece{Act: timing.ShortenHook, Reason: timing.BitesMissed, Seen: 2, Of: 4, ToCm: 60, Weak: true}},
		{"four of seven is weak", and(times(3, hookFish), times(4, hookMissed)), timing.HookPiece{Act: timing.ShortenHook, Reason: timing.BitesMissed, Seen: 4, Of: 7, ToCm: 60, Weak: true}},
		{"four of eight is some", and(times(4, hookFish), times(4, hookMissed)), timing.HookPiece{Act: timing.ShortenHook, Reason: timing.BitesMissed, Seen: 4, Of: 8, ToCm: 60}},

		{"three on the drop", times(3, hookDropped), timing.HookPiece{Act: timing.KeepHook, Reason: timing.NoTrigger}},
		{"four on the drop", times(4, hookDropped), timing.HookPiece{Act: timing.LengthenHook, Reason: timing.BitesOnTheDrop, Seen: 4, Of: 4, ToCm: 100, Weak: true}},
		{"half of them", and(times(2, hookFish), times(2, hookDropped)), timing.HookPiece{Act: timing.LengthenHook, Reason: timing.BitesOnTheDrop, Seen: 2, Of: 4, ToCm: 100, Weak: true}},
		{"fewer than half of them", and(times(3, hookFish), times(2, hookDropped)), timing.HookPiece{Act: timing.KeepHook, Reason: timing.NoTrigger}},
		{"missed on the drop asks for both", times(4, hookBoth), timing.HookPiece{Act: timing.KeepHook, Reason: timing.SignsDiffer, Seen: 4, Of: 4, Weak: true}},

		{"five casts with liners", times(5, hookLiner), timing.HookPiece{Act: timing.KeepHook, Reason: timing.NoTrigger}},
		{"six", times(6, hookLiner), timing.HookPiece{Act: timing.LengthenHook, Reason: timing.LinersNoBite, Seen: 6, Of: 6, ToCm: 100, Weak: true}},
		{"liners in some of six", and(times(3, hookLiner), times(3, hookBlank)), timing.HookPiece{Act: timing.LengthenHook, Reason: timing.LinersNoBite, Seen: 3, Of: 6, ToCm: 100, Weak: true}},
		{"twenty with liners are no missed bites", times(20, hookLiner), timing.HookPiece{Act: timing.LengthenHook, Reason: timing.LinersNoBite, Seen: 20, Of: 20, ToCm: 100, Weak: true}},
		{"liners make no fourth bite", and(times(9, hookLiner), times(3, hookMissed)), timing.HookPiece{Act: timing.KeepHook, Reason: timing.NoTrigger}},
		{"liners, then a bite", and(times(6, hookLiner), times(1, hookFish)), timing.HookPiece{Act: timing.KeepHook, Reason: timing.NoTrigger}},

		{"five blanks", times(5, hookBlank), timing.HookPiece{Act: timing.KeepHook, Reason: timing.NoTrigger}},
		{"six blanks", times(6, hookBlank), timing.HookPiece{Act: timing.LengthenHook, Reason: timing.CastsWithNoBite, Of: 6, ToCm: 100, Weak: true}},
		{"a bite before five", and(times(1, hookFish), times(5, hookBlank)), timing.HookPiece{Act: timing.KeepHook, Reason: timing.NoTrigger}},
		{"a bite before six", and(times(1, hookFish), times(6, hookBlank)), timing.HookPiece{Act: timing.LengthenHook, Reason: timing.CastsWithNoBite, Of: 6, ToCm: 100, Weak: true}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := timing.AdviseHook(hooked(c.casts...))
			if err != nil || got != c.want {
				t.Errorf("%+v, %v, want %+v", got, err, c.want)
			}
		})
	}
}

// A quarter shorter or a third longer, in steps of 5 cm, within the plan's range,
// and nothing where no difference would be seen.
func TestTheHookLengthStaysInThePlansRange(t *testing.T) {
	missed := []timing.HookCast{hookMissed, hookMissed, hookMissed, hookMissed}
	dropped := []timing.HookCast{hookDropped, hookDropped, hookDropped, hookDropped}
	for _, c := range []struct {
		name     string
		casts    []timing.HookCast
		lengthCm float64
		want     timing.Act
		toCm     float64
		reason   timing.Reason
	}{
		{"not known: a quarter of whatever it is", missed, 0, timing.ShortenHook, 0, timing.BitesMissed},
		{"a quarter of 100", missed, 100, timing.ShortenHook, 75, timing.BitesMissed},
		{"a quarter of 75 would leave the range", missed, 75, timing.ShortenHook, 60, timing.BitesMissed},
		{"63.2 can be made 60", missed, 63.2, timing.ShortenHook, 60, timing.BitesMissed},
		{"62.8 is short already", missed, 62.8, timing.KeepHook, 0, timing.HookAtShortEnd},
		{"at the short end", missed, 60, timing.KeepHook, 0, timing.HookAtShortEnd},
		{"below it", missed, 40, timing.KeepHook, 0, timing.HookAtShortEnd},
		{"far above the range", missed, 200, timing.ShortenHook, 100, timing.BitesMissed},
		{"a third of 60", dropped, 60, timing.LengthenHook, 80, timing.BitesOnTheDrop},
		{"a third of 90 would leave the range", dropped, 90, timing.LengthenHook, 100, timing.BitesOnTheDrop},
		{"95 can be made 100", dropped, 95, timing.LengthenHook, 100, timing.BitesOnTheDrop},
		{"96 is long already", dropped, 96, timing.KeepHook, 0, timing.HookAtLongEnd},
		{"far below the range", dropped, 20, timing.LengthenHook, 60, timing.BitesOnTheDrop},
		{"above it", dropped, 120, timing.KeepHook, 0, timing.HookAtLongEnd},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := hooked(c.casts...)
			in.LengthCm = c.lengthCm
			got, err := timing.AdviseHook(in)
			if err != nil || got.Act != c.want || got.ToCm != c.toCm || got.Reason != c.reason {
				t.Errorf("%+v, %v, want %s to %g cm for %s", got, err, c.want, c.toCm, c.reason)
			}
		})
	}
}

// Every other change rests on figures of the session; more feed cannot be taken
// back, and is to wait.
func TestTheHookLengthWaitsForAnyOtherChangeButMoreFeed(t *testing.T) {
	for other, want := range map[timing.Act]timing.Act{
		"": timing.ShortenHook, timing.KeepFeed: timing.ShortenHook, timing.Hold: timing.ShortenHook, timing.FeedUp: timing.ShortenHook,
		timing.FeedDown: timing.KeepHook, timing.LeaveLonger: timing.KeepHook, timing.RecastSooner: timing.KeepHook, timing.ChangePlace: timing.KeepHook,
	} {
		in := hooked(hookMissed, hookMissed, hookMissed, hookMissed)
		in.Other = other
		got, err := timing.AdviseHook(in)
		if err != nil || got.Act != want || want == timing.KeepHook && got.Reason != timing.OneAtATime {
			t.Errorf("beside %q: %+v, %v, want %s", other, got, err, want)
		}
	}
}

func TestTheHookLengthRefusesWrongInput(t *testing.T) {
	for says, change := range map[string]func(*timing.HookInput){
		"the range is from 0":    func(in *timing.HookInput) { in.LowCm, in.HighCm = 0, 0 },
		"the range is from 101":  func(in *timing.HookInput) { in.LowCm = 101 },
		"to NaN cm":              func(in *timing.HookInput) { in.HighCm = math.NaN() },
		"to +Inf cm":             func(in *timing.HookInput) { in.HighCm = math.Inf(1) },
		"the length in use is -": func(in *timing.HookInput) { in.LengthCm = -1 },
		"in use is NaN":          func(in *timing.HookInput) { in.LengthCm = math.NaN() },
	} {
		in := hooked()
		change(&in)
		if _, err := timing.AdviseHook(in); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("the error is %v, want it to say %q", err, says)
		}
	}
}

// Whatever the casts: no change within two casts of the last one, none beside
// a change of line, none out of the plan's range, none the wrong way, and line bites
// neither add to the bites nor take from them.
func TestTheHookLengthKeepsItsRulesInAnySession(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		casts := rapid.SliceOfN(rapid.SampledFrom([]timing.HookCast{hookFish, hookMissed, hookDropped, hookBoth, hookLiner, hookBlank}), 0, 14).Draw(t, "casts")
		low := rapid.Float64Range(1, 150).Draw(t, "low")
		in := timing.HookInput{
			Casts: casts, LowCm: low, HighCm: low + rapid.Float64Range(0, 100).Draw(t, "wide"),
			LengthCm: rapid.Float64Range(0, 300).Draw(t, "length"), Other: rapid.SampledFrom([]timing.Act{"", timing.FeedUp, timing.ChangePlace, timing.Stay}).Draw(t, "other"),
		}
		p, err := timing.AdviseHook(in)
		if err != nil {
			t.Fatal(err)
		}
		if p.Act.IsChange() && (len(casts) <= 2 || in.Other == timing.ChangePlace) {
			t.Errorf("%+v after %d casts, beside %q", p, len(casts), in.Other)
		}
		if p.ToCm != 0 && (p.ToCm < in.LowCm || p.ToCm > in.HighCm || !p.Act.IsChange()) {
			t.Errorf("to %g cm, the range is from %g to %g", p.ToCm, in.LowCm, in.HighCm)
		}
		if in.LengthCm > 0 && (p.Act == timing.ShortenHook && !(p.ToCm < in.LengthCm) || p.Act == timing.LengthenHook && !(p.ToCm > in.LengthCm)) {
			t.Errorf("%s from %g to %g cm", p.Act, in.LengthCm, p.ToCm)
		}
		for i := range in.Casts {
			if in.Casts[i].LineBites {
				in.Casts[i].LineBites = false
			}
		}
		without, err := timing.AdviseHook(in)
		if err != nil {
			t.Fatal(err)
		}
		if (p.Reason == timing.BitesMissed || p.Reason == timing.BitesOnTheDrop) && p != without {
			t.Errorf("with line bites %+v, without %+v", p, without)
		}
	})
}
