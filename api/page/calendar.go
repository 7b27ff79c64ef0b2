package page

import (
	"cmp"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"osier/model"
)

// calendarRefresh is how long a calendar program is asked to wait before it
// fetches again. Our choice: a closure reaches those who subscribed within it.
const calendarRefresh = "PT1H"

// event is one entry of a calendar. All instants are written in UTC: a calendar
// program shows them by its own clock, and no table of zones is needed.
type event struct {
	uid        string
	start, end time.Time
	daily      bool // each day again from start on, with no end
	title      string
	text       string
	place      string
	link       string
	kind       string
	made       time.Time
	revised    time.Time // when anything of it last changed
	sequence   int       // how often it was changed
	cancelled  bool
	own        bool // the reader's own, and nobody else's business
}

// ClubCalendar is a club's calendar (iCalendar, RFC 5545 and 7986): closures and
// other restrictions, and the cautions of level stop and care of its published
// outlooks. What was lifted or superseded stays in it as cancelled. There is
// never anything in it about when the fish may bite.
func ClubCalendar(w ClubWord) ([]byte, error) {
	var events []event
	for _, r := range w.Restrictions {
		events = append(events, w.restrictionEvent(r))
	}
	events = append(events, w.cautionEvents()...)
	return writeCalendar(calendar{
		uid: w.uuid("calendar"), name: titled(w.Club.Demo, w.name()+": closures, restrictions and cautions"), demo: w.Club.Demo,
		link: w.Site + ClubPath(w.Club.ID), source: w.Site + CalendarPath(w.Club.ID), since: w.Club.AddedAt, events: events,
	})
}

// restrictionEvent spans a restriction as it was made. One without an end is told
// again each day, which keeps what was sent true until it is lifted.
func (w ClubWord) restrictionEvent(r model.Restriction) event {
	water := w.water(r.Water)
	e := event{
		uid: w.uuid("restriction", r.ID), start: r.From, end: r.From.Add(24 * time.Hour), daily: !r.Until.Known,
		title: titled(w.Club.Demo || r.Demo, line(water.Name)+": "+r.What()), place: line(water.Name),
		text: fmt.Sprintf("%s %s. %s", line(water.Name)+": "+r.What(), spanOf(r, water.Zone), decided(r)),
		link: w.Site + ClubPath(w.Club.ID), kind: "restriction", made: r.MadeAt, revised: r.MadeAt,
	}
	if r.Kind == model.WaterClosed {
		e.kind = "closure"
	}
	if r.Until.Known {
		e.end = r.Until.Value
	}
	if r.LiftedAt.Known {
		e.cancelled, e.sequence, e.revised, e.daily = true, 1, r.LiftedAt.Value, false
		e.text += "\n" + lifted(r, water.Zone)
	}
	return e
}

// clubCautions pass on restrictions, which the calendar has as such.
var clubCautions = []string{"closed", "club_keepnets", "club_feed_limit"}

// cautionEvents are the cautions of each published outlook. Those about a water
// and day of which a later outlook speaks are cancelled: the later one says what
// holds, with events of its own.
func (w ClubWord) cautionEvents() []event {
	last := w.lastWord()
	var events []event
	for _, o := range w.published() {
		for _, water := range o.Waters {
			for _, day := range water.Days {
				rules := last[waterDay{water.Water, day.Date}].in
				for _, c := range day.Cautions {
					if c.Level != model.Stop && c.Level != model.Care || slices.Contains(clubCautions, c.ID) || c.Until.Before(w.CautionsFrom) {
						continue
					}
					e := w.cautionEvent(o, water, day, c)
					if rules.ID != o.ID {
						e.cancelled, e.sequence, e.revised = true, 1, rules.Publish.At
					}
					events = append(events, e)
				}
			}
		}
	}
	return events
}

