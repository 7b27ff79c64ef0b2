package caution

import (
	"strings"
	"time"
	"unicode"

	"osier/model"
)

const (
	officialID        = "official_warning"
	officialThreshold = "as given; the level by its severity (CAP 1.2) is our choice"
	longestWords      = 200 // characters of a headline that are shown; our choice
)

// official passes on each warning of an official service in its own words.
// None of ours softens it.
func (o *outing) official() []model.Caution {
	var cautions []model.Caution
	for _, w := range o.Warnings {
		from, until := w.From, w.Until.Or(o.Until)
		if from.Before(o.From) {
			from = o.From
		}
		if until.After(o.Until) {
			until = o.Until
		}
		if from.Before(until) {
			cautions = append(cautions, o.officialCaution(w, from.In(o.loc), until.In(o.loc)))
		}
	}
	if !o.WarningsKnown {
		cautions = append(cautions, model.Caution{
			ID: officialID, Level: model.NotChecked, From: o.From.In(o.loc), Until: o.Until.In(o.loc), Inputs: map[string]float64{},
			Threshold: officialThreshold, Source: "official warnings",
			Text: "Official warnings were not checked: no feed of them has answered for this place lately; look at the weather service's own, from " + o.From.In(o.loc).Format(o.layout) + " to " + o.Until.In(o.loc).Format(o.layout) + ".",
		})
	}
	return cautions
}

func (o *outing) officialCaution(w model.OfficialWarning, from, until time.Time) model.Caution {
	words := plainLine(w.Headline)
	if words == "" {
		words = plainLine(w.Event)
	}
	sender := plainLine(w.Sender)
	if sender == "" {
		sender = "Official warning"
	}
	return model.Caution{
		ID: officialID, Level: officialLevel(w), From: from, Until: until, Inputs: map[string]float64{},
		Threshold: officialThreshold, Source: sender,
		Text: sender + ": " + strings.TrimRight(words, ".") + ", from " + from.Format(o.layout) + " to " + until.Format(o.layout) + ".",
	}
}

// officialLevel makes a level of a severity; our choice. Thunder that is severe
// keeps people off the bank, a heat warning of any severity asks for care, and
// so does one whose severity nobody knows: what is not known softens nothing.
func officialLevel(w model.OfficialWarning) model.CautionLevel {
	switch {
	case w.Severity == model.Extreme, w.Severity == model.Severe && w.Hazard == model.HazardThunder:
		return model.Stop
	case w.Severity == model.Minor && w.Hazard != model.HazardHeat:
		return model.Note
	}
	return model.Care
}

// plainLine puts somebody else's words on one line of a length that can be
// read, without control characters.
func plainLine(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.In(r, unicode.Cf) || r == unicode.ReplacementChar {
			return ' '
		}
		return r
	}, s)
	s = strings.TrimRight(strings.Join(strings.Fields(s), " "), ".")
	if runes := []rune(s); len(runes) > longestWords {
		s = strings.TrimSpace(string(runes[:longestWords])) + "..."
	}
	return s
}
