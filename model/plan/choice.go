package plan

import (
	"fmt"
	"math"
	"slices"

	"osier/model"
	"osier/model/activity"
	"osier/model/air"
)

// Considered is one outing weighed against others: its plan in short, and what
// the fit must read to hold it against another. It keeps no weather, so that
// many can be held at once.
type Considered struct {
	Option     model.ChoiceOption
	Demo       bool
	covariates activity.Covariates
	setting    activity.Setting
	waterSD    float64 // of the log rate, from not knowing the water's temperature
}

// Consider makes the plan of an outing and keeps what a choice needs of it. An
// outing that Build refuses is refused here.
func Consider(in Input) (Considered, error) {
	p, err := Build(in)
	if err != nil {
		return Considered{}, err
	}
	c := Considered{Option: option(p), Demo: p.Demo, setting: in.setting()}
	if c.Option.Struck {
		return c, nil
	}
	q := in.Question
	d := in.History.Drivers(Outing{
		Start: q.Start, End: q.End(), Whole: Stretch{q.Start, q.End()}, Group: q.Group, PegEffortH: in.PegEffortH,
		PlannedGH: model.Known(p.Feed.RateGH), CapacityMl: model.Known(p.Feeder.CapacityMl),
		DistanceM: q.DistanceM, DepthM: q.DepthM,
	})
	if c.covariates, err = Covariates(q.Group, d); err != nil {
		return Considered{}, err
	}
	c.waterSD, err = in.waterDoubt(d, c.Option.WaterC)
	return c, err
}

// halfWidthSDs is the half width of an 80 % interval of a normal in standard
// deviations.
const halfWidthSDs = 1.2816

// waterDoubt is how far the log rate may be out because the water may be as cold
// or as warm as the ends of its 80 % interval, as a standard deviation: the
// larger of the two shifts counts.
func (in Input) waterDoubt(d model.Drivers, w model.ChoiceWater) (float64, error) {
	middle, err := Covariates(in.Question.Group, d)
	if err != nil || !d.WaterC.Known {
		return 0, err
	}
	largest := 0.0
	for _, endC := range []float64{w.Low, w.High} {
		d.WaterC = model.Known(model.Celsius(endC))
		end, err := Covariates(in.Question.Group, d)
		if err != nil {
			return 0, err
		}
		shift, _, err := in.Fit.Difference(end, in.setting(), middle, in.setting())
		if err != nil {
			return 0, fmt.Errorf("weigh the water's temperature: %w", err)
		}
		largest = math.Max(largest, math.Abs(shift))
	}
	return largest / halfWidthSDs, nil
}

// option is a plan in short.
func option(p model.Plan) model.ChoiceOption {
	value, low, high := waterOver(p.Conditions)
	o := model.ChoiceOption{
		Water: p.Water, WaterName: p.WaterName, Start: p.Start, Hours: p.Hours, Struck: p.Activity == nil,
		Cautions: []model.ChoiceCaution{}, CautionIDs: []string{}, NotChecked: []string{},
		Feed:     model.ChoiceFeed{Level: p.Feed.Level, RateGH: p.Feed.RateGH},
		Feeder:   model.ChoiceFeeder{Step: p.Feeder.Step, CapacityMl: p.Feeder.CapacityMl},
		Activity: p.Activity, WaterC: model.ChoiceWater{Value: air.Round(value, 1), Low: air.Round(low, 1), High: air.Round(high, 1)},
		Weather: model.ChoiceWeather{
			Source: p.Weather.Source, Version: p.Weather.Version, AgeMin: p.Weather.AgeMin,
			Stale: p.Weather.Stale, MissingHours: p.Weather.MissingHours,
		},
		Evidence: p.Evidence, Confidence: p.Confidence, Plan: p.Question,
	}
	for _, c := range p.Cautions {
		if !slices.Contains(o.CautionIDs, c.ID) {
			o.CautionIDs = append(o.CautionIDs, c.ID)
		}
		switch c.Level {
		case model.Stop, model.Care:
			o.Cautions = append(o.Cautions, model.ChoiceCaution{ID: c.ID, Level: c.Level, Text: c.Text})
		case model.NotChecked:
			if !slices.Contains(o.NotChecked, c.ID) {
				o.NotChecked = append(o.NotChecked, c.ID)
			}
		case model.Note:
		}
	}
	return o
}