func (w ClubWord) cautionEvent(o model.Outlook, water model.OutlookWater, day model.OutlookDay, c model.Caution) event {
	what := strings.ReplaceAll(line(c.ID), "_", " ")
	return event{
		uid:   w.uuid("caution", o.ID, water.Water, day.Date, c.ID, string(c.Level), stamp(c.From), c.Source),
		start: c.From, end: c.Until, title: titled(w.Club.Demo || o.Demo, fmt.Sprintf("%s: %s, %s", line(water.Name), c.Level, what)),
		text: line(c.Text), place: line(water.Name), link: w.Site + OutlookPath(w.Club.ID, o.ID), kind: "caution",
		made: o.Publish.At, revised: o.Publish.At,
	}
}

// calendar is what is written: entries, and what they are about.
type calendar struct {
	uid, name, link string
	source          string // where it can be fetched; empty where that is a secret
	since           time.Time
	demo            bool
	events          []event
}

// writeCalendar writes by the library, whose folding and escaping the tests read
// back strictly. Its lines end as the platform's do unless it is told, so it is;
// its zones are faulty, so there are none; and control characters, which it
// passes on, are taken out before. Without METHOD, DTSTAMP says when an entry
// last changed (RFC 5545 section 3.8.7.2), so the same word has the same bytes.
func writeCalendar(c calendar) ([]byte, error) {
	cal := ics.NewCalendar()
	cal.SetProductId("-//Osier//Calendar//EN")
	about := model.Deferral
	if c.demo {
		about = "Everything here is invented. " + about
	}
	revised := c.since
	slices.SortStableFunc(c.events, func(a, b event) int { return cmp.Or(a.start.Compare(b.start), cmp.Compare(a.uid, b.uid)) })
	for _, e := range c.events {
		revised = latest(revised, e.revised)
	}
	own := func(name, value string) {
		cal.CalendarProperties = append(cal.CalendarProperties, ics.CalendarProperty{BaseProperty: ics.BaseProperty{IANAToken: name, Value: value}})
	}
	own("UID", c.uid)
	cal.SetName(c.name)
	cal.SetDescription(about)
	cal.SetLastModified(revised)
	cal.SetRefreshInterval(calendarRefresh)
	cal.SetXPublishedTTL(calendarRefresh)
	if c.source != "" { // an empty address is none
		own("SOURCE;VALUE=URI", address(c.source))
	}
	// A calendar must have a component (RFC 5545 section 3.6), also while nothing
	// is restricted; and what it is must be read somewhere.
	note := cal.AddJournal(uuid(c.uid, "about"))
	note.SetDtStampTime(c.since)
	note.SetModifiedAt(c.since)
	note.SetSummary(c.name)
	note.SetDescription(about)
	for _, e := range c.events {
		addEvent(cal, e)
	}
	var b strings.Builder
	if err := cal.SerializeTo(&b, ics.WithNewLineWindows); err != nil {
		return nil, fmt.Errorf("write the calendar %s: %w", c.name, err)
	}
	return []byte(b.String()), nil
}

func addEvent(cal *ics.Calendar, e event) {
	v := cal.AddEvent(e.uid)
	v.SetDtStampTime(e.revised)
	v.SetModifiedAt(e.revised)
	v.SetCreatedTime(e.made)
	v.SetSequence(e.sequence)
	v.SetStartAt(e.start)
	if e.end.Truncate(time.Second).After(e.start) { // an end must be later (RFC 5545 section 3.8.2.2)
		v.SetEndAt(e.end)
	}
	if e.daily {
		v.AddRrule("FREQ=DAILY")
	}
	v.SetSummary(plain(e.title))
	v.SetDescription(plain(e.text))
	v.SetLocation(plain(e.place))
	v.SetURL(address(e.link))
	v.SetProperty(ics.ComponentPropertyCategories, e.kind)
	v.SetStatus(ics.ObjectStatusConfirmed)
	if e.cancelled {
		v.SetStatus(ics.ObjectStatusCancelled)
	}
	if e.own {
		v.SetClass(ics.ClassificationPrivate)
		v.SetTimeTransparency(ics.TransparencyOpaque)
		return
	}
	v.SetTimeTransparency(ics.TransparencyTransparent)
}

// address is one that can stand in a line of a calendar.
func address(href string) string {
	u, err := url.Parse(href)
	if err != nil {
		return ""
	}
	return u.String()
}
