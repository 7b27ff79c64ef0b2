package plan

import (
	"fmt"
	"math"
	"time"

	"osier/model"
)

// coldestAndWarmest goes by the middle of each month's water.
func coldestAndWarmest(months []model.SeasonMonth) (cold, warm model.SeasonMonth) {
	cold, warm = months[0], months[0]
	for _, m := range months {
		if m.WaterC.Middle < cold.WaterC.Middle {
			cold = m
		}
		if m.WaterC.Middle > warm.WaterC.Middle {
			warm = m
		}
	}
	return cold, warm
}

// winterAgainstSummer holds the coldest month against the warmest, in sentences.
func (in SeasonInput) winterAgainstSummer(cold, warm model.SeasonMonth, middle func(time.Month) time.Time) ([]string, error) {
	out := []string{fmt.Sprintf("%s against %s: water about %.0f C against %.0f C, and %.0f h of day against %.0f h.",
		cold.Name, warm.Name, cold.WaterC.Middle, warm.WaterC.Middle, cold.Light.DayLengthH, warm.Light.DayLengthH)}
	for i, c := range cold.Groups {
		w := warm.Groups[i]
		bites, err := in.bitesAgainst(c.Group, cold, warm, middle)
		if err != nil {
			return nil, err
		}
		out = append(out,
			fmt.Sprintf("%s, feed: %s against %s; feeder %s against %s; opening fills %d against %d; particles: %s, against %s.",
				c.Group, c.Level, w.Level, c.Step, w.Step, c.OpeningFills, w.OpeningFills, c.Particles, w.Particles),
			fmt.Sprintf("%s, rhythm: a cast every %.0f min against %.0f; hook length %.0f to %.0f cm against %.0f to %.0f; %.0f to %.0f min of patience against %.0f to %.0f.",
				c.Group, c.RecastMin, w.RecastMin, c.HookLengthCm.Low, c.HookLengthCm.High, w.HookLengthCm.Low, w.HookLengthCm.High,
				c.PatienceMin.Low, c.PatienceMin.High, w.PatienceMin.Low, w.PatienceMin.High),
			fmt.Sprintf("%s, bites: about %s an hour (nine in ten sessions %s to %s) against %s (%s to %s); %s.",
				c.Group, twoFigures(c.BitesPerH.Median), twoFigures(c.BitesPerH.Low90), twoFigures(c.BitesPerH.High90),
				twoFigures(w.BitesPerH.Median), twoFigures(w.BitesPerH.Low90), twoFigures(w.BitesPerH.High90), bites))
	}
	return out, nil
}

// bitesAgainst says whether the two can be told apart.
func (in SeasonInput) bitesAgainst(g model.Group, cold, warm model.SeasonMonth, middle func(time.Month) time.Time) (string, error) {
	c, err := in.ordinary(g, middle(time.Month(cold.Month)), cold.WaterC.Middle)
	if err != nil {
		return "", err
	}
	w, err := in.ordinary(g, middle(time.Month(warm.Month)), warm.WaterC.Middle)
	if err != nil {
		return "", err
	}
	diff, sd, err := in.Fits[g].Difference(w, in.setting(), c, in.setting())
	if err != nil {
		return "", fmt.Errorf("hold the months of %s against each other: %w", g, err)
	}
	if math.Abs(diff) <= standsOut*sd {
		return "the two cannot be told apart", nil
	}
	return fmt.Sprintf("on the mean %.1f times as many in %s, 90 %% interval %.1f to %.1f",
		math.Exp(diff), warm.Name, math.Exp(diff-standsOut*sd), math.Exp(diff+standsOut*sd)), nil
}

// notes says in plain words what a reader of a season must know.
func (in SeasonInput) notes(months []model.SeasonMonth) []string {
	notes := []string{
		"This is what is usual. Go by the water on the day and not by the month: ask for a plan before you leave home.",
		"Feed, feeder, rhythm, hook length and hours are common practice at such a water temperature. Bites are those of ordinary weather at the middle of the month's water; a month's colder and warmer days lie beyond.",
		"Cautions are those common in such a month, and thunder is told by no season; a month without a caution is not a safe month.",
	}
	climate, unchecked := 0, 0
	for _, m := range months {
		if m.WaterC.Basis == model.ByClimate {
			climate++
		}
		for _, c := range m.Cautions {
			if c.Level == model.NotChecked {
				unchecked++
				break
			}
		}
	}
	if climate > 0 {
		notes = append(notes, fmt.Sprintf("In %d of 12 months the water comes from its climate alone, give or take 4 C: fewer than %d days of weather are stored.", climate, leastSeasonDays))
	}
	if unchecked > 0 {
		notes = append(notes, fmt.Sprintf("Cold, heat or gusts were not checked in %d of 12 months: too little of their weather is stored.", unchecked))
	}
	for _, g := range in.Groups {
		if in.Fits[g].Sessions == 0 {
			notes = append(notes, fmt.Sprintf("The bites of %s rest on too few records to count: they are what is typical of such water.", g))
		}
	}
	return notes
}
