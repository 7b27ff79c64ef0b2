package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"slices"
	"time"

	"osier/model"
)

//go:embed club/trackrecord.html
var trackHTML string

var trackPart = part("track record", trackHTML)

// TrackRecordPath is where the track record is.
const TrackRecordPath = "/track-record"

// TrackRecord is the page of how issued plans fared, the bad ones with the good.
// waters are those a reader may pick from.
func TrackRecord(t model.TrackRecord, waters []model.Water, notice string) ([]byte, error) {
	view := struct {
		model.TrackRecord
		About    string
		Findings []string
		Waters   []pickOption
		Groups   []pickOption
		Figures  []named
		Coverage []coverageRow
		Picture  template.HTML
		Against  template.HTML
		Came     []againstRow
		Skills   []skillRow
		Monthly  []trackMonthRow
		Why      []string // sessions are not told of yet
	}{TrackRecord: t, Findings: slices.Clone(t.Findings), Waters: []pickOption{{Label: "All waters"}}, Groups: []pickOption{{Label: "All groups"}}}
	view.About = "All waters"
	for _, w := range waters {
		view.Waters = append(view.Waters, pickOption{w.ID, w.Name, w.ID == t.Water})
		if w.ID == t.Water {
			view.About = w.Name
		}
	}
	for _, g := range model.Groups() {
		view.Groups = append(view.Groups, pickOption{string(g), groupWords(g), g == t.Group})
	}
	if t.Group != "" {
		view.About += ", " + groupWords(t.Group)
	}
	if t.Figures != nil {
		view.Figures, view.Coverage, view.Skills = trackFigures(*t.Figures), coverageRows(*t.Figures), skillRows(t.Figures.Skill)
	}
	for i := range view.Findings {
		view.Findings[i] = sentenceCase(view.Findings[i])
	}
	for _, m := range t.Months {
		if !m.Cover90.Known && !m.CRPS.Known && !m.LogScore.Known {
			continue // too few sessions for any figure
		}
		view.Monthly = append(view.Monthly, trackMonth(m))
	}
	if t.Waiting != nil {
		view.Why = withheldWords(t.Waiting.Why)
	}
	view.Picture, view.Against, view.Came = coverageByMonth(t.Months), againstByMonth(t.Months), againstRows(t.Months)
	return Frame{Title: "Track record", Path: TrackRecordPath, Demo: t.Demo, Notice: notice}.Page(trackPart, view)
}

func trackFigures(f model.TrackFigures) []named {
	rows := []named{
		{"Log score", infinite(f.LogScore) + ", the smaller the better"},
		{"CRPS", fmt.Sprintf("%.2f bites, the smaller the better", f.CRPS)},
	}
	if f.MeanRatio.Known {
		rows = append(rows, named{"Expected", fmt.Sprintf("%.2f bites for each that came", f.MeanRatio.Value)})
	}
	blanks := fmt.Sprintf("%d of %d, %.0f expected", f.Blanks.Observed, f.Blanks.Sessions, f.Blanks.Expected)
	if f.Blanks.Missing {
		blanks += "; so few that some may go unrecorded"
	}
	return append(rows, named{"Without fish", blanks}, named{"PIT", fmt.Sprintf("p %.2g that counts fall where forecasts say", f.PITP)})
}

func infinite(v model.Maybe[float64]) string {
	if !v.Known {
		return "infinite"
	}
	return fmt.Sprintf("%.3f", v.Value)
}

// coverageRow is how many of 100 counts fell inside an interval against how many
// should.
type coverageRow struct{ Interval, Should, Did string }

func coverageRows(f model.TrackFigures) []coverageRow {
	return []coverageRow{
		{"50 %", "50", fmt.Sprintf("%.0f", 100*f.Cover50)},
		{"90 %", "90", fmt.Sprintf("%.0f", 100*f.Cover90)},
	}
}

// skillRow holds the plans against one simpler forecast. Where the interval of
// the gain holds 0 nothing is claimed.
type skillRow struct{ Reference, Sessions, Verdict, Gain string }

func skillRows(skills []model.TrackSkill) []skillRow {
	var rows []skillRow
	for _, s := range skills {
		r := skillRow{Reference: s.Reference, Sessions: fmt.Sprint(s.Sessions), Verdict: "no comparison", Gain: unknown}
		if c := s.LogScore; c != nil {
			r.Verdict, r.Gain = c.Verdict, fmt.Sprintf("%+.3f (%+.3f to %+.3f)", c.Gain, c.Low95, c.High95)
		}
		rows = append(rows, r)
	}
	return rows
}

type trackMonthRow struct{ Month, Cover90, LogScore, CRPS string }

func trackMonth(m model.TrackMonth) trackMonthRow {
	row := trackMonthRow{Month: monthText(m.Month), LogScore: figure(m.LogScore, 2), CRPS: figure(m.CRPS, 2), Cover90: unknown}
	if m.Cover90.Known {
		row.Cover90 = fmt.Sprintf("%.0f", 100*m.Cover90.Value)
	}
	return row
}

func monthText(month string) string {
	at, err := time.Parse("2006-01", month)
	if err != nil {
		return month
	}
	return at.Format("Jan 2006")
}

func shortMonth(month string) string {
	at, err := time.Parse("2006-01", month)
	if err != nil {
		return month
	}
	return at.Format("Jan 06")
}
