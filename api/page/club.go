package page

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"time"

	"osier/model"
)

//go:embed club/club.html
var clubHTML string

//go:embed club/restrictions.html
var restrictionsHTML string

var clubPart = part("club", restrictionsHTML+clubHTML)

// ClubPage is what the page of a club is made of; there is nothing in it that the
// public may not see.
type ClubPage struct {
	Club   model.Club
	Waters []model.Water // in the club's order
	// Published are the outlooks that were published and not superseded, newest
	// first.
	Published    []model.Outlook
	Restrictions []model.Restriction  // that hold now or will
	Scores       []model.OutlookScore // of months, newest first
	Demo         bool
}

type clubWaterView struct {
	ID, Name     string
	Restrictions []restrictionView
	Today        string // what the published outlook says of today, in a sentence
}

type outlookLink struct{ Path, Title, Published string }

// Club is the page of a club: its waters with what is decided there at an
// instant, and what was published for that day.
func Club(c ClubPage, at time.Time, notice string) ([]byte, error) {
	view := struct {
		ClubPage
		Waters   []clubWaterView
		Outlooks []outlookLink
		Scores   []scoreView
		Feeds    []Feed
	}{ClubPage: c, Feeds: ClubFeeds(c.Club.ID)}
	for _, w := range c.Waters {
		zone := location(w.Zone)
		v := clubWaterView{ID: w.ID, Name: w.Name, Restrictions: viewRestrictions(c.Restrictions, w.ID, zone, at)}
		v.Today = todayAt(c, w, at.In(zone), v.Restrictions)
		view.Waters = append(view.Waters, v)
	}
	for _, o := range c.Published {
		view.Outlooks = append(view.Outlooks, linkTo(o.Entry(), o.Zone))
	}
	for _, score := range c.Scores {
		one := viewScore(score)
		one.Group = waterName(c.Waters, score.Water)
		view.Scores = append(view.Scores, one)
	}
	return Frame{Title: c.Club.Name, Path: ClubPath(c.Club.ID), Demo: c.Demo, Notice: notice, Feeds: view.Feeds}.Page(clubPart, view)
}

func waterName(waters []model.Water, id string) string {
	for _, w := range waters {
		if w.ID == id {
			return w.Name
		}
	}
	return id
}

// ClubPath is where a club's page is.
func ClubPath(club string) string { return "/clubs/" + club }

// OutlookPath is where the page of a club's outlook is.
func OutlookPath(club, outlook string) string { return ClubPath(club) + "/outlooks/" + outlook }

// OfficePath is where a club's officers work.
func OfficePath(club string) string { return ClubPath(club) + "/office" }

// WaterOutlookPath is where the newest outlook for one water is.
func WaterOutlookPath(water string) string { return "/waters/" + water + "/outlook" }

func linkTo(o model.OutlookEntry, zone string) outlookLink {
	l := outlookLink{Path: OutlookPath(o.Club, o.ID), Title: spanOfDays(o.From, o.Days)}
	if o.Publish != nil {
		l.Published = fmt.Sprintf("published %s by %s", moment(o.Publish.At.In(location(zone))), o.Publish.By)
	}
	return l
}

// daysText says which days an outlook is for.
func daysText(o model.Outlook) string { return spanOfDays(o.From, o.Days) }

func spanOfDays(from string, days int) string {
	first, err := time.Parse(time.DateOnly, from)
	if err != nil {
		return from
	}
	if days <= 1 {
		return first.Format("Monday 2 January 2006")
	}
	last := first.AddDate(0, 0, days-1)
	if first.Month() == last.Month() {
		return first.Format("Monday 2") + " to " + last.Format("Monday 2 January 2006")
	}
	return first.Format("Monday 2 January") + " to " + last.Format("Monday 2 January 2006")
}

// todayAt is what the newest published outlook says of today at a water. What
// was decided since outranks it.
func todayAt(c ClubPage, w model.Water, now time.Time, decided []restrictionView) string {
	closed := slices.ContainsFunc(decided, func(r restrictionView) bool { return r.Now && r.Closed })
	if closed {
		return "Closed today: no outlook holds while it is."
	}
	today := now.Format(time.DateOnly)
	for _, o := range c.Published {
		if day, ok := outlookDayAt(o.AsNow(), w.ID, today); ok {
			return "Today. " + daySentence(day)
		}
	}
	return "No outlook is published for today."
}

// outlookDayAt is what an outlook says of a water on a date.
func outlookDayAt(o model.Outlook, water, date string) (model.OutlookDay, bool) {
	for _, w := range o.Waters {
		if w.Water != water {
			continue
		}
		for _, d := range w.Days {
			if d.Date == date {
				return d, true
			}
		}
	}
	return model.OutlookDay{}, false
}

// daySentence says in one sentence what to expect of a day.
func daySentence(d model.OutlookDay) string {
	var expected []string
	for _, g := range d.Groups {
		if g.Activity != nil {
			r := g.Activity.BitesPerH
			expected = append(expected, fmt.Sprintf("%s %s bites an hour (nine in ten sessions %s to %s)", groupWords(g.Group), halves(r.Mean), bites(r.Low90), bites(r.High90)))
		}
	}
	cautions := ""
	if asking, _ := splitCautions(d.Cautions); len(asking) > 0 {
		cautions = "; " + count(len(asking), "caution") + " to read first"
	}
	if len(expected) == 0 && !d.Struck {
		return "What was expected is withdrawn: a closure of some hours was made since" + cautions + "."
	}
	if len(expected) == 0 {
		return "Nothing is expected: no hour of the day may be fished" + cautions + "."
	}
	return "Expected: " + strings.Join(expected, "; ") + cautions + "."
}
