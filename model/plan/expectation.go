package plan

import (
	"fmt"
	"math"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/air"
	"osier/model/feeder"
)

// putActivity writes what the model expects: only for hours that no caution
// strikes out, and nothing at all where every hour is.
func (in Input) putActivity(p *model.Plan, t feeder.Plan, c model.Conditions, open []bool) error {
	hours := in.hoursOpen(c, open)
	day, err := in.covariates(in.Question.Start, in.Question.End(), t)
	if err != nil {
		return err
	}
	if p.HoursCompared, p.HoursText, err = in.compareHours(c, open, t); err != nil {
		return err
	}
	if hours == 0 {
		p.Reasons, p.Alternatives = []model.Reason{}, []model.Alternative{}
		return nil
	}
	f, err := in.Fit.Forecast(day, in.setting(), hours)
	if err != nil {
		return fmt.Errorf("expect bites: %w", err)
	}
	p.Activity = expectation(f, hours, in.Evidence)
	if p.Reasons, err = in.reasons(day); err != nil {
		return err
	}
	p.Alternatives, err = in.alternatives(t, day)
	return err
}

// setting is who will fish where.
func (in Input) setting() activity.Setting {
	return activity.Setting{Water: in.Question.Water, Peg: in.Question.Peg, Angler: in.Question.Angler}
}

// covariates are the drivers of the time between two instants with the plan's
// own feed and feeder.
func (in Input) covariates(from, to time.Time, t feeder.Plan) (activity.Covariates, error) {
	q := in.Question
	d := in.History.Drivers(Outing{
		Start: from, End: to, Whole: Stretch{q.Start, q.End()}, Group: q.Group, PegEffortH: in.PegEffortH,
		PlannedGH:  model.Known(model.GramsPerHour(t.Feed.RateGH)),
		CapacityMl: model.Known(model.Millilitres(t.Feeder.CapacityMl)),
		DistanceM:  q.DistanceM, DepthM: q.DepthM,
	})
	return Covariates(q.Group, d)
}

func expectation(f activity.Forecast, hours float64, e model.Evidence) *model.Activity {
	r := f.RatePerRodHour
	a := &model.Activity{
		BitesPerH:        rateRange(r),
		Bites:            model.CountRange{Low50: f.Bites.Low50, High50: f.Bites.High50, Low90: f.Bites.Low90, High90: f.Bites.High90},
		Fish:             model.FishRange{Mean: air.Round(f.Fish.Mean, 2), Low90: f.Fish.Low90, High90: f.Fish.High90},
		BlankProbability: air.Round(f.BlankProbability, 4), NoBiteProbability: air.Round(f.NoBiteProbability, 4),
		Step: f.Step, HoursCounted: air.Round(hours, 2), Basis: model.ForecastBasis(f.Basis),
	}
	typical := ""
	if e.Basis == "prior" {
		typical = sentence(noRecords) + ": "
	}
	a.Sentence = fmt.Sprintf("%sas likely over as under %s bites an hour, a %s session in our words; half of such sessions would lie between %s and %s, nine in ten between %s and %s. %.0f in 100 such sessions would end without a fish.",
		typical, twoFigures(r.Median), lower(f.Step), twoFigures(r.Low50), twoFigures(r.High50), twoFigures(r.Low90), twoFigures(r.High90), 100*f.BlankProbability)
	return a
}

// lower writes a step inside a sentence.
func lower(step string) string {
	if step == "" {
		return "without a word"
	}
	return string(step[0]+'a'-'A') + step[1:]
}

func twoFigures(v float64) string {
	if v < 10 {
		return fmt.Sprintf("%.1f", air.Round(v, 1))
	}
	return fmt.Sprintf("%.0f", v)
}

func rateRange(r activity.RateForecast) model.RateRange {
	return model.RateRange{
		Mean: air.Round(r.Mean, 3), Median: air.Round(r.Median, 3), Low50: air.Round(r.Low50, 3), High50: air.Round(r.High50, 3),
		Low90: air.Round(r.Low90, 3), High90: air.Round(r.High90, 3),
	}
}

// standsOut is the number of standard deviations at which a difference counts
// as seen: the 90 % interval then leaves out no difference.
const standsOut = 1.645

// compareHours gives every hour in clock order with its interval, and says
// plainly when none can be told from a middling one.
func (in Input) compareHours(c model.Conditions, open []bool, t feeder.Plan) ([]model.HourRate, string, error) {
	out := []model.HourRate{}
	var rows []activity.Covariates
	var at []time.Time
	var means []float64
	for i, h := range c.Hours {
		if !open[i] {
			out = append(out, model.HourRate{At: h.At, Struck: true})
			continue
		}
		cov, err := in.covariates(h.At, h.At.Add(time.Hour), t)
		if err != nil {
			return out, "", err
		}
		rate, err := in.Fit.Rate(cov, in.setting())
		if err != nil {
			return out, "", fmt.Errorf("expect bites at %s: %w", h.At.Format(time.RFC3339), err)
		}
		r := rateRange(rate)
		out = append(out, model.HourRate{At: h.At, BitesPerH: &r})
		rows, at, means = append(rows, cov), append(at, h.At), append(means, rate.Mean)
	}
	if len(rows) == 0 {
		return out, "every hour is struck out by a caution", nil
	}
	text, err := in.bestHour(rows, at, means)
	return out, text, err
}

// bestHour says which hour stands out from the middling one, if any does.
func (in Input) bestHour(rows []activity.Covariates, at []time.Time, means []float64) (string, error) {
	const none = "no hour stands out"
	if len(rows) < 2 {
		return none, nil
	}
	order := sortedIndex(means)
	best, middle := order[len(order)-1], order[(len(order)-1)/2]
	diff, sd, err := in.Fit.Difference(rows[best], in.setting(), rows[middle], in.setting())
	if err != nil {
		return "", err
	}
	if diff <= standsOut*sd {
		return none, nil
	}
	return fmt.Sprintf("the hour from %s is expected to be better than a middling one: about %.0f %% more bites",
		at[best].Format("15:04"), 100*(math.Exp(diff)-1)), nil
}
