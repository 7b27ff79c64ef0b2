package caution

import (
	"cmp"
	"slices"
	"time"

	"osier/model"
)

// check is one kind of caution.
type check struct {
	id     string
	source string
	find   func(*outing) []finding
}

var checks = []check{
	{"algae", algaeSource, algae},
	{"alone", aloneSource, alone},
	{"biosecurity", biosecuritySource, biosecurity},
	{"cold_exposure", coldExposureSource, coldExposure},
	{"cold_water", coldWaterSource, coldWater},
	{"fish_cold", fishColdSource, fishCold},
	{"fish_heat", fishHeatSource, fishHeat},
	{"heat", heatSource, heat},
	{"ice", iceSource, ice},
	{"keepnet", keepnetSource, keepnet},
	{"lightning", lightningSource, lightning},
	{"low_oxygen", lowOxygenSource, lowOxygen},
	{"overhead_lines", overheadLinesSource, overheadLines},
	{"slippery_bank", slipperyBankSource, slipperyBank},
	{"spawning", spawningSource, spawning},
	{"sun_glare_uv", sunGlareSource, sunGlare},
	{"waves", wavesSource, waves},
	{"wind", windSource, wind},
}

// Check returns every caution for the hours planned: official warnings before
// all, then closures, then stop, care, not checked and note, by id and by time
// within each. An outing that ends before it begins has none. Source: the project's cautions pack, sections 1 to 4.
func Check(in Input) []model.Caution {
	if !in.From.Before(in.Until) {
		return nil
	}
	o := newOuting(in)
	cautions := slices.Concat(o.official(), o.restricted())
	for _, c := range checks {
		raised, unchecked := o.spans(c.find(o))
		for _, s := range slices.Concat(raised, unchecked) {
			cautions = append(cautions, o.caution(c, s))
		}
	}
	inOrder(cautions)
	return cautions
}

func inOrder(cautions []model.Caution) {
	slices.SortStableFunc(cautions, func(a, b model.Caution) int {
		return cmp.Or(
			cmp.Compare(rank(a), rank(b)),
			cmp.Compare(slices.Index(shown, a.Level), slices.Index(shown, b.Level)),
			cmp.Compare(a.ID, b.ID),
			a.From.Compare(b.From),
		)
	})
}

// rank puts official warnings first, and closures after them. That warnings were
// not checked is no warning.
func rank(c model.Caution) int {
	switch {
	case c.ID == officialID && c.Level != model.NotChecked:
		return 0
	case c.ID == closedID:
		return 1
	}
	return 2
}

// shown is the order of display.
var shown = []model.CautionLevel{model.Stop, model.Care, model.NotChecked, model.Note}

// Struck says whether a stop covers any part of the hour that starts at the
// time: such an hour is struck from a plan, whole.
func Struck(cautions []model.Caution, hour time.Time) bool {
	return slices.ContainsFunc(cautions, func(c model.Caution) bool {
		return c.Level == model.Stop && c.From.Before(hour.Add(time.Hour)) && c.Until.After(hour)
	})
}
