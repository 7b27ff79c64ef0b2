package model

import "time"

// OutlookEntry is one outlook in a list of a club's.
type OutlookEntry struct {
	ID           string          `json:"outlook_id"`
	Club         string          `json:"club"`
	State        OutlookState    `json:"state"`
	From         string          `json:"from"`
	Days         int             `json:"days"`
	BuiltAt      time.Time       `json:"built_at"`
	Publish      *OutlookPublish `json:"published"`
	Edited       bool            `json:"edited"`
	Follows      string          `json:"supersedes,omitempty"`
	SupersededBy string          `json:"superseded_by,omitempty"`
	Waters       []string        `json:"waters"`
	Demo         bool            `json:"demo"`
}

// Entry is an outlook as it stands in a list.
func (o Outlook) Entry() OutlookEntry {
	e := OutlookEntry{
		ID: o.ID, Club: o.Club, State: o.State, From: o.From, Days: o.Days, BuiltAt: o.BuiltAt, Publish: o.Publish,
		Edited: len(o.Edits) > 0, Follows: o.Follows, SupersededBy: o.SupersededBy, Waters: []string{}, Demo: o.Demo,
	}
	for _, w := range o.Waters {
		e.Waters = append(e.Waters, w.Water)
	}
	return e
}

// WaterOutlook is what is in force for one water, day by day: what a club
// published, or, where nothing is, what would be built now.
type WaterOutlook struct {
	Water    string            `json:"water"`
	Name     string            `json:"name"`
	Zone     string            `json:"zone"`
	AskedAt  time.Time         `json:"asked_at"`
	Days     []WaterOutlookDay `json:"days"`
	Notes    []string          `json:"notes"`
	Credits  []string          `json:"credits,omitempty"`
	Deferral string            `json:"deferral"`
	Demo     bool              `json:"demo"`
}

// WaterOutlookDay is one of those days. What a closure made since it was
// published has withdrawn is left out of it, and Since says so.
type WaterOutlookDay struct {
	Published bool            `json:"is_published"`
	Outlook   string          `json:"outlook_id,omitempty"`
	Club      string          `json:"club,omitempty"`
	ClubName  string          `json:"club_name,omitempty"`
	Publish   *OutlookPublish `json:"published"`
	BuiltAt   time.Time       `json:"built_at"`
	Fit       string          `json:"fit"`
	Since     []OutlookSince  `json:"since_published"`
	Note      string          `json:"note,omitempty"`       // of the club, for all its waters
	WaterNote string          `json:"water_note,omitempty"` // of the club, for this water
	Day       OutlookDay      `json:"day"`
}

// AsNow is an outlook with what was expected taken out of the days of which a
// closure made since it was published takes hours: no activity is shown for hours
// that are struck out. What was published stays as it is kept.
func (o Outlook) AsNow() Outlook {
	waters := make([]OutlookWater, len(o.Waters))
	for i, w := range o.Waters {
		days := make([]OutlookDay, len(w.Days))
		for j, d := range w.Days {
			days[j] = d.withdrawn(w.Water, o.SincePublished)
		}
		w.Days = days
		waters[i] = w
	}
	o.Waters = waters
	return o
}

// withdrawn is a day without its expectation where one of these closures takes
// hours of it.
func (d OutlookDay) withdrawn(water string, since []OutlookSince) OutlookDay {
	for _, s := range since {
		r := s.Restriction
		from, until, holds := r.Within(d.From, d.Until)
		if r.Water != water || r.Kind != WaterClosed || !holds {
			continue
		}
		whole := !from.After(d.From) && !until.Before(d.Until)
		d.Closed, d.Struck = d.Closed || whole, d.Struck || whole
		d.Paragraph = s.Text + " What was published for this day before that is withdrawn."
		groups := make([]OutlookGroup, len(d.Groups))
		for i, g := range d.Groups {
			g.Activity, g.HoursCompared, g.HoursText = nil, []HourRate{}, "a closure was made since"
			groups[i] = g
		}
		d.Groups = groups
		d.Confidence = NoConfidence()
	}
	return d
}

// NoConfidence is that of a day for which nothing is expected.
func NoConfidence() Confidence {
	return Confidence{Level: "none", Because: []string{"nothing is expected of hours that may not be fished"}}
}

// Since lists what of an outlook's waters and days clubs decided that it does not
// say, from the restrictions made for any part of them, lifted or not.
func (o Outlook) Since(restrictions []Restriction) []OutlookSince {
	var since []OutlookSince
	for _, w := range o.Waters {
		for _, r := range restrictions {
			if r.Water != w.Water {
				continue
			}
			if text, is := w.since(r); is {
				since = append(since, OutlookSince{Water: w.Water, WaterName: w.Name, Restriction: r, Text: text})
			}
		}
	}
	return since
}
