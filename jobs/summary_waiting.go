package jobs

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/feeder"
	"osier/model/plan"
	"osier/model/timing"
)

const (
	// curveDraws is how many draws the limits of a typical curve rest on.
	curveDraws = 500
	curveSeed  = 1 // of those draws and the soak's: the same page every time
)

// waiting tells how long this session's casts waited, and what is typical of the
// angler. The casts of all sessions are never thrown together: a session's own
// luck would look like a hazard that falls (statistics pack 3.5).
func (m *Summarizer) waiting(ctx context.Context, s model.Session, issued *model.Plan, shared bool, out *model.SessionSummary) error {
	if s.Style != model.FullLog {
		out.WaitingText = "Not known: only a log of every cast tells how long each waited."
		return nil
	}
	here, notTimed := waitsOf(s)
	if len(here) == 0 {
		out.WaitingText = "Not known: no cast of this record tells how long it waited."
		return nil
	}
	w := model.SummaryWaiting{Casts: len(here), NotTimed: notTimed, Typical: []model.TypicalPoint{}}
	survival, err := timing.KaplanMeier(timing.WholeMinutes(here))
	if err != nil {
		return err
	}
	for _, step := range survival.Steps {
		w.Bites += step.Bites
		w.Survival = append(w.Survival, model.WaitingPoint{
			TimeMin: step.TimeMin, AtRisk: step.AtRisk, Bites: step.Bites, WoundIn: step.WoundIn,
			Waiting: step.Survival, Low95: maybe(step.Low95), High95: maybe(step.High95),
		})
	}
	out.Waiting = &w
	out.WaitingText = fmt.Sprintf("%d casts, %d with a true bite; minutes are rounded up.", w.Casts, w.Bites)
	if notTimed > 0 {
		out.WaitingText += fmt.Sprintf(" Nobody timed %d of the bites; each stands at the middle of its soak.", notTimed)
	}
	if shared {
		out.WaitingText += " What is typical of the angler rests on other records too, and is not shared with this one."
		return nil
	}
	return m.typical(ctx, s, issued, out)
}

// typical adds the curve and the soak of a typical session of this angler at
// this water, from the angler's own logs up to this one.
func (m *Summarizer) typical(ctx context.Context, s model.Session, issued *model.Plan, out *model.SessionSummary) error {
	own, err := m.Store.Sessions(ctx, "", s.Angler, time.Unix(0, 0), s.Start)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(own, func(o model.Session) bool { return o.ID == s.ID }) { // ended, and its record refused
		own = append(own, s)
	}
	waits, sessions := ownWaits(own, s.Group, s.Start)
	if len(waits) == 0 {
		out.WaitingText += " No curve is fitted: your logs were written down too late, or a query keeps them out of fits."
		return nil
	}
	prior, err := usualHazard(s.Group)
	if err != nil {
		return err
	}
	fit, err := timing.FitHazard(waits, prior)
	if err != nil {
		return err
	}
	if err := addTypical(fit, s, out.Waiting); err != nil {
		return err
	}
	out.Waiting.TypicalCasts, out.Waiting.TypicalSessions = fit.Casts, sessions
	return m.soak(ctx, fit, s, issued, out)
}

// usualHazard is centred on the activity model's rate for the group.
func usualHazard(group model.Group) (timing.HazardPrior, error) {
	columns, err := activity.Columns(string(group))
	if err != nil {
		return timing.HazardPrior{}, err
	}
	return timing.UsualHazardPrior(math.Exp(columns[0].PriorMean)), nil
}

// addTypical adds the fitted curve minute by minute up to the longest soak
// tried; beyond it nothing is known.
func addTypical(fit timing.HazardFit, s model.Session, w *model.SummaryWaiting) error {
	hazard, err := fit.Typical(s.Angler, s.Water)
	if err != nil {
		return err
	}
	draws, err := fit.TypicalDraws(s.Angler, s.Water, curveDraws, curveSeed)
	if err != nil {
		return err
	}
	for minute := 0.0; minute <= hazard.LongestMin; minute++ {
		still, _, _ := hazard.At(minute)
		drawn := make([]float64, len(draws))
		for i, d := range draws {
			drawn[i], _, _ = d.At(minute)
		}
		slices.Sort(drawn)
		w.Typical = append(w.Typical, model.TypicalPoint{TimeMin: minute, Waiting: still, Low90: drawn[curveDraws/20], High90: drawn[curveDraws-1-curveDraws/20]})
	}
	return nil
}

// soak adds how long a cast without a bite may be left.
func (m *Summarizer) soak(ctx context.Context, fit timing.HazardFit, s model.Session, issued *model.Plan, out *model.SessionSummary) error {
	trade, known, err := m.tradeSoak(ctx, s, issued)
	if err != nil {
		return err
	}
	if !known {
		out.WaitingText += " No soak is advised yet: neither a reading nor a plan tells the water temperature, and no weather is joined to the record."
		return nil
	}
	handling := plan.Handling(s.Group, s.DistanceM)
	advice, err := fit.AdviseSoak(timing.SoakQuestion{
		Angler: s.Angler, Water: s.Water, Handling: handling, Seed: curveSeed,
		TradeStartMin: trade.StartMin, Trade: timing.SoakRange{LowMin: trade.LowMin, HighMin: trade.HighMin},
	})
	if err != nil {
		return err
	}
	out.Waiting.Soak = &model.SummarySoak{
		Verdict: string(advice.Verdict), LowMin: advice.NearlyAsGood.LowMin, HighMin: advice.NearlyAsGood.HighMin, Text: advice.Text,
	}
	return nil
}

// tradeSoak is the trade's soak for the group in water as warm as it was: by the
// record's reading, by the plan, or by the weather that was joined to it.
func (m *Summarizer) tradeSoak(ctx context.Context, s model.Session, issued *model.Plan) (soak feeder.Soak, known bool, err error) {
	group := feeder.Group(s.Group)
	if s.WaterTemp.Known && !s.Excluded("water_temp") {
		soak, known = feeder.SoakFor(group, float64(s.WaterTemp.Value.C))
		return soak, known, nil
	}
	if issued != nil && issued.Rhythm.SoakMin > 0 {
		r := issued.Rhythm
		return feeder.Soak{StartMin: min(max(r.SoakMin, r.SoakRange.Low), r.SoakRange.High), LowMin: r.SoakRange.Low, HighMin: r.SoakRange.High}, r.SoakRange.Low > 0, nil
	}
	joined, err := m.Store.Joined(ctx)
	if err != nil {
		return soak, false, err
	}
	for _, j := range joined {
		if j.Session == s.ID && j.Drivers.WaterC.Known {
			soak, known = feeder.SoakFor(group, float64(j.Drivers.WaterC.Value))
		}
	}
	return soak, known, nil
}
