package jobs

import (
	"fmt"
	"slices"
	"time"

	"osier/model"
	"osier/model/plan"
	"osier/model/timing"
)

// onTheDropMin is how soon after the cast a bite that came before the feeder was
// said to have settled came on the drop: sinking the line takes 20 to 40 s (trade
// pack, 3.4), and the bait sinks after the feeder. Our choice.
const onTheDropMin = 1.0

// withHookLength adds what the hook length asks for: first where it is to be
// changed, and more feed is to wait for it then; last where it is not.
func withHookLength(advice model.BankAdvice, in plan.BankInput) (model.BankAdvice, error) {
	question := timing.HookInput{
		Casts: hookCasts(in.Live, in.Events), LengthCm: hookLengthCm(in.Events),
		LowCm: in.Plan.HookLengthCm.Low, HighCm: in.Plan.HookLengthCm.High,
	}
	other := slices.IndexFunc(advice.Advice, func(p model.AdvicePiece) bool { return timing.Act(p.Act).IsChange() })
	if other >= 0 {
		question.Other = timing.Act(advice.Advice[other].Act)
	}
	hook, err := timing.AdviseHook(question)
	if err != nil {
		return advice, fmt.Errorf("advise in session %s: %w", advice.Session, err)
	}
	piece := hookWorded(hook, in.Plan.HookLengthCm)
	if !hook.Act.IsChange() {
		advice.Advice = append(advice.Advice, piece)
		return advice, nil
	}
	if other >= 0 {
		advice.Advice[other] = model.AdvicePiece{
			Act: string(timing.KeepFeed), Reason: string(timing.OneAtATime), Text: "Keep the feed as it is for now.",
			Why: "One change at a time: the hook length first, since more feed cannot be taken back.",
		}
	}
	advice.Advice = slices.Insert(advice.Advice, 0, piece)
	return advice, nil
}

// hookLengthCm is the one that was said last; 0 where none was.
func hookLengthCm(events []model.Event) (lengthCm float64) {
	for _, e := range events {
		lengthCm = e.HookLengthCm.Or(lengthCm)
	}
	return lengthCm
}

// hookCasts are the casts wound in since anything was last changed: what came
// before told of something else. Missed is a bite that was said to be: one of
// which no more was told may have been anything. And a cast of which nobody said
// that it settled tells of the drop only where others of this session do.
func hookCasts(live model.Live, events []model.Event) []timing.HookCast {
	since := live.Changed.Value
	settled := map[int64]bool{}
	var missed []time.Time
	for _, e := range events {
		switch {
		case e.Kind == model.EventSettled:
			settled[e.At.UnixNano()] = true
		case e.Kind == model.EventMissed:
			missed = append(missed, e.At)
		case e.Kind == model.EventTopUp && e.At.After(since):
			since = e.At
		}
	}
	var casts []timing.HookCast
	for i, c := range live.Session.Casts {
		if c.In.Before(since) || live.Open != nil && c.In.Equal(live.Open.Settled.Or(live.Open.Cast)) {
			continue
		}
		next := endOfTime
		if i+1 < len(live.Session.Casts) {
			next = live.Session.Casts[i+1].In
		}
		saidMissed := slices.ContainsFunc(missed, func(at time.Time) bool { return !at.Before(c.In) && at.Before(next) })
		casts = append(casts, timing.HookCast{
			Bite: c.Outcome.TrueBite(), Missed: c.Outcome == model.MissedBite && saidMissed, LineBites: c.Outcome == model.LineBite,
			OnTheDrop: c.BiteMin.Known && c.BiteMin.Value <= onTheDropMin && len(settled) > 0 && !settled[c.In.UnixNano()],
		})
	}
	return casts
}

// hookWorded says it in a plain sentence. Nothing of it was learnt from records,
// and the sentence says so.
func hookWorded(h timing.HookPiece, within model.Span) model.AdvicePiece {
	out := model.AdvicePiece{Act: string(h.Act), Reason: string(h.Reason), Text: "Keep the hook length as it is.", Why: hookReason(h)}
	way := map[timing.Act]string{timing.ShortenHook: "Shorten", timing.LengthenHook: "Lengthen"}[h.Act]
	if way == "" {
		return out
	}
	by := fmt.Sprintf("by about a quarter, within %.0f to %.0f cm", within.Low, within.High)
	if h.Act == timing.LengthenHook {
		by = fmt.Sprintf("by about a third, within %.0f to %.0f cm", within.Low, within.High)
	}
	if h.ToCm > 0 {
		by = fmt.Sprintf("to about %.0f cm", h.ToCm)
	}
	out.Text = fmt.Sprintf("%s the hook length %s: common practice, not from your records.", way, by)
	out.Sure = fmt.Sprintf("nobody has counted how often this helps, and %d bites are some evidence that it is asked for", h.Of)
	switch {
	case h.Weak && (h.Reason == timing.BitesMissed || h.Reason == timing.BitesOnTheDrop):
		out.Sure = fmt.Sprintf("weak evidence: %d bites", h.Of)
	case h.Weak:
		out.Sure = fmt.Sprintf("weak evidence: %d casts without a bite may as well mean that nothing feeds here", h.Of)
	}
	return out
}

// hookReason says by which rule.
func hookReason(h timing.HookPiece) string {
	switch h.Reason {
	case timing.BitesMissed:
		return fmt.Sprintf("%d of %d true bites since the last change were missed, which asks for a shorter one.", h.Seen, h.Of)
	case timing.BitesOnTheDrop:
		return fmt.Sprintf("%d of %d true bites since the last change came as the bait sank, which asks for a longer one.", h.Seen, h.Of)
	case timing.LinersNoBite:
		return fmt.Sprintf("No true bite in %d casts running, and line bites in %d of them: fish are there, maybe off the bottom, and bait on a longer one sinks more slowly.", h.Of, h.Seen)
	case timing.CastsWithNoBite:
		return fmt.Sprintf("No true bite in %d casts running: a longer one is worth a try.", h.Of)
	case timing.SignsDiffer:
		return "Bites missed ask for a shorter one, and bites on the drop for a longer one."
	case timing.HookAtShortEnd:
		return "Bites are missed, but it is at the short end for such water already; a smaller hook bait is the other way."
	case timing.HookAtLongEnd:
		return "A longer one is asked for, but it is at the long end for such water already."
	case timing.OneAtATime:
		return "One change at a time: this one can wait."
	}
	return "Nothing asks for a longer or a shorter one."
}
