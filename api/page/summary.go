package page

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"math"
	"strings"
	"time"

	"osier/model"
)

//go:embed summary/summary.html
var summaryHTML string

//go:embed summary/summary.css
var summaryCSS string

var summaryTemplate = template.Must(template.New("summary").Funcs(template.FuncMap{
	"clock": func(at time.Time, like time.Time) string { return at.In(like.Location()).Format("15:04") },
	"day":   func(at time.Time) string { return at.Format("Monday 2 January 2006") },
	"min":   func(v float64) string { return fmt.Sprintf("%.1f", v) },
	"count": func(v model.Maybe[int]) string {
		if !v.Known {
			return "not counted"
		}
		return fmt.Sprint(v.Value)
	},
	"kg": func(w model.Weight) string {
		return strings.TrimSpace(fmt.Sprintf("%.2f kg %s", float64(w.G)/1000, w.How))
	},
	"minutes": waitingRows,
	"soakbar": hasSoakBar,
	"tries":   func(t model.TryNext) bool { return t.Rule != model.TryNothing },
}).Parse(summaryHTML))

// SummaryPolicy is the Content-Security-Policy of the summary: nothing may be
// loaded, and the one style is known by its digest.
func SummaryPolicy() string {
	sum := sha256.Sum256([]byte(summaryCSS))
	return "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'"
}

// Summary is the page of one session. It works without scripts, and is
// well-formed XML too.
func Summary(s model.SessionSummary) ([]byte, error) {
	view := struct {
		model.SessionSummary
		Sheet    template.CSS
		Curve    template.HTML // made by waitingCurve of numbers alone
		Interval template.HTML // the same of intervalBar
	}{SessionSummary: s, Sheet: template.CSS(summaryCSS)}
	if s.Waiting != nil {
		view.Curve = waitingCurve(*s.Waiting)
	}
	if s.Plan != nil && s.Plan.Bites.Known {
		view.Interval = intervalBar(*s.Plan)
	}
	var b bytes.Buffer
	if err := summaryTemplate.Execute(&b, view); err != nil {
		return nil, fmt.Errorf("render the summary of session %s: %w", s.Session, err)
	}
	return b.Bytes(), nil
}

// waitingRow is one minute of the table beside the curve.
type waitingRow struct{ Minute, Here, Left, Typical string }

// waitingRows are the curve's figures minute by minute, of 100 casts. What is
// past the longest soak is not known, and a dash.
func waitingRows(w model.SummaryWaiting) []waitingRow {
	last := 0.0
	if n := len(w.Survival); n > 0 {
		last = w.Survival[n-1].TimeMin
	}
	var rows []waitingRow
	for minute := 0.0; minute <= math.Max(last, float64(len(w.Typical)-1)); minute++ {
		row := waitingRow{Minute: fmt.Sprintf("%.0f", minute), Here: "-", Left: "-", Typical: "-"}
		if minute <= last {
			row.Here, row.Left = hereAt(w, minute)
		}
		if i := int(minute); i < len(w.Typical) {
			row.Typical = limited(w.Typical[i].Waiting, w.Typical[i].Low90, w.Typical[i].High90)
		}
		rows = append(rows, row)
	}
	return rows
}

// hereAt is the estimate for this session at a minute, and how many casts were
// still in the water after it.
func hereAt(w model.SummaryWaiting, minute float64) (share, left string) {
	now, after := model.WaitingPoint{Waiting: 1}, w.Casts
	for _, p := range w.Survival {
		if p.TimeMin > minute {
			break
		}
		now, after = p, p.AtRisk-p.Bites-p.WoundIn
	}
	if now.Low95.Known && now.High95.Known {
		return limited(now.Waiting, now.Low95.Value, now.High95.Value), fmt.Sprint(after)
	}
	return inHundred(now.Waiting), fmt.Sprint(after)
}

// limited is a share with its limits, short enough for a narrow phone.
func limited(share, low, high float64) string {
	return fmt.Sprintf("%s (%s\u2013%s)", inHundred(share), inHundred(low), inHundred(high))
}

func inHundred(share float64) string { return fmt.Sprintf("%.0f", 100*share) }

// svg gathers the parts of a picture.
type svg struct{ strings.Builder }

func (s *svg) add(format string, args ...any) { fmt.Fprintf(&s.Builder, format+"\n", args...) }
