package jobs

import (
	"context"
	"fmt"
	"slices"
	"time"

	"osier/model"
	"osier/model/activity"
)

// SummaryStore is what the summary of a session reads.
type SummaryStore interface {
	Water(ctx context.Context, id string) (model.Water, error)
	Session(ctx context.Context, id string) (s model.Session, version int, err error)
	Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error)
	Joined(ctx context.Context) ([]model.JoinedSession, error)
	Plan(ctx context.Context, id string) (model.Plan, error)
}

// EndedSessions tells of sessions by their events, where no record was made.
type EndedSessions interface {
	LiveSession(ctx context.Context, id string) (model.Live, error)
}

// Summarizer tells what one session came to. It reads no one's sessions but the
// angler's own.
type Summarizer struct {
	Store SummaryStore
	Live  EndedSessions
}

// Summary sums up a recorded session, or one whose events have ended it though
// its record was refused. Of the angler's other sessions those before it count,
// so that the page says the same when it is read again.
func (m *Summarizer) Summary(ctx context.Context, id string) (model.SessionSummary, error) {
	return m.summary(ctx, id, false)
}

// SharedSummary is Summary for those with whom the angler shared this session and
// no more: nothing in it rests on another session of theirs, or on a plan that was
// made for them alone.
func (m *Summarizer) SharedSummary(ctx context.Context, id string) (model.SessionSummary, error) {
	return m.summary(ctx, id, true)
}

func (m *Summarizer) summary(ctx context.Context, id string, shared bool) (model.SessionSummary, error) {
	s, err := m.session(ctx, id)
	if err != nil {
		return model.SessionSummary{}, err
	}
	w, err := m.Store.Water(ctx, s.Water)
	if err != nil {
		return model.SessionSummary{}, err
	}
	out := model.SessionSummary{
		Session: s.ID, Water: s.Water, WaterName: w.Name, Group: s.Group, Angler: s.Angler, Style: s.Style,
		Start: s.Start, End: s.End, RodHours: s.RodHours(), Peg: s.Peg, Groundbait: s.Groundbait, HookBait: s.HookBait, Notes: s.Notes,
		Bites: s.Bites, LineBites: s.LineBites, Fish: s.FishLanded(), Weight: s.Weight,
		Casts: s.SummaryCasts(), Cautions: []model.Caution{}, Queries: s.QueriesInWords(), CannotSay: s.CannotSay(),
		Deferral: model.Deferral, Demo: s.Demo || w.Demo,
	}
	if shared { // they are asked of the angler, and may name other sessions
		out.Queries = []string{}
	}
	plan, err := m.plan(ctx, s, shared, &out)
	if err != nil {
		return out, err
	}
	planned := plannedRate(s)
	if !planned.Known && plan != nil {
		planned = model.Known(plan.Feed.RateGH)
	}
	out.Feed = s.FedByCasts(planned)
	figures := s.FiguresOfCasts()
	if err := m.waiting(ctx, s, plan, shared, &out); err != nil {
		return out, fmt.Errorf("waiting times of session %s: %w", s.ID, err)
	}
	if out.Waiting != nil {
		figures.Soak = out.Waiting.Soak
	}
	if plan != nil {
		figures.PlanRecastMin, figures.LeastHookCm = model.Known(plan.Rhythm.RecastMin), model.Known(plan.HookLengthCm.Low)
	}
	figures.PlannedGH, figures.FedGH = out.Feed.PlannedGH, out.Feed.FedGH
	out.TryNext = model.ChooseTryNext(figures)
	return out, nil
}

func (m *Summarizer) session(ctx context.Context, id string) (model.Session, error) {
	s, _, err := m.Store.Session(ctx, id)
	if model.CodeOf(err) != model.NotFound {
		return s, err
	}
	live, unlogged := m.Live.LiveSession(ctx, id)
	switch {
	case model.CodeOf(unlogged) == model.NotFound:
		return s, err
	case unlogged != nil:
		return s, unlogged
	case !live.Ended:
		return s, model.NotFoundf("session", "send its end first", "session %s goes on, and its summary comes with its end", id)
	}
	return live.Session, nil
}

// plan finds the plan that the record names and holds it against what happened.
// It is nil where there is none, or the session is none of its own, or who reads
// may not read the plan.
func (m *Summarizer) plan(ctx context.Context, s model.Session, shared bool, out *model.SessionSummary) (*model.Plan, error) {
	if s.PlanID == "" {
		out.PlanText, out.CautionsText = "The record names no plan.", "No plan is named, so what was cautioned then is not known."
		return nil, nil
	}
	p, err := m.Store.Plan(ctx, s.PlanID)
	if err != nil && model.CodeOf(err) != model.NotFound {
		return nil, err
	}
	if err == nil && shared && p.Question.Angler != "" {
		out.PlanText, out.CautionsText = "The plan was made for the angler, and is not shared with the record.", "They stand in the plan, which is not shared with the record."
		return nil, nil
	}
	why := unknownPlan
	if err == nil {
		why = whyNot(s, p)
	}
	if why != "" && why != noExpectation {
		out.PlanText = fmt.Sprintf("The plan %s is not held against this session: %s.", s.PlanID, why)
		out.CautionsText = "No plan can be held against it, so what was cautioned then is not known."
		return nil, nil
	}
	out.Cautions, out.CautionsText = cautionsThen(p, s), "As the plan told them before the first cast."
	if len(out.Cautions) == 0 {
		out.CautionsText = "The plan told of none for these hours."
	}
	if why == noExpectation {
		out.PlanText = fmt.Sprintf("The plan %s expected nothing: its hours were struck out by a caution, or it kept no figures.", p.ID)
		return &p, nil
	}
	if !(s.RodHours() > 0) {
		out.PlanText = "No time was fished, so the plan cannot be held against it."
		return &p, nil
	}
	judged, err := heldAgainst(p, s)
	if err != nil {
		return nil, err
	}
	out.Plan, out.PlanText = &judged, judged.Text
	return &p, nil
}

// cautionsThen are the cautions of a plan that held in the hours fished.
func cautionsThen(p model.Plan, s model.Session) []model.Caution {
	out := slices.Clone(p.Cautions)
	return append([]model.Caution{}, slices.DeleteFunc(out, func(c model.Caution) bool {
		return c.From.After(s.End) || c.Until.Before(s.Start)
	})...)
}

// heldAgainst makes the plan's interval anew for the rod-hours really fished.
func heldAgainst(p model.Plan, s model.Session) (model.SummaryPlan, error) {
	out := model.SummaryPlan{PlanID: p.ID, RodHours: s.RodHours(), Bites: bitesOf(s), Fish: fishOf(s)}
	basis := activity.ForecastBasis(p.Activity.Basis)
	bites, err := basis.Bites(out.RodHours)
	if err != nil {
		return out, fmt.Errorf("hold the session against plan %s: %w", p.ID, err)
	}
	if out.BitesLow90, err = bites.Quantile(0.05); err != nil {
		return out, err
	}
	if out.BitesHigh90, err = bites.Quantile(0.95); err != nil {
		return out, err
	}
	if out.BlankProbability, err = basis.Blank(out.RodHours); err != nil {
		return out, err
	}
	return out.Judged(), nil
}
