package page

import (
	_ "embed"
	"time"

	"osier/model"
)

//go:embed club/office.html
var officeHTML string

var officePart = part("office", restrictionsHTML+officeHTML)

// OfficePage is what the page of a club's officers is made of.
type OfficePage struct {
	Club         model.Club
	Waters       []model.Water
	Drafts       []model.Outlook
	Published    []model.OutlookEntry
	Restrictions []model.Restriction // that hold now or will
	Advised      []ClosureAdvice
	At           time.Time
	Once         string // a mark of this page, by which a form sent twice is known
	By           string // what stands as who decides, unless it is changed
	Done         string // what the officer just did, in a sentence
	Refused      *RefusedForm
	Demo         bool
}

// ClosureAdvice is where closing a water should be considered, by the weather as
// known now. Nobody but officers is told.
type ClosureAdvice struct {
	Water    model.Water
	Cautions []model.Caution
}

// RefusedForm is a form as it was sent, with what was wrong in it.
type RefusedForm struct {
	Of     string // the form: OfficeNotes, OfficePublish, OfficeRestrict or OfficeLift
	About  string // the outlook or restriction it is about
	Values map[string]string
	Field  string
	Text   string
}

// The forms of the office.
const (
	OfficeNotes    = "notes"
	OfficePublish  = "publish"
	OfficeRestrict = "restrict"
	OfficeLift     = "lift"
)

// OnceField is the name of the field that holds the mark of the page.
const OnceField = "once"

// NoteField is the name of the note field of a water, or of all waters when
// empty.
func NoteField(water string) string {
	if water == "" {
		return "note"
	}
	return "note." + water
}

// officeField is one field of a form with what was wrong in it.
type officeField struct {
	ID, Name, Label, Hint, Type, Value, Wrong string
	Options                                   []pickOption
	Rows                                      int // of a text of several lines
}

type pickOption struct {
	Value, Label string
	Chosen       bool
}

type draftView struct {
	ID, Days, Built string
	Notes           []officeField
	By              officeField // who publishes
	Waters          []draftWaterView
	Edits           []string
}

type draftWaterView struct {
	Name string
	Days []named
}

// adviceView is a caution that asks officers to think of closing a water.
type adviceView struct{ Water, When, Text string }

type liftView struct {
	Water   string
	Decided restrictionView
	By, Why officeField
}

// Office is where a club's officers edit and publish the draft, and close or
// restrict waters. Nobody else is served it.
func Office(o OfficePage) ([]byte, error) {
	view := struct {
		OfficePage
		Drafts    []draftView
		Advised   []adviceView
		Restrict  []officeField
		Refusal   string
		RefusedAt string // the field that the refusal is about, to go to
		Lifts     []liftView
		Outlooks  []outlookLink
	}{OfficePage: o, Restrict: o.restrictFields()}
	for _, a := range o.Advised {
		zone := location(a.Water.Zone)
		for _, c := range a.Cautions {
			view.Advised = append(view.Advised, adviceView{a.Water.Name, moment(c.From.In(zone)) + " to " + moment(c.Until.In(zone)), c.Text})
		}
	}
	for _, d := range o.Drafts {
		view.Drafts = append(view.Drafts, o.viewDraft(d))
	}
	for _, w := range o.Waters {
		for _, r := range viewRestrictions(o.Restrictions, w.ID, location(w.Zone), o.At) {
			view.Lifts = append(view.Lifts, o.viewLift(w, r))
		}
	}
	for _, p := range o.Published {
		view.Outlooks = append(view.Outlooks, linkTo(p, o.Club.Zone))
	}
	if o.Refused != nil {
		view.Refusal = o.Refused.Text
		if o.Refused.Field != "" {
			view.RefusedAt = o.Refused.fieldID()
		}
	}
	return Frame{Title: o.Club.Name + ": office", Path: OfficePath(o.Club.ID), Demo: o.Demo}.Page(officePart, view)
}

