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
	find   func(outing) []finding
}

var checks = []check{
	{"algae", seenSource, bloom},
	{"alone", aloneSource, alone},
	{"cold_exposure", coldExposureSource, coldExposure},
	{"heat", heatSource, heat},
	{"ice", iceSource, ice},
	{"lightning", lightningSource, lightning},
	{"low_oxygen", seenSource, distress},
	{"overhead_lines", overheadLinesSource, overheadLines},
	{"spawning", seenSource, spawning},
	{"wind", windSource, wind},
}

// Check returns every caution for the hours planned: stop first, then care, not
// checked and note, by id and by time within each. An outing that ends before
// it begins has none. Source: the project's cautions pack, sections 1 to 4.
func Check(in Input) []model.Caution {
	if !in.From.Before(in.Until) {
		return nil
	}
	o := newOuting(in)
	var cautions []model.Caution
	for _, c := range checks {
		raised, unchecked := o.spans(c.find(o))
		for _, s := range slices.Concat(raised, unchecked) {
			cautions = append(cautions, o.caution(c, s))
		}
	}
	slices.SortStableFunc(cautions, func(a, b model.Caution) int {
		return cmp.Or(
			cmp.Compare(slices.Index(shown, a.Level), slices.Index(shown, b.Level)),
			cmp.Compare(a.ID, b.ID),
			a.From.Compare(b.From),
		)
	})
	return cautions
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
