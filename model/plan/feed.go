package plan

import (
	"fmt"
	"math"

	"osier/model"
	"osier/model/activity"
	"osier/model/air"
	"osier/model/feeder"
)

// chooseFeed makes the plan that is followed, from the trade's: the rate by the
// procedure of the statistics pack (2.5), then capacity and rhythm as the trade
// would for that rate. Where the records are too few to show what feed does
// (2.2), or support no level or the trade's own, the trade's plan stands to the
// gram.
func (in Input) chooseFeed(cold feeder.Input, trade feeder.Plan) (feeder.Plan, model.FeedChoice, error) {
	q, err := in.feedQuestion(trade)
	if err != nil {
		return trade, model.FeedChoice{}, err
	}
	best, err := activity.RecommendFeed(q)
	if err != nil {
		return trade, model.FeedChoice{}, fmt.Errorf("choose the feed: %w", err)
	}
	choice, rate := feedChoice(best, q.CapGH), best.RateGH
	if choice.Basis == "trade" {
		rate = trade.Feed.WishedRateGH
	}
	if choice.Basis == "records" && in.Fit.CarryOver.Both {
		choice.Text += " Good spells that last drive plans and bites alike in these records, so what they say of feed is not to be trusted far."
	}
	if choice.Basis == "records" && q.WaterC != cold.WaterC {
		choice.Text += fmt.Sprintf(" The water temperature is hardly known: this is for %.0f C, the low end.", q.WaterC)
	}
	if in.Question.Try {
		trial, err := activity.TryFeed(q)
		if err != nil {
			return trade, choice, fmt.Errorf("draw a feed level to try: %w", err)
		}
		choice = tried(choice, trial, rate)
		if trial.OK {
			rate = trial.Suggested.RateGH
		}
	}
	if rate == trade.Feed.WishedRateGH {
		return trade, choice, nil
	}
	cold.WishedRateGH = feedWithin(rate)
	made, err := feeder.ColdStart(cold)
	if err != nil {
		return trade, choice, refused(err)
	}
	// The cap that held the trade's rate held this one too, and is told of.
	made.Feed.Capped, made.Feed.CappedAt = trade.Feed.Capped, trade.Feed.CappedAt
	return made, choice, nil
}

// tried adds the trial that was asked for to the choice. What is said of rates
// in figures holds for the rate planned, so where another was drawn it is left
// to the words.
func tried(c model.FeedChoice, t activity.FeedTrial, otherwiseGH float64) model.FeedChoice {
	if !t.OK {
		c.Trial, c.Text = feedTrial(t), "Nothing is drawn to try: "+t.Why+". "+c.Text
		return c
	}
	return model.FeedChoice{
		Basis: "trial", Trial: feedTrial(t), Sessions: c.Sessions, CostOver: c.CostOver, CostUnder: c.CostUnder,
		Text: fmt.Sprintf("%.0f g/h is drawn at random, with probability %.2f, among %d levels that are tried often enough: follow it, and the record will tell what feed does. Otherwise %.0f g/h would be planned. %s",
			t.Suggested.RateGH, t.Suggested.Probability, len(t.Arms), otherwiseGH, c.Text),
	}
}

// nothingFed is the choice where a caution strikes every hour out.
func nothingFed() model.FeedChoice {
	return model.FeedChoice{
		Basis: "trade", CostOver: activity.FeedCostOver, CostUnder: activity.FeedCostUnder,
		Text: "Nothing is fed: a caution strikes out every hour asked for.",
	}
}

// feedQuestion asks for the feed of this session. The trade's starting rate
// stands before its caps, and the caps go with it. Where the water temperature is
// hardly known all is read at the low end of its interval, as the trade reads its
// rate: the lighter way to be wrong.
func (in Input) feedQuestion(trade feeder.Plan) (activity.FeedQuestion, error) {
	starting, ok := feeder.StartingRateGH(trade.Group, trade.FeedTempC)
	if !ok {
		return activity.FeedQuestion{}, fmt.Errorf("there is no starting rate for %s at %g C", trade.Group, trade.FeedTempC)
	}
	q := activity.FeedQuestion{
		Terms: in.Fit.FeedTerms(), Tried: in.Fit.Tried, Water: in.Question.Water, WaterC: trade.FeedTempC,
		StartingGH: starting, CapGH: trade.Feed.CeilingGH,
		CostOver: activity.FeedCostOver, CostUnder: activity.FeedCostUnder, Seed: in.FeedSeed,
	}
	if in.UsualFeedZ.Known {
		q.UsualGH = feedWithin(starting * math.Exp(in.UsualFeedZ.Value))
	}
	return q, nil
}

