package page

import (
	_ "embed"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"osier/model"
)

//go:embed plan/form.html
var planFormHTML string

var planFormPart = part("plan form", planFormHTML)

// PlanFormPath is where a plan is asked for.
const PlanFormPath = "/plan"

// planFields are the names of the form's fields, which are the question's, but
// for the start: a day and a time by the clock at the water.
var planFields = []string{
	"water", "day", "time", "hours", "group", "angler", "peg", "cast_bearing_deg", "distance_m", "depth_m", "rod_max_g", "known_water", "mode", "alone", "keepnet", "try",
}

// PlanFields are the fields that the form of a plan sends.
func PlanFields() []string { return slices.Clone(planFields) }

// PlanForm is the form for a plan, with what was filled in before and what was
// wrong with it. The wrong field, if the form has it, is told where it stands.
func PlanForm(waters []model.Water, filled url.Values, wrong *model.Error, demo bool) ([]byte, error) {
	view := planForm{Waters: waters, Groups: model.Groups(), filled: filled}
	title := "Plan a session"
	if wrong != nil {
		view.Wrong = wrong
		view.field = planFieldOf(wrong.Field)
		title = "Not planned yet: plan a session"
	}
	return Frame{Title: title, Path: PlanFormPath, Demo: demo}.Page(planFormPart, view)
}

// planFieldOf is the field of the form in which a member of the question stands.
func planFieldOf(member string) string {
	if member == "start" {
		return "day"
	}
	if slices.Contains(planFields, member) {
		return member
	}
	return ""
}

type planForm struct {
	Waters []model.Water
	Groups []model.Group
	Wrong  *model.Error
	field  string
	filled url.Values
}

// Of is what a field holds.
func (f planForm) Of(field string) string { return f.filled.Get(field) }

// Is says whether a field holds this.
func (f planForm) Is(field, value string) bool { return f.filled.Get(field) == value }

// At says whether a field is the wrong one.
func (f planForm) At(field string) bool { return f.Wrong != nil && f.field == field }

// Field is the wrong field, empty where the form has none such.
func (f planForm) Field() string { return f.field }

// Box is a text field of the form, for its template.
func (f planForm) Box(name, label, hint, kind, mode string) planBox {
	b := planBox{Name: name, Label: label, Hint: hint, Kind: kind, Mode: mode, Value: f.Of(name)}
	if f.At(name) {
		b.Wrong = f.Wrong
	}
	return b
}

// MoreOpen says whether the fields that need not be filled in are shown.
func (f planForm) MoreOpen() bool {
	return slices.ContainsFunc(planFields[slices.Index(planFields, "peg"):], func(name string) bool {
		return f.field == name || f.filled.Get(name) != "" && name != "mode"
	})
}

type planBox struct {
	Name, Label, Hint, Kind, Mode, Value string
	Wrong                                *model.Error
}

// PlanQuestion reads the form's fields as the question they ask. The zone is the
// water's.
func PlanQuestion(filled url.Values, zone *time.Location) (model.Question, error) {
	q := model.Question{
		Water: filled.Get("water"), Group: model.Group(filled.Get("group")), Angler: strings.TrimSpace(filled.Get("angler")), Peg: strings.TrimSpace(filled.Get("peg")),
		Mode: filled.Get("mode"), Alone: filled.Get("alone") == "yes", Keepnet: filled.Get("keepnet") == "yes", Try: filled.Get("try") == "yes",
	}
	var err error
	if q.Start, err = clockStart(filled.Get("day"), filled.Get("time"), zone); err != nil {
		return q, err
	}
	hours, err := typed[float64]("hours", filled.Get("hours"))
	if err != nil {
		return q, err
	}
	if q.Hours = hours.Value; !hours.Known {
		return q, model.Invalidf("hours", "give the hours to fish, such as 5", "it is empty")
	}
	if q.BearingDeg, err = typed[model.Degrees]("cast_bearing_deg", filled.Get("cast_bearing_deg")); err != nil {
		return q, err
	}
	if q.DistanceM, err = typed[model.Metres]("distance_m", filled.Get("distance_m")); err != nil {
		return q, err
	}
	if q.DepthM, err = typed[model.Metres]("depth_m", filled.Get("depth_m")); err != nil {
		return q, err
	}
	if q.RodMaxG, err = typed[model.Grams]("rod_max_g", filled.Get("rod_max_g")); err != nil {
		return q, err
	}
	if known := filled.Get("known_water"); known != "" {
		q.KnownWater = model.Known(known == "yes")
	}
	return q, nil
}

// clockStart is a day and a time by the clock of a zone. A time that the clock
// skips in spring is refused.
func clockStart(day, clock string, zone *time.Location) (time.Time, error) {
	d, err := time.Parse("2006-01-02", strings.TrimSpace(day))
	if err != nil {
		return d, model.Invalidf("day", "give a day such as 2026-11-28", "%q is no day", shown(day))
	}
	t, err := time.Parse("15:04", strings.TrimSpace(clock))
	if err != nil {
		return t, model.Invalidf("time", "give a time such as 08:30", "%q is no time", shown(clock))
	}
	at := time.Date(d.Year(), d.Month(), d.Day(), t.Hour(), t.Minute(), 0, 0, zone)
	if at.Hour() != t.Hour() || at.Minute() != t.Minute() {
		return at, model.Invalidf("time", "give a time after the clocks have gone forward", "the clock skips %s on that day", t.Format("15:04"))
	}
	return at, nil
}

// typed reads a number that somebody typed, with a point or a comma; an empty
// field is not known.
func typed[T ~float64](field, text string) (model.Maybe[T], error) {
	if strings.TrimSpace(text) == "" {
		return model.Maybe[T]{}, nil
	}
	v, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(text), ",", ".", 1), 64)
	if err != nil || !finite(v) {
		return model.Maybe[T]{}, model.Invalidf(field, "give a number, such as 25", "%q is none", shown(text))
	}
	return model.Known(T(v)), nil
}

// shown keeps what somebody typed short enough to be told back.
func shown(text string) string {
	if r := []rune(text); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return text
}
