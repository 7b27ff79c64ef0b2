package jobs

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"osier/model"
	"osier/model/plan"
	"osier/model/timing"
)

// AdviceStore is what advice reads beside what planning does.
type AdviceStore interface {
	PlanStore
	Events(ctx context.Context, session string) ([]model.LoggedEvent, error)
	Scores(ctx context.Context, water string, group model.Group) ([]model.Score, error)
}

// Advisor says what to do in a session that goes on.
type Advisor struct {
	Store   AdviceStore
	Planner *Planner
	Live    *Live
	Now     func() time.Time
	Moves   *MoveGrids
}

// Figures of advice; our choice.
const (
	sessionWithoutPlan = 5.0 // hours, where no plan says how long
	moveStepMin        = 10.0
	moveLostMin        = 20.0 // winding in, finding the new line and its first feed
	moveHorizonMin     = 8 * 60.0
)

// Advice weighs a session so far, by its events, its plan, the weather as known
// now and the angler's own casts.
func (a *Advisor) Advice(ctx context.Context, session string) (model.BankAdvice, error) {
	live, err := a.Live.LiveSession(ctx, session)
	if err != nil {
		return model.BankAdvice{}, err
	}
	logged, err := a.Store.Events(ctx, session)
	if err != nil {
		return model.BankAdvice{}, err
	}
	in := plan.BankInput{Live: live, Events: model.InForce(logged)}
	// A device tells parts of a second, and may be a little ahead.
	now := a.Now()
	if last := in.Events[len(in.Events)-1].At; last.After(now) {
		now = last
	}
	in.Now = now
	if in.Plan, in.Issued, err = a.plan(ctx, live.Session, now); err != nil {
		return model.BankAdvice{}, err
	}
	conditions, err := a.Planner.ConditionsFor(ctx, live.Session.Angler, live.Session.Water, now.Truncate(time.Hour), now.Add(cautionsAhead))
	if err != nil {
		return model.BankAdvice{}, err
	}
	in.Cautions = conditions.Cautions
	own, err := a.Store.Sessions(ctx, "", live.Session.Angler, time.Unix(0, 0), now)
	if err != nil {
		return model.BankAdvice{}, err
	}
	before := slices.DeleteFunc(slices.Clone(own), func(o model.Session) bool { return o.ID == session })
	in.Waits, _ = ownWaits(before, live.Session.Group, now)
	in.Waits = append(in.Waits, liveWaits(live, now)...)
	if in.Feeding, err = a.feeding(ctx, own, live.Session.Group); err != nil {
		return model.BankAdvice{}, err
	}
	if in.Moves, err = a.Moves.at(in.Feeding); err != nil {
		return model.BankAdvice{}, err
	}
	advice, err := plan.Bank(in)
	if err != nil || advice.State == nil { // nothing is advised but to stop, or nothing at all
		return advice, err
	}
	return withHookLength(advice, in)
}

// cautionsAhead is how far ahead the weather is looked at.
const cautionsAhead = 3 * time.Hour

// plan is the one that was followed, where it is of this water and group and no
// other angler's, or
// what would be planned for the session, which is not issued.
func (a *Advisor) plan(ctx context.Context, s model.Session, now time.Time) (p model.Plan, issued bool, err error) {
	if s.PlanID != "" {
		p, err = a.Store.Plan(ctx, s.PlanID)
		if err == nil && p.Water == s.Water && p.Group == s.Group && (p.Question.Angler == "" || p.Question.Angler == s.Angler) {
			return p, true, nil
		}
		if err != nil && model.CodeOf(err) != model.NotFound {
			return p, false, err
		}
	}
	q := model.Question{
		Water: s.Water, Start: s.Start, Hours: math.Min(24, math.Max(sessionWithoutPlan, s.End.Sub(s.Start).Hours())),
		Group: s.Group, Angler: s.Angler, Peg: s.Peg, DistanceM: s.DistanceM, DepthM: s.DepthM,
	}
	fit, err := fitInForce(ctx, a.Store, s.Angler, fitAsOf(s.Start, now))
	if err != nil {
		return p, false, err
	}
	in, err := a.Planner.gather(ctx, q, fit, now)
	if err != nil {
		return p, false, fmt.Errorf("plan the session: %w", err)
	}
	p, err = plan.Build(in)
	return p, false, err
}

// feeding is the chance that fish feed where a line is first cast, from the
// first hours of the angler's own sessions whose plans were scored.
func (a *Advisor) feeding(ctx context.Context, own []model.Session, g model.Group) (float64, error) {
	scores, err := a.Store.Scores(ctx, "", g)
	if err != nil {
		return 0, err
	}
	joined, err := a.Store.Joined(ctx)
	if err != nil {
		return 0, err
	}
	first := map[string]model.JoinedInterval{}
	for _, j := range joined {
		if len(j.Intervals) > 0 && j.Intervals[0].Bites.Known {
			first[j.Session] = j.Intervals[0]
		}
	}
	var hours []timing.FirstHour
	for _, s := range scores {
		interval, held := first[s.Session]
		mine := slices.ContainsFunc(own, func(o model.Session) bool { return o.ID == s.Session })
		if !held || !mine {
			continue
		}
		hours = append(hours, timing.FirstHour{
			LogRateMean: s.Basis.LogRateMean, LogRateVariance: s.Basis.LogRateVariance, Alpha: s.Basis.Alpha,
			Hours: interval.RodHours, Bites: interval.Bites.Value,
		})
	}
	feeding, _, err := timing.FitFeeding(hours)
	if err != nil {
		return 0, fmt.Errorf("learn how often fish feed: %w", err)
	}
	return feeding, nil
}

// MoveGrids keeps the tables of staying or moving, made once for each chance of
// feeding when it is first asked for; share one. The zero value is ready.
type MoveGrids struct {
	mu   sync.Mutex
	made map[float64]*timing.MoveGrid
}

func (g *MoveGrids) at(feeding float64) (*timing.MoveGrid, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if grid, held := g.made[feeding]; held {
		return grid, nil
	}
	grid, err := timing.NewMoveGrid(feeding, moveStepMin, moveLostMin, moveHorizonMin)
	if err != nil {
		return nil, err
	}
	if g.made == nil {
		g.made = map[float64]*timing.MoveGrid{}
	}
	g.made[feeding] = grid
	return grid, nil
}
