package page

import (
	_ "embed"
	"fmt"
	"strings"

	"osier/model"
)

//go:embed club/findings.html
var findingsHTML string

var findingsPart = part("findings", findingsHTML)

// FindingsPath is where the findings are.
const FindingsPath = "/findings"

type groupFindingsView struct {
	ID, Name, Sessions string
	Found, None        []findingRow
	TooLittle          []string
	Feed               []feedRow
	Notes              []string
}

type findingRow struct{ Driver, Says, Interval string }

type feedRow struct{ Water, Rate, Ratio, Text string }

type checkRow struct{ Field, Sessions string }

// Findings is the page of what the records can tell and what they cannot.
func Findings(f model.Findings, notice string) ([]byte, error) {
	view := struct {
		model.Findings
		Groups []groupFindingsView
		Checks []checkRow
	}{Findings: f}
	for _, g := range f.Groups {
		view.Groups = append(view.Groups, viewGroupFindings(g))
	}
	for _, c := range f.Checks {
		view.Checks = append(view.Checks, viewCheck(c))
	}
	return Frame{Title: "What the records can and cannot tell", Path: FindingsPath, Demo: f.Demo, Notice: notice}.Page(findingsPart, view)
}

func viewGroupFindings(g model.GroupFindings) groupFindingsView {
	v := groupFindingsView{ID: string(g.Group), Name: sentenceCase(groupWords(g.Group)), Sessions: g.Sessions, Notes: g.Notes}
	for _, d := range g.Drivers {
		row := findingRow{Driver: d.Driver, Interval: fmt.Sprintf("%+.0f to %+.0f %% for each %s", 100*d.Low90, 100*d.High90, d.Unit)}
		switch {
		case !d.Learnt:
			v.TooLittle = append(v.TooLittle, d.Driver)
		case d.Found:
			row.Says = fmt.Sprintf("%+.0f %% bites", 100*d.Change)
			v.Found = append(v.Found, row)
		default:
			v.None = append(v.None, row)
		}
	}
	for _, feed := range g.Feed {
		row := feedRow{Water: fmt.Sprintf("%.0f C", float64(feed.WaterC)), Rate: fmt.Sprintf("%.0f against %.0f", float64(feed.RateGH), float64(feed.AgainstGH)), Ratio: feed.Text}
		if r := feed.Ratio; r != nil {
			row.Ratio, row.Text = fmt.Sprintf("%.2f (%.2f to %.2f)", r.Mean, r.Low90, r.High90), sentenceCase(feed.Text)
		}
		v.Feed = append(v.Feed, row)
	}
	return v
}

// fieldWords are the fields of a record in a reader's words.
var fieldWords = map[string]string{
	"start": "when it began", "end": "when it ended", "bites": "bites", "line_bites": "line bites", "weight": "weight", "peg": "peg",
	"group": "what was fished for", "planned_feed": "planned feed", "feed_used.left_dry_g": "feed left over", "water_temp": "water temperature",
	"written_at": "written late", "intervals": "hours left out of a tally",
}

func viewCheck(c model.RecordCheck) checkRow {
	row := checkRow{Field: c.Field, Sessions: c.Sessions}
	if words, ok := fieldWords[c.Field]; ok {
		row.Field = words
	}
	if len(c.Withheld) > 0 {
		row.Sessions = "not shown: " + strings.Join(withheldWords(c.Withheld), ", ")
	}
	return row
}

// withheldWords says in a reader's words why a figure is not shown.
func withheldWords(why []string) []string {
	words := map[string]string{
		"contributors": "too few anglers", "sessions": "too few sessions", "one contributor dominates": "most are one angler's", "p-percent": "one angler's could be worked out",
	}
	out := make([]string, len(why))
	for i, w := range why {
		out[i] = w
		if said, ok := words[w]; ok {
			out[i] = said
		}
	}
	return out
}
