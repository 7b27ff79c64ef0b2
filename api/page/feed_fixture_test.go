package page_test

import (
	"time"

	"osier/api/page"
	"osier/model"
)

func utc(text string) time.Time {
	at, err := time.Parse(time.RFC3339, text)
	if err != nil {
		panic(err)
	}
	return at.UTC()
}

// nasty is what a stranger might write into any field that takes words.
const nasty = hostile + "; a, b: \"c\" \\n \x00\x0b\x7f\u0085\u2028\r\ncafé \U0001F41F =1+1"

// published is an outlook of two days for two waters, each text nasty.
func published(id, at string) model.Outlook {
	known := func(v float64) model.Maybe[model.Celsius] { return model.Known(model.Celsius(v)) }
	day := func(date string) model.OutlookDay {
		return model.OutlookDay{
			Date: date, From: utc(date + "T08:00:00Z"), Until: utc(date + "T16:00:00Z"), Paragraph: nasty,
			Conditions: model.OutlookConditions{
				AirLowC: known(-3.2), AirHighC: known(4), WindMps: model.Known(model.MetresPerSecond(5)),
				WaterC: model.WaterEstimate{Value: 6.1, Low: 5.2, High: 7, Kind: model.Modelled},
			},
			Groups: []model.OutlookGroup{{
				Group: model.Bream, From: utc(date + "T10:00:00Z"), Hours: 5, Level: "lean", RateGH: 180, FeederType: "cage", CapacityMl: 25, HoursText: "no hour stands out", Evidence: nasty,
				Activity: &model.OutlookActivity{BitesPerH: model.RateRange{Mean: 2.5, Low90: 0.5, High90: 6}, Bites: model.CountRange{Low90: 2, High90: 30}, BlankProbability: 0.15},
			}},
			Cautions: []model.Caution{
				{ID: "ice", Level: model.Stop, From: utc(date + "T08:00:00Z"), Until: utc(date + "T09:00:00Z"), Text: nasty},
				{ID: "cold_water", Level: model.Care, From: utc(date + "T08:00:00Z"), Until: utc(date + "T16:00:00Z"), Text: "Cold water."},
				{ID: "closed", Level: model.Stop, From: utc(date + "T08:00:00Z"), Until: utc(date + "T16:00:00Z"), Text: "the club has closed this water"},
				{ID: "sun_glare_uv", Level: model.Note, From: utc(date + "T11:00:00Z"), Until: utc(date + "T15:00:00Z"), Text: "Glare."},
			},
			Confidence: model.Confidence{Level: "usual"},
		}
	}
	water := func(id string) model.OutlookWater {
		return model.OutlookWater{Water: id, Name: nasty, Zone: "Europe/London", Note: nasty, Days: []model.OutlookDay{day("2026-11-28"), day("2026-11-29")}}
	}
	return model.Outlook{
		ID: id, Club: "quill-club", ClubName: nasty, Zone: "Europe/London", State: model.OutlookPublished, From: "2026-11-28", Days: 2,
		Waters: []model.OutlookWater{water("quillmarsh-pit"), water("drovelow-mere")}, Note: nasty,
		Publish: &model.OutlookPublish{At: utc(at), By: "water-officer"}, Credits: []string{nasty}, Deferral: model.Deferral,
	}
}

// told is what a club told in November: an outlook, one in its place, and a draft;
// a closure across the change of clocks, a ban on keepnets that was lifted, a
// closure without an end, and a feed limit.
func told() page.ClubWord {
	first, second := published("o-1", "2026-11-26T18:30:00Z"), published("o-2", "2026-11-27T18:30:00Z")
	second.Follows = "o-1"
	second.Waters = second.Waters[:1]
	draft := published("o-3", "2026-11-27T19:00:00Z")
	draft.State, draft.Publish, draft.Note = model.OutlookDraft, nil, "a draft that nobody may see"
	decided := func(id, water string, kind model.RestrictionKind, from, madeAt string) model.Restriction {
		return model.Restriction{ID: id, Club: "quill-club", Water: water, Kind: kind, From: utc(from), MadeAt: utc(madeAt), Reason: nasty, DecidedBy: "water-officer"}
	}
	across := decided("r-1", "quillmarsh-pit", model.WaterClosed, "2026-10-24T07:00:00Z", "2026-10-23T12:00:00Z")
	across.Until = model.Known(utc("2026-10-26T08:00:00Z"))
	gone := decided("r-2", "drovelow-mere", model.NoKeepnets, "2026-11-20T09:00:00Z", "2026-11-20T09:00:00Z")
	gone.LiftedAt, gone.LiftedBy, gone.LiftedWhy = model.Known(utc("2026-11-22T10:00:00Z")), "water-officer", nasty
	gone.Until = model.Known(utc("2026-11-26T00:00:00Z"))
	holds := decided("r-3", "drovelow-mere", model.WaterClosed, "2026-10-20T09:00:00Z", "2026-10-20T08:00:00Z")
	limit := decided("r-4", "quillmarsh-pit", model.FeedLimit, "2026-11-28T09:00:00Z", "2026-11-25T08:00:00Z")
	limit.Until, limit.FeedLimitDryG = model.Known(utc("2026-11-28T15:00:00Z")), model.Known(model.Grams(500))
	for _, o := range []model.Outlook{first, second} { // they were known when it was published
		o.Waters[0].Restrictions = []model.Restriction{limit}
	}
	first.Waters[1].Restrictions = []model.Restriction{holds}
	return page.ClubWord{
		Club:         model.Club{ID: "quill-club", Name: nasty, Zone: "Europe/London", Waters: []string{"quillmarsh-pit", "drovelow-mere"}, About: nasty, AddedAt: utc("2026-01-05T10:00:00Z")},
		Waters:       []model.Water{{ID: "quillmarsh-pit", Name: nasty, Zone: "Europe/London"}, {ID: "drovelow-mere", Name: "Drovelow Mere", Zone: "Europe/London"}},
		Outlooks:     []model.Outlook{second, draft, first},
		Restrictions: []model.Restriction{across, gone, holds, limit},
		Site:         "https://club.example",
	}
}

// silent is a club that has told nothing yet.
func silent() page.ClubWord {
	w := told()
	w.Outlooks, w.Restrictions, w.Club.About = nil, nil, ""
	return w
}
