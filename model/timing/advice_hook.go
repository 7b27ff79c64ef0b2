package timing

import (
	"fmt"
	"math"
)

// The acts on the hook length: common practice (trade pack, 3.6), and nothing
// that was learnt from anybody's casts.
const (
	ShortenHook  Act = "shorten_hook_length"
	LengthenHook Act = "lengthen_hook_length"
	KeepHook     Act = "keep_hook_length"
)

// The reasons of the hook length alone; it shares LinersNoBite, OneAtATime and
// NoTrigger with the others.
const (
	BitesMissed     Reason = "bites_missed"
	BitesOnTheDrop  Reason = "bites_on_the_drop"
	CastsWithNoBite Reason = "casts_without_bites"
	SignsDiffer     Reason = "signs_differ"
	HookAtShortEnd  Reason = "hook_length_at_short_end"
	HookAtLongEnd   Reason = "hook_length_at_long_end"
)

// What makes the hook length worth a change; our choice. All of it counts from
// the last change of anything, and is more casts than a change is given to show.
const (
	hookBites  = 4             // true bites, before their missed ones or those on the drop are judged
	hookShare  = 0.5           // of them that must be so
	hookBlanks = 6             // casts running without a true bite: later than less feed is tried
	hookStep   = 0.75          // a shorter one, of the longer; as one thing to try next time has it
	hookRound  = 5.0           // cm
	hookSeen   = 1.05          // a smaller change nobody could see
	hookFew    = 2 * hookBites // under which the bites are weak evidence
)

// HookCast is what one cast, wound in, says of the hook length. A bait crushed
// without a pull would say something too, but no event tells of it.
type HookCast struct {
	Bite      bool // a true bite, whatever came of it
	Missed    bool // and no fish was felt
	OnTheDrop bool // the bite came while the bait sank
	LineBites bool // which are no bites
}

// HookInput is what advice on the hook length goes by.
type HookInput struct {
	Casts         []HookCast // wound in since anything was last changed, oldest first
	LengthCm      float64    // in use; 0 where nobody said
	LowCm, HighCm float64    // the plan's range at this water temperature
	Other         Act        // the change advised otherwise; empty for none
}

// HookPiece is the advice. Seen is how many bites or casts speak for it, of how
// many; ToCm the length to go to, 0 where the one in use is not known. Weak says
// that they are few, or casts without bites: those may as well mean that no fish
// are there.
type HookPiece struct {
	Act    Act
	Reason Reason
	Seen   int
	Of     int
	ToCm   float64
	Weak   bool
}

// AdviseHook says whether to change the hook length: shorter where bites are
// missed; longer where they come on the drop, where line bites come without
// bites, and where no bite comes at all (trade pack, 3.6: common practice). It
// waits for every other change, since those rest on figures of the session, but
// not for more feed, which cannot be taken back: that is to wait for it. It stays
// within the plan's range. Missed bites and bites on the drop ask for opposite
// things, and together for nothing.
func AdviseHook(in HookInput) (HookPiece, error) {
	if err := in.check(); err != nil {
		return HookPiece{}, fmt.Errorf("advise on the hook length: %w", err)
	}
	p := in.asked()
	if !p.Act.IsChange() {
		return p, nil
	}
	if in.LengthCm > 0 {
		p.ToCm = in.to(p.Act)
	}
	switch {
	case p.ToCm > 0 && p.Act == ShortenHook && p.ToCm*hookSeen > in.LengthCm:
		return HookPiece{Act: KeepHook, Reason: HookAtShortEnd}, nil
	case p.ToCm > 0 && p.Act == LengthenHook && p.ToCm < in.LengthCm*hookSeen:
		return HookPiece{Act: KeepHook, Reason: HookAtLongEnd}, nil
	case in.Other.IsChange() && in.Other != FeedUp:
		return HookPiece{Act: KeepHook, Reason: OneAtATime}, nil
	}
	return p, nil
}

func (in HookInput) check() error {
	if !(in.LowCm > 0 && in.LowCm <= in.HighCm) || math.IsInf(in.HighCm, 1) {
		return fmt.Errorf("the range is from %g to %g cm; both must be above 0, the low end not above the high one", in.LowCm, in.HighCm)
	}
	if !(in.LengthCm >= 0) || math.IsInf(in.LengthCm, 1) {
		return fmt.Errorf("the length in use is %g cm; it must be above 0, or 0 where it is not known", in.LengthCm)
	}
	return nil
}

// asked is what the casts ask for, if nothing bars it.
func (in HookInput) asked() HookPiece {
	bites, missed, dropped := in.bites()
	shorter, longer := halfOfThem(missed, bites), halfOfThem(dropped, bites)
	blanks, liners := in.running()
	weak := bites < hookFew
	switch {
	case shorter && longer:
		return HookPiece{Act: KeepHook, Reason: SignsDiffer, Seen: missed, Of: bites, Weak: weak}
	case shorter:
		return HookPiece{Act: ShortenHook, Reason: BitesMissed, Seen: missed, Of: bites, Weak: weak}
	case longer:
		return HookPiece{Act: LengthenHook, Reason: BitesOnTheDrop, Seen: dropped, Of: bites, Weak: weak}
	case blanks >= hookBlanks && liners > 0:
		return HookPiece{Act: LengthenHook, Reason: LinersNoBite, Seen: liners, Of: blanks, Weak: true}
	case blanks >= hookBlanks:
		return HookPiece{Act: LengthenHook, Reason: CastsWithNoBite, Of: blanks, Weak: true}
	}
	return HookPiece{Act: KeepHook, Reason: NoTrigger}
}

// bites counts true bites alone: a line bite is none.
func (in HookInput) bites() (all, missed, dropped int) {
	for _, c := range in.Casts {
		if !c.Bite {
			continue
		}
		all++
		if c.Missed {
			missed++
		}
		if c.OnTheDrop {
			dropped++
		}
	}
	return all, missed, dropped
}

func halfOfThem(n, of int) bool { return of >= hookBites && float64(n) >= hookShare*float64(of) }

// running counts, back from the last cast, those without a true bite, and those
// of them with line bites.
func (in HookInput) running() (blanks, liners int) {
	for i := len(in.Casts) - 1; i >= 0 && !in.Casts[i].Bite; i-- {
		blanks++
		if in.Casts[i].LineBites {
			liners++
		}
	}
	return blanks, liners
}

// to is a quarter shorter or a third longer, in steps of 5 cm and within the
// plan's range.
func (in HookInput) to(act Act) float64 {
	lengthCm := in.LengthCm * hookStep
	if act == LengthenHook {
		lengthCm = in.LengthCm / hookStep
	}
	return math.Max(in.LowCm, math.Min(in.HighCm, hookRound*math.Round(lengthCm/hookRound)))
}
