package caution

import (
	"slices"
	"time"

	"osier/model"
)

const overfeedingSource = "1.5 kg a day was proposed for one lake (Boros et al. 2022); surveys give 1 to 2.3 kg (Fazekas et al. 2023)"

// mostDryG is the dry feed of a day beyond which it is noted; Boros et al. 2022.
const mostDryG = 1500

// Overfeeding adds to the cautions of an outing what the feed planned for it
// raises, in dry grams of the day, and returns them in order. It comes after the
// others, since the feed is known only when they have capped it. Source: the
// project's cautions pack, section 3.
func Overfeeding(found []model.Caution, w model.Water, from, until time.Time, plannedDryG float64) []model.Caution {
	limitG := min(mostDryG, float64(w.FeedLimitDryG.Or(mostDryG)))
	c := model.Caution{
		ID: "overfeeding", Source: overfeedingSource,
		Inputs: map[string]float64{"planned_dry_g": plannedDryG, "limit_dry_g": limitG},
	}
	switch {
	case plannedDryG > 0 && Asks(found, "low_oxygen", model.Care):
		c.Level, c.Threshold = model.Care, "low oxygen care"
		c.Text = "Feed is held at Lean: oxygen may be low, and feed that is left takes more of it."
	case plannedDryG > limitG:
		c.Level, c.Threshold = model.Note, "more dry feed than 1.5 kg a day, or than this water allows"
		c.Text = "The hours planned would take " + figure(plannedDryG) + " g of dry feed, over the " + figure(limitG) + " g a day that is taken as the most here: mix no more, and when it is gone fish on without."
	default:
		return found
	}
	loc, err := w.Location()
	if err != nil {
		loc = time.UTC
	}
	c.From, c.Until = from.In(loc), until.In(loc)
	found = append(slices.Clone(found), c)
	inOrder(found)
	return found
}

// Asks says whether a caution asks for a level anywhere.
func Asks(found []model.Caution, id string, level model.CautionLevel) bool {
	return slices.ContainsFunc(found, func(c model.Caution) bool { return c.ID == id && c.Level == level })
}
