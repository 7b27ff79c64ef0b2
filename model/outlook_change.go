package model

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// OutlookChange is what an officer changes in a draft: the club's own words.
type OutlookChange struct {
	By     string            `json:"by"`     // a role or a handle, never a real name
	Note   *string           `json:"note"`   // for all waters; left as it is where null, taken out where empty
	Waters map[string]string `json:"waters"` // by identifier: for one water
}

// longestNote is in characters: some sentences beside a paragraph. Our choice.
const longestNote = 600

// Changed is the draft with the change made and written down in it.
func (o Outlook) Changed(c OutlookChange, at time.Time) (Outlook, error) {
	if err := ValidateHandle("by", c.By); err != nil {
		return o, err
	}
	if c.Note == nil && len(c.Waters) == 0 {
		return o, Invalidf("note, waters", "give a note for all waters, or for some by their identifier", "nothing is changed")
	}
	o.Edits, o.Waters = slices.Clone(o.Edits), slices.Clone(o.Waters)
	if c.Note != nil {
		note, err := noteOf("note", *c.Note)
		if err != nil {
			return o, err
		}
		o.Note = note
		o.Edits = append(o.Edits, OutlookEdit{At: wholeSecond(at), By: c.By, What: noted("all waters", note)})
	}
	for i, w := range o.Waters {
		text, given := c.Waters[w.Water]
		if !given {
			continue
		}
		note, err := noteOf("waters."+w.Water, text)
		if err != nil {
			return o, err
		}
		o.Waters[i].Note = note
		o.Edits = append(o.Edits, OutlookEdit{At: wholeSecond(at), By: c.By, What: noted(w.Name, note)})
	}
	for id := range c.Waters {
		if !slices.ContainsFunc(o.Waters, func(w OutlookWater) bool { return w.Water == id }) {
			return o, Invalidf("waters", "name waters that the outlook is about", "%q is none of them", shorten(id))
		}
	}
	return o, nil
}

func noteOf(field, text string) (string, error) {
	text = strings.TrimSpace(text)
	right := fmt.Sprintf("say it in at most %d characters, on one line", longestNote)
	if n := utf8.RuneCountInString(text); n > longestNote {
		return "", Invalidf(field, right, "it has %d characters", n)
	}
	for _, c := range text {
		if unicode.IsControl(c) || c == utf8.RuneError {
			return "", Invalidf(field, right, "%q cannot stand in it", c)
		}
	}
	return text, nil
}

func noted(of, note string) string {
	if note == "" {
		return "the note for " + of + " was taken out"
	}
	return "a note for " + of
}
