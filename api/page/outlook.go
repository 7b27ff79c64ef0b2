package page

import (
	_ "embed"
	"fmt"
	"slices"
	"time"

	"osier/model"
)

//go:embed club/outlook.html
var clubOutlookHTML string

//go:embed club/wateroutlook.html
var waterOutlookHTML string

//go:embed club/day.html
var dayHTML string

var (
	outlookPart      = part("outlook", restrictionsHTML+dayHTML+clubOutlookHTML)
	waterOutlookPart = part("water outlook", dayHTML+waterOutlookHTML)
)

type outlookWaterView struct {
	ID, Name, Note string
	Since          []string // decided or lifted after it was published
	Restrictions   []restrictionView
	Days           []dayView
	Scores         []scoreView
}

// Outlook is the page of a club's outlook as it was published, with what was
// decided since said above each water. What a closure has withdrawn since is
// taken out of the days. at says which restrictions are in force.
func Outlook(o model.Outlook, at time.Time, notice string) ([]byte, error) {
	o = o.AsNow()
	view := struct {
		model.Outlook
		Days, Published string
		CSV             string
		Waters          []outlookWaterView
		Contents        bool
	}{Outlook: o, Days: daysText(o), Published: publishedText(o), Contents: len(o.Waters) > 1}
	if o.Publish != nil {
		view.CSV = OutlookCSVPath(o.Club, o.ID)
	}
	for _, w := range o.Waters {
		view.Waters = append(view.Waters, viewOutlookWater(o, w, at))
	}
	return Frame{
		Title: o.ClubName + ": outlook", Path: OutlookPath(o.Club, o.ID), Demo: o.Demo, Notice: notice, Credits: o.Credits, Feeds: ClubFeeds(o.Club),
	}.Page(outlookPart, view)
}

func publishedText(o model.Outlook) string {
	zone := location(o.Zone)
	built := "built " + moment(o.BuiltAt.In(zone)) + " on the fit " + o.Fit
	if o.Publish == nil {
		return "A draft, " + built + ". Nobody but the club's officers sees it."
	}
	return fmt.Sprintf("Published %s by %s; %s. It is kept as it was published.", moment(o.Publish.At.In(zone)), o.Publish.By, built)
}

func viewOutlookWater(o model.Outlook, w model.OutlookWater, at time.Time) outlookWaterView {
	zone := location(w.Zone)
	v := outlookWaterView{ID: w.Water, Name: w.Name, Note: w.Note}
	for _, s := range o.SincePublished {
		if s.Water == w.Water {
			v.Since = append(v.Since, s.Text)
		}
	}
	for _, r := range sortedRestrictions(w.Restrictions) {
		v.Restrictions = append(v.Restrictions, viewRestriction(r, zone, at))
	}
	for _, d := range w.Days {
		v.Days = append(v.Days, viewDay(w.Water, w.Name, d, zone))
	}
	for _, s := range o.Scores {
		if s.Water == w.Water {
			v.Scores = append(v.Scores, viewScore(s))
		}
	}
	return v
}

// WaterFeeds are those of the clubs that published something for a water.
func WaterFeeds(w model.WaterOutlook) []Feed {
	var clubs []string
	for _, d := range w.Days {
		if d.Club != "" && !slices.Contains(clubs, d.Club) {
			clubs = append(clubs, d.Club)
		}
	}
	var feeds []Feed
	for _, club := range clubs {
		feeds = append(feeds, ClubFeeds(club)...)
	}
	return feeds
}

type waterOutlookDay struct {
	Told, Path      string // who published it and when, and the outlook it stands in
	Since           []string
	Note, WaterNote string
	Day             dayView
}

// WaterOutlook is the page of what is in force for one water, day by day: what a
// club published, or else what would be built now.
func WaterOutlook(w model.WaterOutlook, notice string) ([]byte, error) {
	zone := location(w.Zone)
	view := struct {
		model.WaterOutlook
		Days []waterOutlookDay
	}{WaterOutlook: w}
	for _, d := range w.Days {
		told := waterOutlookDay{
			Told: "Not published by a club: built " + moment(d.BuiltAt.In(zone)) + " from the newest weather.",
			Note: d.Note, WaterNote: d.WaterNote, Day: viewDay(w.Water, w.Name, d.Day, zone),
		}
		if d.Published && d.Publish != nil {
			told.Told = fmt.Sprintf("Published %s by %s for %s.", moment(d.Publish.At.In(zone)), d.Publish.By, d.ClubName)
			told.Path = OutlookPath(d.Club, d.Outlook)
		}
		for _, s := range d.Since {
			told.Since = append(told.Since, s.Text)
		}
		view.Days = append(view.Days, told)
	}
	return Frame{
		Title: w.Name + ": outlook", Path: WaterOutlookPath(w.Water), Demo: w.Demo, Notice: notice, Credits: w.Credits, Feeds: WaterFeeds(w),
	}.Page(waterOutlookPart, view)
}
