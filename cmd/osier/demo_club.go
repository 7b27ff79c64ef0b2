package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

const (
	demoClubID  = "hobbin-row"
	demoOfficer = "water-officer"
)

// publishDemo registers the invented club, closes the pool as it was closed in the
// heat and as it is now, and publishes the outlook of the days ahead.
func (a *app) publishDemo(ctx context.Context, db *store.DB, w demoWorld) (model.Outlook, error) {
	zone := w.Waters[0].Zone
	club := model.Club{ID: demoClubID, Name: "Hobbin Row Angling Circle", Zone: zone, About: invented}
	for _, one := range w.Waters {
		club.Waters = append(club.Waters, one.ID)
	}
	register := jobs.ClubRegister{Store: db, Now: a.now, Demo: true}
	if _, _, err := register.PutClub(ctx, club); err != nil {
		return model.Outlook{}, fmt.Errorf("register the invented club: %w", err)
	}
	closures, err := w.closures(a.now())
	if err != nil {
		return model.Outlook{}, err
	}
	for _, c := range closures {
		restrictor := jobs.Restrictor{Store: db, Now: func() time.Time { return c.From }, Demo: true}
		decided := model.Restriction{
			Club: demoClubID, Water: c.Water, Kind: model.WaterClosed, From: c.From, Until: model.Known(c.Until), Reason: c.Reason, DecidedBy: demoOfficer,
		}
		if _, _, err := restrictor.Restrict(ctx, decided); err != nil {
			return model.Outlook{}, fmt.Errorf("close the invented pool: %w", err)
		}
	}
	outlooker := jobs.Outlooker{Store: db, Now: a.now}
	draft, err := outlooker.Build(ctx, demoClubID, jobs.UsualOutlookDays)
	if err != nil {
		return draft, fmt.Errorf("build the invented club's outlook: %w", err)
	}
	published, _, err := outlooker.Publish(ctx, demoClubID, draft.ID, demoOfficer)
	return published, err
}

// closures are those of the pool: in the heat of the last July, and, where that is
// not now, for what the season asks, from today on.
func (w demoWorld) closures(now time.Time) ([]demoClosure, error) {
	heat := w.Truth.Closure
	if !now.Before(heat.From) && now.Before(heat.Until) {
		return []demoClosure{heat}, nil
	}
	zone, err := w.Waters[thistlecote].Location()
	if err != nil {
		return nil, fmt.Errorf("the demo's clocks: %w", err)
	}
	year, month, day := now.In(zone).Date()
	today := time.Date(year, month, day, 0, 0, 0, 0, zone)
	reason := "the banks are mended (invented)"
	switch month {
	case time.May, time.June:
		reason = "carp are spawning in the margins (invented)"
	case time.November, time.December, time.January, time.February:
		reason = "fish were netted and moved, and the pool rests (invented)"
	case time.March, time.April, time.July, time.August, time.September, time.October:
	}
	return []demoClosure{heat, {Water: heat.Water, From: today, Until: today.AddDate(0, 0, demoClosedDays), Reason: reason}}, nil
}

// demoOutlookText tells the first day of the outlook, a line or two for each
// water; the closed one with its reason.
func demoOutlookText(out io.Writer, o model.Outlook) {
	first := o.Waters[0].Days[0].From
	fmt.Fprintf(out, "\nIts outlook for %s, published by %s (%s; all of it: /v1/clubs/%s/outlooks/%s):\n", dayText(first), o.Publish.By, o.ID, o.Club, o.ID)
	for _, w := range o.Waters {
		d := w.Days[0]
		if d.Struck {
			fmt.Fprintf(out, "  %s: %s\n", w.Name, struckText(d))
			continue
		}
		fmt.Fprintf(out, "  %s: water about %.1f C, wind up to %s m/s.\n", w.Name, d.Conditions.WaterC.Value, tenths(d.Conditions.WindMps))
		for _, g := range d.Groups {
			fmt.Fprintf(out, "    %s: feed %s, %.0f g/h, feeder %s. %s\n", g.Group, g.Level, float64(g.RateGH), g.FeederStep, g.Activity.Sentence)
		}
	}
}

// struckText is why a day may not be fished.
func struckText(d model.OutlookDay) string {
	word := "do not fish. "
	if d.Closed {
		word = "closed. "
	}
	for _, c := range d.Cautions {
		if c.Level == model.Stop && (!d.Closed || c.ID == string(model.WaterClosed)) {
			return word + c.Text
		}
	}
	return word
}
