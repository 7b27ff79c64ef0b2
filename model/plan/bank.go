package plan

import (
	"fmt"
	"math"
	"slices"
	"time"

	"osier/model"
	"osier/model/air"
	"osier/model/caution"
	"osier/model/feeder"
	"osier/model/timing"
)

// BankInput is what advice in a session goes by.
type BankInput struct {
	Live   model.Live
	Events []model.Event // in force, by when they happened
	Plan   model.Plan    // as issued, or made for the session where none was followed
	Issued bool          // whether the plan is one that was issued
	Now    time.Time
	// Cautions are those of the hours to come, by the weather as known now.
	Cautions []model.Caution
	Waits    []timing.Wait // of the angler's own casts, this session's among them
	Feeding  float64       // the chance that fish feed where a line is first cast
	Moves    *timing.MoveGrid
}

// bankAhead is how far ahead cautions are told of in a session.
const bankAhead = 3 * time.Hour

// Bank advises in a session that goes on. Cautions come first, those that the
// plan did not have before those it had; where one stops fishing now nothing
// else is advised.
func Bank(in BankInput) (model.BankAdvice, error) {
	s := in.Live.Session
	out := model.BankAdvice{
		Session: s.ID, At: in.Now, Ended: in.Live.Ended, Cautions: in.newCautions(), Advice: []model.AdvicePiece{},
		Deferral: model.Deferral, Demo: in.Live.Demo,
	}
	if in.Issued {
		out.Plan = in.Plan.ID
	}
	soak, err := in.soak()
	if err != nil {
		return out, err
	}
	out.Soak = soak.told()
	if in.Live.Ended {
		return out, nil
	}
	if stop, held := in.stopNow(); held {
		out.Advice = []model.AdvicePiece{{Act: "stop", Reason: stop.ID, Text: "Stop fishing: " + stop.Text, Why: "A caution outranks every plan."}}
		return out, nil
	}
	if in.Plan.Activity == nil {
		return out, nil
	}
	advice, err := in.advise(soak)
	if err != nil {
		return out, err
	}
	for _, piece := range append([]timing.Piece{advice.First}, advice.Others...) {
		out.Advice = append(out.Advice, in.worded(piece, soak))
	}
	out.State = bankState(advice.State)
	return out, nil
}

// newCautions are those to act on in the next hours that the plan did not have
// at that level, and after them those it had.
func (in BankInput) newCautions() []model.Caution {
	fresh, known := []model.Caution{}, []model.Caution{}
	for _, c := range in.Cautions {
		if c.Level != model.Stop && c.Level != model.Care || !c.Until.After(in.Now) || c.From.After(in.Now.Add(bankAhead)) {
			continue
		}
		had := slices.ContainsFunc(in.Plan.Cautions, func(p model.Caution) bool { return p.ID == c.ID && (p.Level == c.Level || p.Level == model.Stop) })
		if had {
			known = append(known, c)
		} else {
			fresh = append(fresh, c)
		}
	}
	return append(fresh, known...)
}

func (in BankInput) stopNow() (model.Caution, bool) {
	for _, c := range in.Cautions {
		if c.Level == model.Stop && c.Until.After(in.Now) && caution.Struck([]model.Caution{c}, in.Now.Truncate(time.Hour)) {
			return c, true
		}
	}
	return model.Caution{}, false
}

// bankSoak is how long to wait, by the angler's own casts as far as they say.
type bankSoak struct {
	timing.SoakAdvice
	handling timing.Handling
}

// bankSeed makes the draws behind the soak; any number does.
const bankSeed = 1

func (in BankInput) soak() (bankSoak, error) {
	q := in.Plan.Question
	s := in.Live.Session
	distance := s.DistanceM
	if !distance.Known {
		distance = q.DistanceM
	}
	out := bankSoak{handling: Handling(s.Group, distance)}
	trade := timing.SoakRange{LowMin: in.Plan.Rhythm.SoakRange.Low, HighMin: in.Plan.Rhythm.SoakRange.High}
	out.SoakAdvice = timing.SoakAdvice{Verdict: timing.SoakFromTrade, SoakMin: in.Plan.Rhythm.SoakMin, NearlyAsGood: trade, Binding: trade, Binds: timing.TradeBinds}
	if len(in.Waits) == 0 {
		return out, nil
	}
	fit, err := timing.FitHazard(in.Waits, timing.UsualHazardPrior(in.usualBitesPerH()))
	if err != nil {
		return out, fmt.Errorf("learn of the soak: %w", err)
	}
	out.SoakAdvice, err = fit.AdviseSoak(timing.SoakQuestion{
		Angler: s.Angler, Water: s.Water, Handling: out.handling, TradeStartMin: in.Plan.Rhythm.SoakMin, Trade: trade, Seed: bankSeed,
	})
	if err != nil {
		return out, fmt.Errorf("advise on the soak: %w", err)
	}
	return out, nil
}

// Handling is the time of a cycle in which no bait waits, for a group at a
// distance; 25 m where it is not known.
func Handling(group model.Group, distance model.Maybe[model.Metres]) timing.Handling {
	blank := feeder.HandlingMin(float64(distance.Or(usualDistanceM)))
	fish, _ := feeder.MinutesPerFish(feeder.Group(group))
	return timing.Handling{BlankMin: blank, BiteMin: blank + fish}
}

// usualBitesPerH is what the plan expects, or about one an hour where it
// expects nothing.
func (in BankInput) usualBitesPerH() float64 {
	if in.Plan.Activity == nil {
		return 1
	}
	return math.Max(0.05, math.Exp(in.Plan.Activity.Basis.LogRateMean))
}

