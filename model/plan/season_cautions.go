package plan

import (
	"fmt"
	"time"

	"osier/model"
)

// waterCautions says which cautions are common in a month by what its water may
// come to: each threshold is that of the caution itself (cautions pack, sections
// 2 and 3).
func waterCautions(w model.SeasonWater, middle time.Time, south bool) []model.SeasonCaution {
	out := []model.SeasonCaution{}
	add := func(when bool, id string, level model.CautionLevel, text string) {
		if when {
			out = append(out, model.SeasonCaution{ID: id, Level: level, Text: text, Basis: w.Basis})
		}
	}
	low, high := w.MayFallTo, w.MayReach
	add(low < 8, "cold_water", model.Care, fmt.Sprintf("The water may be down to %.0f C: a fall in is dangerous within a minute.", low))
	add(low >= 8 && low < 15, "cold_water", model.Note, fmt.Sprintf("The water may be down to %.0f C, which counts as cold.", low))
	add(low < 3, "ice", model.Care, "Ice may form. Never step on it; if it is there, go home.")
	add(high >= 24, "fish_heat", model.Care, "The water may reach 24 C: feed Even at most, no keepnet, return fish in the water.")
	add(high >= 21 && high < 24, "fish_heat", model.Note, "The water may reach 21 C: leave pike, barbel and chub alone.")
	add(high >= 22, "low_oxygen", model.Care, "Calm nights may leave little oxygen at first light; no meter reading, by the water's warmth alone.")
	add(high >= 20 && high < 22, "low_oxygen", model.Note, "Two calm nights running may leave little oxygen at first light; no meter reading, by the water's warmth alone.")
	add(high >= 22, "keepnet", model.Care, "Keepnets are not advised when the water is 22 C or more.")
	add(high >= 20 && high < 22, "keepnet", model.Note, "In water of 20 C or more hold fish for a short time only.")
	add(high >= 18 && bloomMonth(middle.Month(), south), "algae", model.Note, "Bloom season: if water looks like paint or scum, keep hands and dogs out and tell the club.")
	return out
}

// bloomMonth is June to November, and half a year later in the south.
func bloomMonth(m time.Month, south bool) bool {
	if south {
		m = (m+5)%12 + 1
	}
	return m >= time.June && m <= time.November
}

// The hours of a day in which weather counts for a month, and how many of its
// days make something common; our choice.
const (
	firstFishedHour = 7
	lastFishedHour  = 20
	commonShare     = 0.1
)

// weatherStep is one step of a caution for people, and whether an hour takes it.
type weatherStep struct {
	id    string
	level model.CautionLevel
	what  string // "On 4 of 31 days on record ..."
	takes func(PastHour) bool
}

// weatherSteps are those of the cautions pack, section 2, the graver first.
var weatherSteps = []weatherStep{
	{"cold_exposure", model.Care, "it felt -3 C or colder: a windproof layer, dry gloves, and a time to stop", func(p PastHour) bool { return p.FeelsC.Known && p.FeelsC.Value <= -3 }},
	{"cold_exposure", model.Note, "it felt 0 C or colder: a windproof layer and dry gloves", func(p PastHour) bool { return p.FeelsC.Known && p.FeelsC.Value <= 0 }},
	{"heat", model.Care, "the air reached 28 C: shade, water, a hat; rest between 11 and 3", func(p PastHour) bool { return p.AirC.Known && p.AirC.Value >= 28 }},
	{"heat", model.Note, "the air reached 25 C: shade, water and a hat", func(p PastHour) bool { return p.AirC.Known && p.AirC.Value >= 25 }},
	{"wind", model.Care, "gusts reached 14 m/s: no umbrella, stay out from under trees", func(p PastHour) bool { return p.GustMps.Known && p.GustMps.Value >= 14 }},
}

// weatherNeeds says whether an hour could have told of each caution.
var weatherNeeds = []struct {
	id, subject string
	told        func(PastHour) bool
}{
	{"cold_exposure", "Cold", func(p PastHour) bool { return p.FeelsC.Known }},
	{"heat", "Heat", func(p PastHour) bool { return p.AirC.Known }},
	{"wind", "Gusts", func(p PastHour) bool { return p.GustMps.Known }},
}

// weatherCautions says which cautions were common on the month's days on record,
// and which of them too few days can tell of.
func weatherCautions(past []PastHour, month time.Month) []model.SeasonCaution {
	days := func(is func(PastHour) bool) int {
		seen := map[string]bool{}
		for _, p := range past {
			if h := p.At.Hour(); p.At.Month() == month && h >= firstFishedHour && h <= lastFishedHour && is(p) {
				seen[dayName(p.At)] = true
			}
		}
		return len(seen)
	}
	var out []model.SeasonCaution
	for _, need := range weatherNeeds {
		told := days(need.told)
		if told < leastSeasonDays {
			out = append(out, model.SeasonCaution{
				ID: need.id, Level: model.NotChecked, Basis: model.ByNothing,
				Text: fmt.Sprintf("%s: not checked, %d days of this month are on record and %d are needed.", need.subject, told, leastSeasonDays),
			})
			continue
		}
		for _, step := range weatherSteps {
			if n := days(step.takes); step.id == need.id && float64(n) >= commonShare*float64(told) {
				out = append(out, model.SeasonCaution{
					ID: step.id, Level: step.level, Basis: model.ByWeather, Text: fmt.Sprintf("On %d of %d days on record %s.", n, told, step.what),
				})
				break
			}
		}
	}
	return out
}

// addSpawning marks the months in which warming water passes 15 to 18 C, when
// many coarse fish spawn (trade pack 5.1; the temperatures are from memory).
func addSpawning(months []model.SeasonMonth) {
	for i := range months {
		before, after := months[(i+11)%12].WaterC.Middle, months[(i+1)%12].WaterC.Middle
		w := months[i].WaterC
		if before < after && w.MayReach >= 15 && w.MayFallTo <= 18 {
			months[i].Cautions = append(months[i].Cautions, model.SeasonCaution{
				ID: "spawning", Level: model.Note, Text: "Fish may spawn as the water passes 15 to 18 C: leave a bank alone where they do.", Basis: w.Basis,
			})
		}
	}
}