// fieldID is the id of a field in the page.
func fieldID(form, about, field string) string {
	id := form + "-" + field
	if about != "" {
		id = form + "-" + about + "-" + field
	}
	return id
}

func (f RefusedForm) fieldID() string { return fieldID(f.Of, f.About, f.Field) }

// sent is what was sent in a field of a form that was refused, and what was
// wrong with it; otherwise what stands there at first.
func (o OfficePage) sent(form, about, field, first string) (value, wrong string) {
	r := o.Refused
	if r == nil || r.Of != form || r.About != about {
		return first, ""
	}
	if v, ok := r.Values[field]; ok {
		first = v
	}
	if r.Field == field {
		wrong = r.Text
	}
	return first, wrong
}

func (o OfficePage) field(form, about, name, label, hint, kind, first string) officeField {
	f := officeField{ID: fieldID(form, about, name), Name: name, Label: label, Hint: hint, Type: kind}
	f.Value, f.Wrong = o.sent(form, about, name, first)
	return f
}

func (o OfficePage) viewDraft(d model.Outlook) draftView {
	zone := location(d.Zone)
	v := draftView{ID: d.ID, Days: daysText(d), Built: moment(d.BuiltAt.In(zone)) + " on " + d.Fit}
	note := o.field(OfficeNotes, d.ID, NoteField(""), "For all waters", "Your own words; members read them before the figures.", "", d.Note)
	note.Rows = 3
	v.Notes = append(v.Notes, note)
	for _, w := range d.Waters {
		one := o.field(OfficeNotes, d.ID, NoteField(w.Water), "For "+w.Name, "", "", w.Note)
		one.Rows = 2
		v.Notes = append(v.Notes, one)
		told := draftWaterView{Name: w.Name}
		for _, day := range w.Days {
			told.Days = append(told.Days, named{dateText(day.Date), daySentence(day)})
		}
		v.Waters = append(v.Waters, told)
	}
	v.Notes = append(v.Notes, o.field(OfficeNotes, d.ID, "by", "Written by", "A role or a handle, no real name.", "text", o.By))
	v.By = o.field(OfficePublish, d.ID, "by", "Published by", "A role or a handle, no real name.", "text", o.By)
	for _, e := range d.Edits {
		v.Edits = append(v.Edits, moment(e.At.In(zone))+", "+e.By+": "+e.What)
	}
	return v
}

func (o OfficePage) restrictFields() []officeField {
	field := func(name, label, hint, kind, first string) officeField {
		return o.field(OfficeRestrict, "", name, label, hint, kind, first)
	}
	water := field("water", "Water", "", "", "")
	for _, w := range o.Waters {
		water.Options = append(water.Options, pickOption{w.ID, w.Name, w.ID == water.Value})
	}
	kind := field("kind", "What is decided", "", "", string(model.WaterClosed))
	for _, k := range []pickOption{{Value: string(model.WaterClosed), Label: "Close the water"}, {Value: string(model.NoKeepnets), Label: "No keepnets"}, {Value: string(model.FeedLimit), Label: "Limit the feed"}} {
		k.Chosen = k.Value == kind.Value
		kind.Options = append(kind.Options, k)
	}
	return []officeField{
		water, kind,
		field("feed_limit_dry_g", "Most dry feed a day, g", "Of a feed limit alone.", "number", ""),
		field("from", "From", "By the clock at the water. Empty: from now on.", "datetime-local", ""),
		field("until", "Until", "Empty: until it is lifted.", "datetime-local", ""),
		field("reason", "Reason", "Members read it, on one line.", "text", ""),
		field("decided_by", "Decided by", "A role or a handle, no real name.", "text", o.By),
	}
}

func (o OfficePage) viewLift(w model.Water, r restrictionView) liftView {
	return liftView{
		Water: w.Name, Decided: r,
		By:  o.field(OfficeLift, r.ID, "by", "Lifted by", "A role or a handle, no real name.", "text", o.By),
		Why: o.field(OfficeLift, r.ID, "why", "Why", "", "text", ""),
	}
}