func (b bankSoak) told() model.BankSoak {
	out := model.BankSoak{
		Min: model.Span{Low: air.Round(b.NearlyAsGood.LowMin, 1), High: air.Round(b.NearlyAsGood.HighMin, 1)}, Basis: string(b.Verdict), Casts: b.Casts, Text: b.Text,
	}
	if out.Text == "" {
		out.Text = fmt.Sprintf("No casts of yours to go by: the trade leaves it %g to %g minutes in such water.", out.Min.Low, out.Min.High)
	}
	return out
}

// advise asks the timing model, with the levels and ranges that hold now.
func (in BankInput) advise(soak bankSoak) (timing.Advice, error) {
	basis := in.Plan.Activity.Basis
	belief, err := timing.PlanBelief(basis.LogRateMean, basis.LogRateVariance, basis.Alpha, in.Feeding)
	if err != nil {
		return timing.Advice{}, fmt.Errorf("match the plan: %w", err)
	}
	began := in.Live.Session.Start
	events, level := in.played(began)
	ask := timing.AdviceInput{
		Plan: belief, Events: events, NowMin: in.Now.Sub(began).Minutes(),
		EndMin: math.Max(in.Now.Sub(began).Minutes(), in.Plan.Question.End().Sub(began).Minutes()),
		Level:  level, CapLevel: capIndex(in.Cautions),
		SoakLowMin: soak.NearlyAsGood.LowMin, SoakHighMin: soak.NearlyAsGood.HighMin, HandlingMin: soak.handling.BlankMin,
		PatienceMin: in.Plan.PatienceMin.Low, CanMove: true,
	}
	if belief.Feeding == in.Feeding { // the tables hold for that chance alone
		ask.Moves = in.Moves
	}
	advice, err := timing.Advise(ask)
	if err != nil {
		return advice, fmt.Errorf("advise in session %s: %w", in.Live.Session.ID, err)
	}
	return advice, nil
}

// capIndex is the highest feed level that the cautions allow, by its place.
func capIndex(cautions []model.Caution) int {
	if level, _ := levelCap(cautions); level != "" {
		return slices.Index(feeder.Levels(), level)
	}
	return len(feeder.Levels()) - 1
}

// sameFeeder is how much a feeder may differ and still give the same feed; our
// choice, within the width of a trade step.
const sameFeeder = 1.2

// played turns the events into what the timing model reads, and follows the feed
// level from the plan's: a larger feeder or a top-up raises it by one, a smaller
// feeder lowers it.
func (in BankInput) played(began time.Time) (events []timing.Event, level int) {
	kinds := map[model.EventKind]timing.EventKind{
		model.EventCast: timing.EventCast, model.EventSettled: timing.EventSettled, model.EventLineBite: timing.EventLineBite,
		model.EventBite: timing.EventBite, model.EventMissed: timing.EventMissed, model.EventLost: timing.EventMissed,
		model.EventFish: timing.EventFish, model.EventPause: timing.EventPause,
	}
	level = max(0, slices.Index(feeder.Levels(), feeder.Level(in.Plan.Feed.Level)))
	capacity := float64(in.Plan.Feeder.CapacityMl)
	for _, e := range in.Events {
		at := e.At.Sub(began).Minutes()
		if at < 0 { // before the first cast
			if e.Feeder.CapacityMl.Known {
				capacity = float64(e.Feeder.CapacityMl.Value)
			}
			continue
		}
		kind, plain := kinds[e.Kind]
		switch to := float64(e.Feeder.CapacityMl.Value); {
		case plain:
		case e.Kind == model.EventTopUp, e.Feeder.CapacityMl.Known && to > sameFeeder*capacity:
			kind, level = timing.EventFeedRaised, min(level+1, len(feeder.Levels())-1)
		case e.Feeder.CapacityMl.Known && to < capacity/sameFeeder:
			kind, level = timing.EventFeedLowered, max(level-1, 0)
		case e.Kind == model.EventChange && e.DistanceM.Known:
			kind = timing.EventLineChanged
		case e.Kind == model.EventChange:
			kind = timing.EventOtherChange
		default:
			continue
		}
		if e.Feeder.CapacityMl.Known {
			capacity = float64(e.Feeder.CapacityMl.Value)
		}
		events = append(events, timing.Event{AtMin: at, Kind: kind})
	}
	return events, level
}

func bankState(s timing.State) *model.BankState {
	out := &model.BankState{
		FishedMin: air.Round(s.FishedMin, 1), Bites: s.Bites, LineBites: s.LineBites,
		FeedingProbability: air.Round(s.Feeding, 3), PresentProbability: air.Round(s.Present, 3),
		PlanBitesPerH: air.Round(s.PlanRateH, 2), BitesPerH: air.Round(s.RateH, 2),
		IfFeedingLow90: air.Round(s.IfFeedingLow90H, 2), IfFeedingHigh90: air.Round(s.IfFeedingHigh90H, 2),
		BiteWithin10: air.Round(s.BiteIn10Min, 3),
	}
	out.Text = fmt.Sprintf("%s in %.0f minutes fished on this line: now about %s an hour, where %s were expected. %.0f in 100 that fish feed here",
		bitesText(s.Bites), s.FishedMin, twoFigures(s.RateH), twoFigures(s.PlanRateH), 100*s.Feeding)
	if q := s.NextBiteMin; q != nil {
		out.NextBiteMin = &model.Span{Low: air.Round(q[0], 1), High: air.Round(q[2], 1)}
		out.Text += fmt.Sprintf("; if they do, the next bite comes as likely as not within %.0f to %.0f minutes", q[0], q[2])
	}
	out.Text += "."
	return out
}

func bitesText(n int) string {
	switch n {
	case 0:
		return "No bite"
	case 1:
		return "1 bite"
	}
	return fmt.Sprintf("%d bites", n)
}
