package plan

import (
	"fmt"
	"time"

	"osier/model"
)

// seasonCautions says which cautions are common in a month by its water: each
// threshold is that of the caution itself (cautions pack, sections 2 and 3).
func seasonCautions(w model.SeasonWater, middle time.Time, south bool) []model.SeasonCaution {
	out := []model.SeasonCaution{}
	add := func(when bool, id string, level model.CautionLevel, text string) {
		if when {
			out = append(out, model.SeasonCaution{ID: id, Level: level, Text: text})
		}
	}
	add(w.Low < 8, "cold_water", model.Care, fmt.Sprintf("Water down to %.0f C: a fall in is dangerous within a minute.", w.Low))
	add(w.Low >= 8 && w.Low < 15, "cold_water", model.Note, fmt.Sprintf("Water down to %.0f C still counts as cold.", w.Low))
	add(w.Low < 3, "ice", model.Care, "Ice may form. Never step on it; if it is there, go home.")
	add(w.Low < 5, "cold_exposure", model.Note, "Expect days that feel below 0 C: a windproof layer, dry gloves, and a time to stop.")
	add(w.High >= 24, "fish_heat", model.Care, "Water may reach 24 C: feed Even at most, no keepnet, return fish in the water.")
	add(w.High >= 21 && w.High < 24, "fish_heat", model.Note, "Water may reach 21 C: feed little and land fish quickly.")
	add(w.High >= 22, "low_oxygen", model.Care, "Calm nights may leave little oxygen at first light; no meter reading, by the water's warmth alone.")
	add(w.High >= 20 && w.High < 22, "low_oxygen", model.Note, "Two calm nights running may leave little oxygen at first light; by the water's warmth alone.")
	add(w.High >= 18 && bloomMonth(middle.Month(), south), "algae", model.Note, "Bloom season: if water looks like paint or scum, keep hands and dogs out and tell the club.")
	return out
}

// bloomMonth is June to November, and half a year later in the south.
func bloomMonth(m time.Month, south bool) bool {
	if south {
		m = (m+5)%12 + 1
	}
	return m >= time.June && m <= time.November
}

// addSpawning marks the months in which warming water passes 15 to 18 C, when
// many coarse fish spawn (trade pack 5.1; the temperatures are from memory).
func addSpawning(months []model.SeasonMonth) {
	for i := range months {
		before, after := months[(i+11)%12].WaterC.Middle, months[(i+1)%12].WaterC.Middle
		w := months[i].WaterC
		if before < after && w.High >= 15 && w.Low <= 18 {
			months[i].Cautions = append(months[i].Cautions, model.SeasonCaution{
				ID: "spawning", Level: model.Note, Text: "Fish may spawn as the water passes 15 to 18 C: leave a bank alone where they do.",
			})
		}
	}
}

// winterAgainstSummer holds the coldest month against the warmest, in sentences.
func winterAgainstSummer(months []model.SeasonMonth) []string {
	cold, warm := months[0], months[0]
	for _, m := range months {
		if m.WaterC.Middle < cold.WaterC.Middle {
			cold = m
		}
		if m.WaterC.Middle > warm.WaterC.Middle {
			warm = m
		}
	}
	out := []string{fmt.Sprintf("%s against %s: water about %.0f C against %.0f C, and %.0f h of day against %.0f h.",
		cold.Name, warm.Name, cold.WaterC.Middle, warm.WaterC.Middle, cold.Light.DayLengthH, warm.Light.DayLengthH)}
	for i := range cold.Groups {
		c, w := cold.Groups[i], warm.Groups[i]
		out = append(out, fmt.Sprintf("%s: %s from an %s feeder against %s from an %s; a cast every %.0f min against %.0f; a hook length of %.0f to %.0f cm against %.0f to %.0f; about %s bites an hour (nine in ten sessions %s to %s) against %s (%s to %s).",
			c.Group, c.Level, c.Step, w.Level, w.Step, c.RecastMin, w.RecastMin,
			c.HookLengthCm.Low, c.HookLengthCm.High, w.HookLengthCm.Low, w.HookLengthCm.High,
			twoFigures(c.BitesPerH.Median), twoFigures(c.BitesPerH.Low90), twoFigures(c.BitesPerH.High90),
			twoFigures(w.BitesPerH.Median), twoFigures(w.BitesPerH.Low90), twoFigures(w.BitesPerH.High90)))
	}
	return out
}

func seasonNotes(months []model.SeasonMonth) []string {
	climate := 0
	for _, m := range months {
		if m.WaterC.Basis == "climate" {
			climate++
		}
	}
	notes := []string{
		"This is what is usual. Go by the water on the day and not by the month: ask for a plan before you leave home.",
		"Feed, feeder, rhythm, hook length and hours are common practice at such a water temperature; expected bites are those of ordinary weather.",
		"Cautions are those common at such a water temperature; a month without one is not a safe month.",
	}
	if climate > 0 {
		notes = append(notes, fmt.Sprintf("In %d of 12 months the water comes from its climate alone, give or take 4 C: fewer than %d days of weather are stored.", climate, leastSeasonDays))
	}
	return notes
}