// feedWithin holds a rate to what the trade's plan and the model answer for, 1
// to 5000 g/h.
func feedWithin(rateGH float64) float64 { return math.Min(5000, math.Max(1, rateGH)) }

// feedChoice says in words how the rate was chosen, under a cap where there is
// one.
func feedChoice(r activity.FeedRecommendation, capGH float64) model.FeedChoice {
	c := model.FeedChoice{Basis: "trade", Sessions: model.CountBand(r.Rows), CostOver: activity.FeedCostOver, CostUnder: activity.FeedCostUnder}
	switch {
	case r.TooFew:
		c.Text = fmt.Sprintf("Your records cannot yet show what feed does (%s): this is the trade's rate.", plannedSessions(r.Rows))
		return c
	case len(r.Candidates) == 1:
		c.Text = "No feed level is tried often enough at this water temperature to choose by the records: this is the trade's rate."
		return c
	}
	ratio := r.Ratio
	c.Basis = "records"
	c.AgainstGH, c.AgainstUsual = model.Known(model.GramsPerHour(air.Round(ratio.AgainstGH, 1))), ratio.AgainstUsual
	c.RateRatio = &model.RatioRange{Mean: air.Round(ratio.Median, 3), Low90: air.Round(ratio.Low90, 3), High90: air.Round(ratio.High90, 3)}
	c.ProbabilityMore = model.Known(air.Round(ratio.ProbabilityMore, 3))
	c.EValue, c.EValueOfBound = model.Known(air.Round(ratio.EValue, 2)), model.Known(air.Round(ratio.EValueOfBound, 2))
	against := "the trade's rate"
	if ratio.AgainstUsual {
		against = "what you usually plan"
	}
	says := "it is " + against + ", and they speak for no other"
	if ratio.AgainstGH != r.RateGH {
		says = fmt.Sprintf("against %s, %.0f g/h, %.2f times the bites, 90 %% interval %.2f to %.2f; %s", against, ratio.AgainstGH, ratio.Median, ratio.Low90, ratio.High90, feedFinding(ratio))
	}
	c.Text = fmt.Sprintf("%.0f g/h of %d levels tried often enough, by %s: %s. A g/h too much is taken to cost %g times one too little, since feed cannot be taken back.",
		r.RateGH, len(r.Candidates), plannedSessions(r.Rows), says, activity.FeedCostOver)
	if capGH > 0 {
		c.Text += fmt.Sprintf(" A cap holds: nothing above %.0f g/h was weighed.", capGH)
	}
	return c
}

// plannedSessions counts in bands, since some of the sessions may be other
// people's.
func plannedSessions(n int) string {
	return model.CountBand(n) + " sessions with their feed planned beforehand"
}

// feedFinding is the finding in words, with the E-value that every claim about
// feed carries (statistics pack 2.2).
func feedFinding(r activity.FeedRatio) string {
	words := fmt.Sprintf("%.0f in 100 that it is more", 100*r.ProbabilityMore)
	switch r.Finding {
	case activity.FeedNoVisibleDifference:
		words = "no visible difference"
	case activity.FeedNotToldApart:
		words = "which of the two is better cannot be told"
	}
	return words + ". " + eValueText(r.EValue, r.EValueOfBound)
}

func eValueText(value, bound float64) string {
	return fmt.Sprintf("Something unrecorded that goes with both feed and bites could explain this away if it went with each %.1f-fold (%.1f-fold for the nearer end of the interval)", value, bound)
}

func feedTrial(t activity.FeedTrial) *model.FeedTrial {
	out := &model.FeedTrial{Drawn: t.OK, Why: t.Why, Arms: []model.FeedArm{}, TemperatureBand: t.TemperatureBand, Seed: fmt.Sprintf("%016x", t.Seed)}
	for _, a := range t.Arms {
		out.Arms = append(out.Arms, model.FeedArm{HalfSteps: a.HalfSteps, RateGH: air.Round(a.RateGH, 1), Probability: a.Probability})
	}
	if t.OK {
		out.RateGH, out.Probability = air.Round(t.Suggested.RateGH, 1), t.Suggested.Probability
	}
	return out
}
