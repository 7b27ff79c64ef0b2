package page

import (
	"bytes"
	"cmp"
	_ "embed"
	"fmt"
	"html/template"
	"slices"
	"strings"
	"time"

	"osier/model"
)

// mostEntries is how many entries a feed holds, the newest of them. Our choice:
// an outlook a day and its restrictions for about a month.
const mostEntries = 40

// entry is one thing that a club told. What comes of it later, an outlook in its
// place or a lifting, is an entry of its own, so that a reader who saw the first
// is told. It only changes where a decision made since takes something out of it.
type entry struct {
	id      string // a URN
	title   string
	text    string // one line
	html    string // escaped already
	link    string
	at      time.Time
	updated time.Time
	by      string
	tag     string // outlook or restriction
}

// entries are the newest things that a club told, the newest first.
func (w ClubWord) entries() ([]entry, error) {
	var all []entry
	for _, o := range w.published() {
		e, err := w.outlookEntry(o)
		if err != nil {
			return nil, err
		}
		all = append(all, e)
	}
	for _, r := range w.Restrictions {
		all = append(all, w.restrictionEntries(r)...)
	}
	slices.SortFunc(all, func(a, b entry) int { return cmp.Or(b.at.Compare(a.at), cmp.Compare(a.id, b.id)) })
	return all[:min(len(all), mostEntries)], nil
}

//go:embed feed/outlook.html
var feedOutlookHTML string

var feedOutlookTemplate = template.Must(template.New("outlook").Funcs(wording).Funcs(template.FuncMap{
	"asks": model.Restriction.What, "span": spanOf, "decided": decided, "day": dateText, "bites": bitesPerH,
}).Parse(feedOutlookHTML))

// outlookEntry is an outlook as it was published, but for what a closure made
// since withdraws: no activity is told of hours that may not be fished.
func (w ClubWord) outlookEntry(o model.Outlook) (entry, error) {
	o.SincePublished = o.Since(w.Restrictions)
	updated := o.Publish.At
	for _, since := range o.SincePublished {
		updated = latest(updated, since.Restriction.MadeAt, since.Restriction.LiftedAt.Or(updated))
	}
	view := struct {
		model.Outlook
		Before string
	}{o.AsNow(), w.Site + OutlookPath(w.Club.ID, o.Follows)}
	var content bytes.Buffer
	if err := feedOutlookTemplate.Execute(&content, view); err != nil {
		return entry{}, fmt.Errorf("render outlook %s for the feed: %w", o.ID, err)
	}
	title := "Outlook for " + daysText(o)
	if o.Follows != "" {
		title += ", in place of an earlier one"
	}
	var names []string
	for _, water := range o.Waters {
		names = append(names, line(water.Name))
	}
	return entry{
		id: "urn:uuid:" + w.uuid("outlook", o.ID), title: titled(w.Club.Demo || o.Demo, title), text: cmp.Or(line(o.Note), strings.Join(names, ", "), title),
		html: plain(content.String()), link: w.Site + OutlookPath(w.Club.ID, o.ID), at: o.Publish.At, updated: updated, by: cmp.Or(line(o.Publish.By), w.name()), tag: "outlook",
	}, nil
}

// restrictionEntries are one for what was decided, and one more once it is
// lifted.
func (w ClubWord) restrictionEntries(r model.Restriction) []entry {
	water, link := w.water(r.Water), w.Site+ClubPath(w.Club.ID)
	what := fmt.Sprintf("%s: %s %s", line(water.Name), r.What(), spanOf(r, water.Zone))
	made := entry{
		id: "urn:uuid:" + w.uuid("restriction", r.ID), title: titled(w.Club.Demo || r.Demo, what), text: decided(r),
		html: "<p>" + template.HTMLEscapeString(what+". "+decided(r)) + "</p>", link: link, at: r.MadeAt, updated: r.MadeAt, by: cmp.Or(line(r.DecidedBy), w.name()), tag: "restriction",
	}
	if !r.LiftedAt.Known {
		return []entry{made}
	}
	what = fmt.Sprintf("%s, lifted: %s %s", line(water.Name), r.What(), spanOf(r, water.Zone))
	return []entry{made, {
		id: "urn:uuid:" + w.uuid("lifted", r.ID), title: titled(w.Club.Demo || r.Demo, what), text: lifted(r, water.Zone),
		html: "<p>" + template.HTMLEscapeString(what+". "+lifted(r, water.Zone)) + "</p>", link: link, at: r.LiftedAt.Value, updated: r.LiftedAt.Value, by: cmp.Or(line(r.LiftedBy), w.name()), tag: "restriction",
	}}
}

// updated is when the club last told something: when it was added where it has
// told nothing yet.
func (w ClubWord) updated(all []entry) time.Time {
	last := w.Club.AddedAt
	for _, e := range all {
		last = latest(last, e.updated)
	}
	return last
}

func latest(all ...time.Time) time.Time { return slices.MaxFunc(all, time.Time.Compare) }

func (w ClubWord) feedTitle() string {
	return titled(w.Club.Demo, w.name()+": outlooks and restrictions")
}

// bitesPerH words what is expected, never a figure without its interval.
func bitesPerH(a *model.OutlookActivity) string {
	if a == nil {
		return "none is told"
	}
	return fmt.Sprintf("%s (%s to %s)", bites(a.BitesPerH.Mean), bites(a.BitesPerH.Low90), bites(a.BitesPerH.High90))
}
