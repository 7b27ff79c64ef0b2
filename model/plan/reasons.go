package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"osier/model"
	"osier/model/activity"
	"osier/model/air"
	"osier/model/feeder"
)

// leastReason is the smallest share of the log rate that is worth a sentence:
// about 1 in 50 bites. Our choice.
const leastReason = 0.02

// reasons gives each driver's share of the log rate against this water's and
// season's usual, the largest first. A driver that is not known this time is no
// reason: what stands in for it says nothing of the day.
func (in Input) reasons(day activity.Covariates) ([]model.Reason, error) {
	usual, err := Covariates(in.Question.Group, in.Usual)
	if err != nil {
		return nil, err
	}
	parts, err := in.Fit.Contributions(day, usual)
	if err != nil {
		return nil, fmt.Errorf("give reasons: %w", err)
	}
	_, missing, err := activity.BuildRow(day)
	if err != nil {
		return nil, fmt.Errorf("give reasons: %w", err)
	}
	parts = slices.DeleteFunc(parts, func(c activity.Contribution) bool { return slices.Contains(missing, c.Column) })
	columns, err := activity.Columns(string(in.Question.Group))
	if err != nil {
		return nil, err
	}
	reasons := []model.Reason{}
	for _, part := range together(parts) {
		if math.Abs(part.EffectLogRate) < leastReason {
			continue
		}
		r := model.Reason{Factor: part.Column, EffectLogRate: air.Round(part.EffectLogRate, 4)}
		what := waves[part.Column]
		if i := slices.IndexFunc(columns, func(c activity.Column) bool { return c.Name == part.Column }); i >= 0 {
			what, r.Unit, r.Value = columns[i].Meaning, columns[i].ScaledUnit, model.Known(air.Round(part.Value, 3))
		}
		r.Text = fmt.Sprintf("%s: %s bites than usual here at this season", sentence(what), moreOrFewer(part.EffectLogRate))
		if !in.tellsApart(part.Column) {
			r.Text += "; this effect cannot be told from none"
		}
		if value, ok := activity.EValue(math.Exp(part.EffectLogRate)); ok && part.Column == feedWave {
			r.Text += fmt.Sprintf(". Something unrecorded that goes with both feed and bites could explain this away if it went with each %.1f-fold", value)
		}
		reasons = append(reasons, r)
	}
	slices.SortStableFunc(reasons, func(a, b model.Reason) int {
		return cmp.Compare(math.Abs(b.EffectLogRate), math.Abs(a.EffectLogRate))
	})
	return reasons, nil
}

// tellsApart says whether what is believed of a driver, records and prior
// together, can be told from no effect at all: the 90 % interval of one of its
// columns leaves 0 out.
func (in Input) tellsApart(driver string) bool {
	for j, name := range in.Fit.Count.Columns {
		wave, _, _ := strings.Cut(name, "_")
		if (name == driver || wave == driver) && math.Abs(in.Fit.Count.Coefficients[j]) > standsOut*in.Fit.Count.SEs[j] {
			return true
		}
	}
	return false
}

// feedWave is the driver about which every claim says how easily it could be
// explained away (statistics pack 2.2).
const feedWave = "feed"

// waves are the drivers that the fit holds as several columns, and that a reader
// knows as one thing.
var waves = map[string]string{"season": "the time of year", "hour": "the hours of the day", feedWave: "the feed planned, against the trade's rate at this temperature"}

// together adds the columns of one driver up.
func together(parts []activity.Contribution) []activity.Contribution {
	var out []activity.Contribution
	for _, part := range parts {
		wave, _, _ := strings.Cut(part.Column, "_")
		if waves[wave] != "" {
			part.Column = wave
		}
		if n := len(out); n > 0 && out[n-1].Column == part.Column {
			out[n-1].EffectLogRate += part.EffectLogRate
			continue
		}
		out = append(out, part)
	}
	return out
}

func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func moreOrFewer(effect float64) string {
	percent := 100 * math.Abs(math.Exp(effect)-1)
	if effect < 0 {
		return fmt.Sprintf("about %.0f %% fewer", percent)
	}
	return fmt.Sprintf("about %.0f %% more", percent)
}

// alternatives holds the level below and the level above the plan's against it,
// each at the middle of its range: the ratio of bites with its 90 % interval.
// A heavier level is shown so that it can be seen what it is not worth.
func (in Input) alternatives(t feeder.Plan, day activity.Covariates) ([]model.Alternative, error) {
	levels := feeder.Levels()
	at := slices.Index(levels, t.Feed.Level)
	out := []model.Alternative{}
	for _, i := range []int{at - 1, at + 1} {
		if i < 0 || i >= len(levels) {
			continue
		}
		low, high, ok := feeder.LevelRangeGH(feeder.Group(in.Question.Group), levels[i])
		rate := math.Sqrt(low * high)
		if !ok || t.Feed.CeilingGH > 0 && rate > t.Feed.CeilingGH { // a caution's cap
			continue
		}
		other := day
		other.PlannedRateGH = rate
		mean, sd, err := in.Fit.Difference(other, in.setting(), day, in.setting())
		if err != nil {
			return nil, err
		}
		ratio := model.RatioRange{
			Mean: air.Round(math.Exp(mean), 3), Low90: air.Round(math.Exp(mean-standsOut*sd), 3), High90: air.Round(math.Exp(mean+standsOut*sd), 3),
		}
		a := model.Alternative{
			Level: string(levels[i]), RateGH: model.Known(model.GramsPerHour(math.Round(rate))), RateRatio: &ratio,
			Text: alternativeText(string(levels[i]), rate, ratio),
		}
		if e, ok := activity.EValue(math.Exp(mean)); ok {
			a.EValue = model.Known(air.Round(e, 2))
			bound, _ := activity.EValue(math.Min(math.Max(1, ratio.Low90), ratio.High90))
			a.Text += ". " + eValueText(e, bound)
		}
		if why := in.Fit.Tried.Refused(in.Question.Water, day.WaterC, rate); why != "" {
			a.Text += "; " + why
		}
		out = append(out, a)
	}
	return out, nil
}

func alternativeText(level string, rate float64, r model.RatioRange) string {
	text := fmt.Sprintf("%s, %.0f g/h: %.2f times the bites of the plan, 90 %% interval %.2f to %.2f", level, rate, r.Mean, r.Low90, r.High90)
	// Statistics pack 2.4: no visible difference only where the whole interval
	// lies close to 1.
	switch {
	case r.Low90 >= 0.8 && r.High90 <= 1.25:
		text += "; no visible difference, and feed cannot be taken back"
	case r.Low90 < 1 && r.High90 > 1:
		text += "; which of the two is better cannot be told yet"
	}
	return text
}

// sortedIndex lists the positions of the values from the smallest up.
func sortedIndex(values []float64) []int {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(values[a], values[b]) })
	return order
}