// Compare gives the log of the ratio of two outings' bite rates, a over b, each
// with its own plan, and its standard deviation by the fit. The error of a
// weather forecast is no part of it, but where weather is missing for either the
// doubt about the water's temperature at both is: as if the two were out each
// by itself, which is the wider. An outing that is struck out is an error.
func Compare(fit activity.Fit, a, b Considered) (mean, sd float64, err error) {
	if a.Option.Struck || b.Option.Struck {
		return 0, 0, fmt.Errorf("compare %s with %s: one is struck out by a caution", named(a), named(b))
	}
	mean, sd, err = fit.Difference(a.covariates, a.setting, b.covariates, b.setting)
	if missingWeather(a, b) {
		sd = math.Hypot(sd, math.Hypot(a.waterSD, b.waterSD))
	}
	return mean, sd, err
}

func missingWeather(a, b Considered) bool {
	return a.Option.Weather.MissingHours > 0 || b.Option.Weather.MissingHours > 0
}

// Compared holds every option that is not struck out against the one with the
// most bites an hour expected, in the order given, and says in a sentence what
// can be told apart. The most is by the middle of what is expected, not its mean:
// a mean is the larger, the less is known. Of equals it is the first.
func Compared(fit activity.Fit, options []Considered) ([]model.ChoiceComparison, string, error) {
	var open []Considered
	for _, o := range options {
		if !o.Option.Struck {
			open = append(open, o)
		}
	}
	comparisons := []model.ChoiceComparison{}
	if len(open) < 2 {
		return comparisons, tooFew(len(options), open), nil
	}
	most, err := mostBites(fit, open)
	if err != nil {
		return nil, "", err
	}
	alike := []Considered{}
	for i, o := range open {
		if i == most {
			alike = append(alike, o)
			continue
		}
		c, err := compared(fit, o, open[most])
		if err != nil {
			return nil, "", err
		}
		comparisons = append(comparisons, c)
		if !c.ToldApart {
			alike = append(alike, o)
		}
	}
	return comparisons, summary(open, alike) + byPriorAlone(open), nil
}

// mostBites is the position of the option that no other is expected to be above.
func mostBites(fit activity.Fit, open []Considered) (int, error) {
	most := 0
	for i := 1; i < len(open); i++ {
		diff, _, err := Compare(fit, open[i], open[most])
		if err != nil {
			return 0, err
		}
		if diff > 0 {
			most = i
		}
	}
	return most, nil
}

func compared(fit activity.Fit, o, against Considered) (model.ChoiceComparison, error) {
	mean, sd, err := Compare(fit, o, against)
	if err != nil {
		return model.ChoiceComparison{}, err
	}
	low, high := math.Exp(mean-standsOut*sd), math.Exp(mean+standsOut*sd)
	c := model.ChoiceComparison{
		Water: o.Option.Water, Start: o.Option.Start,
		Against:   model.ChoiceOutline{Water: against.Option.Water, Start: against.Option.Start},
		RateRatio: model.RatioRange{Mean: air.Round(math.Exp(mean), 3), Low90: air.Round(low, 3), High90: air.Round(high, 3)},
		ToldApart: math.Abs(mean) > standsOut*sd && !noVisibleDifference(low, high),
	}
	c.Text = comparisonText(c, noVisibleDifference(low, high), named(against))
	if missingWeather(o, against) {
		c.Text += "; weather is missing for some of these hours: ordinary weather stands in for it, and the interval holds the doubt about the water's temperature"
	}
	return c, nil
}

// noVisibleDifference is so where the whole 90 % interval of a ratio lies close
// to 1 (statistics pack 2.4).
func noVisibleDifference(low, high float64) bool { return low >= 0.8 && high <= 1.25 }

func comparisonText(c model.ChoiceComparison, near bool, against string) string {
	low, high := times(c.RateRatio.Low90), times(c.RateRatio.High90)
	switch {
	case c.ToldApart:
		return fmt.Sprintf("about %s times the bites an hour of %s, 90 %% interval %s to %s", times(c.RateRatio.Mean), against, low, high)
	case near:
		return fmt.Sprintf("no visible difference from %s: %s to %s times its bites an hour (90 %% interval)", against, low, high)
	}
	return fmt.Sprintf("cannot be told apart from %s: %s to %s times its bites an hour (90 %% interval)", against, low, high)
}

func times(ratio float64) string {
	if ratio < 10 {
		return fmt.Sprintf("%.2f", ratio)
	}
	return fmt.Sprintf("%.0f", ratio)
}

// named is an option inside a sentence.
func named(c Considered) string {
	return c.Option.WaterName + " on " + c.Option.Start.Format("Monday 2 January")
}
