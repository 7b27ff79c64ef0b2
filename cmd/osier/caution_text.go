package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"osier/model"
)

// cautionsText shows each caution on one line with its level as a word. What was
// not checked for one reason stands on one line, and each kind of note is shown
// once: many lines would bury the ones that matter. The document has them all.
func cautionsText(out io.Writer, cautions []model.Caution) {
	for _, l := range cautionLines(cautions) {
		fmt.Fprintf(out, "  %s\n", l.text)
	}
}

// cautionLine is one printed line and what further cautions must share with the
// first to be folded into it.
type cautionLine struct{ key, text string }

func cautionLines(cautions []model.Caution) []cautionLine {
	var lines []cautionLine
	for _, c := range cautions {
		subject, why, untold := strings.Cut(c.Text, " not checked: ")
		switch {
		case c.Level == model.NotChecked && untold:
			subject = strings.TrimSuffix(strings.TrimSuffix(subject, " was"), " were")
			lines = fold(lines, cautionLine{"not checked: " + why, "not checked: " + subject + ": " + why}, func(first string) string {
				subjects := strings.TrimSuffix(first, ": "+why)
				return subjects + ", " + lowerFirst(subject) + ": " + why
			})
		case c.Level == model.Note && c.ID != "official_warning":
			lines = fold(lines, cautionLine{"note " + c.ID, "note: " + c.Text}, func(first string) string { return first })
		default:
			lines = append(lines, cautionLine{text: string(c.Level) + ": " + c.Text})
		}
	}
	return lines
}

// fold adds a line, or what is new in it to the line that has its key.
func fold(lines []cautionLine, l cautionLine, into func(first string) string) []cautionLine {
	i := slices.IndexFunc(lines, func(have cautionLine) bool { return have.key == l.key })
	if i < 0 {
		return append(lines, l)
	}
	lines[i].text = into(lines[i].text)
	return lines
}

// lowerFirst writes a sentence's first word as one from its middle.
func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
