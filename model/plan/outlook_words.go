package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"osier/model"
)

// outlookParagraph tells a day in plain sentences: what clubs decided and what to
// beware of, then the weather and the water, then what to feed and to expect.
func outlookParagraph(d model.OutlookDay, hours int) string {
	says := warnings(d.Cautions)
	says = append(says, fmt.Sprintf("From %s to %s: %s.", d.From.Format("15:04"), d.Until.Format("15:04"), weatherWords(d.Conditions)))
	if n := d.Conditions.MissingHours; n > 0 {
		says = append(says, fmt.Sprintf("Weather is missing for %d of %d hours.", n, hours))
	}
	says = append(says, waterWords(d.Conditions.WaterC))
	if d.Struck {
		says = append(says, "No hour of the day may be fished, so nothing is said of feed or bites.")
	}
	for _, g := range d.Groups {
		says = append(says, groupWords(g))
	}
	return strings.Join(says, " ")
}

// warnings are the cautions that ask for something, in their order, and what was
// not checked in one sentence.
func warnings(cautions []model.Caution) []string {
	var says, unchecked []string
	for _, c := range cautions {
		switch c.Level {
		case model.Stop, model.Care:
			if !slices.Contains(says, c.Text) {
				says = append(says, c.Text)
			}
		case model.NotChecked:
			if name := strings.ReplaceAll(c.ID, "_", " "); !slices.Contains(unchecked, name) {
				unchecked = append(unchecked, name)
			}
		case model.Note:
		}
	}
	if len(unchecked) > 0 {
		says = append(says, "Not checked, since something is not known: "+strings.Join(unchecked, ", ")+".")
	}
	return says
}

func weatherWords(c model.OutlookConditions) string {
	var says []string
	if c.AirLowC.Known {
		words := fmt.Sprintf("air %s C", spanWords(float64(c.AirLowC.Value), float64(c.AirHighC.Value)))
		if c.FeelsLikeLowC.Known && c.FeelsLikeLowC.Value < c.AirLowC.Value {
			words += fmt.Sprintf(", feeling like %.0f C at the least", wholeC(float64(c.FeelsLikeLowC.Value)))
		}
		says = append(says, words)
	}
	if c.WindMps.Known {
		words := fmt.Sprintf("wind up to %.0f m/s", float64(c.WindMps.Value))
		if c.GustMps.Known {
			words += fmt.Sprintf(" with gusts of %.0f", float64(c.GustMps.Value))
		}
		says = append(says, words)
	}
	if c.RainMm.Known {
		says = append(says, rainWords(float64(c.RainMm.Value)))
	}
	if c.PressureHPa.Known {
		words := fmt.Sprintf("pressure %.0f hPa", float64(c.PressureHPa.Value))
		if c.PressureText != "" && c.PressureText != "unknown" {
			words += ", " + c.PressureText
		}
		says = append(says, words)
	}
	if len(says) == 0 {
		return "nothing is known of the weather"
	}
	return strings.Join(says, "; ")
}

func spanWords(low, high float64) string {
	from, to := fmt.Sprintf("%.0f", wholeC(low)), fmt.Sprintf("%.0f", wholeC(high))
	if from == to {
		return from
	}
	return from + " to " + to
}

// wholeC rounds without leaving a zero that has a sign.
func wholeC(c float64) float64 { return math.Round(c) + 0 }

func rainWords(mm float64) string {
	if mm < 0.05 {
		return "no rain"
	}
	return fmt.Sprintf("%.1f mm of rain", mm)
}

func waterWords(w model.WaterEstimate) string {
	if w.Kind == model.Assumed {
		return fmt.Sprintf("The water is taken to be %.1f C by its climate alone (%.1f to %.1f in four of five such days).", w.Value, w.Low, w.High)
	}
	return fmt.Sprintf("The water is about %.1f C (80 %% interval %.1f to %.1f).", w.Value, w.Low, w.High)
}

// groupWords is one group in two sentences and what is said of the hours.
func groupWords(g model.OutlookGroup) string {
	weight := "with no weight that is safe to cast"
	if g.WeightG.Known {
		weight = fmt.Sprintf("of %.0f g", float64(g.WeightG.Value))
	}
	return fmt.Sprintf("For %s: feed %s, %.0f g/h damp, by a %s feeder of size %s (%.0f ml) %s. %s %s.",
		g.Group, strings.ToLower(g.Level), float64(g.RateGH), strings.ReplaceAll(g.FeederType, "_", " "), g.FeederStep, float64(g.CapacityMl), weight,
		g.Activity.Sentence, sentence(g.HoursText))
}
