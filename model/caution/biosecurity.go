package caution

import (
	"time"

	"osier/model"
)

const biosecuritySource = "check, clean, dry: GB Non-native Species Secretariat and partners; Anderson et al. 2015"

const (
	elsewhereCounts = 14 * 24 * time.Hour // cautions pack, section 3
	checkCleanDry   = " Check, clean and dry nets and boots before you come, dry for 48 h at least, and leave debris at the water it came from."
)

// biosecurity looks at where the angler fished last, and at reports of invasive
// species at either water. Where and when somebody fished is theirs: the caution
// names neither.
func biosecurity(o *outing) []finding {
	found := o.seen(model.SawInvasive, invasiveHolds, care, "An invasive species was reported here on %s. Check, clean and dry nets and boots before and after, dry for 48 h at least.")
	if !o.AnglerKnown {
		return append(found, o.all(notChecked(care, "Where you fished last was", "no angler was named; check, clean and dry nets and boots between waters", "another water within 14 days")))
	}
	last := o.LastElsewhere
	if !last.Known || last.Value.After(o.From) || !last.Value.Add(elsewhereCounts).After(o.From) {
		return found
	}
	f := finding{
		level: note, threshold: "another water within 14 days",
		text: "You fished elsewhere within two weeks." + checkCleanDry,
	}
	if _, alert := o.lastReport(model.SawInvasive, o.LastElsewhereWater, invasiveHolds); alert && o.LastElsewhereWater != o.Water.ID {
		f.level, f.badness, f.threshold = care, 1, "another water within 14 days, with an invasive species reported"
		f.text = "An invasive species was reported where you fished within two weeks." + checkCleanDry
	}
	return append(found, o.all(f))
}
