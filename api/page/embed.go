package page

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"
	"time"

	"osier/model"
)

//go:embed embed/embed.html
var embedHTML string

//go:embed embed/embed.css
var embedCSS string

//go:embed embed/embed.svg
var embedSVG string

var (
	embedTemplate    = template.Must(template.New("embed").Parse(embedHTML))
	embedSVGTemplate = template.Must(template.New("embed.svg").Parse(embedSVG))
)

// EmbedPolicy is the Content-Security-Policy of what a club shows on its own
// site: nothing may be loaded, no script runs, and any site may frame it. No
// other page of ours may be framed.
func EmbedPolicy() string {
	sum := sha256.Sum256([]byte(embedCSS))
	return "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; form-action 'none'; base-uri 'none'; frame-ancestors *"
}

// embedded is a club's waters on one day, in words and figures. Nothing is
// rated, and nothing is told of how the fish may bite: who reads it on another
// site has no interval and no caution beside it.
type embedded struct {
	Title, Day, Href string
	Demo             bool
	Waters           []embeddedWater
	Deferral         string
	Sheet            template.CSS
}

type embeddedWater struct {
	Name        string
	State       string
	Decided     []string // other restrictions
	Temperature string
}

// embedOf is what holds on the day of an instant, by each water's own clock. It
// says from when to when a restriction holds, so it stays true the whole day.
func embedOf(w ClubWord, now time.Time) embedded {
	e := embedded{
		Title: titled(w.Club.Demo, w.name()), Day: dateText(now.In(location(w.Club.Zone)).Format(time.DateOnly)),
		Href: w.Site + ClubPath(w.Club.ID), Demo: w.Club.Demo, Deferral: model.Deferral, Sheet: template.CSS(embedCSS),
	}
	last := w.lastWord()
	for _, water := range w.Waters {
		date := now.In(location(water.Zone)).Format(time.DateOnly)
		state, others := w.stateOn(water, date)
		e.Waters = append(e.Waters, embeddedWater{
			Name: line(water.Name), State: state, Decided: others,
			Temperature: temperatureOn(last[waterDay{water.ID, date}].day),
		})
	}
	return e
}

// stateOn is whether a club closed a water on a day, and what else it decided.
func (w ClubWord) stateOn(water model.Water, date string) (state string, others []string) {
	loc := location(water.Zone)
	midnight, err := time.ParseInLocation(time.DateOnly, date, loc)
	if err != nil {
		return "", nil
	}
	next := midnight.AddDate(0, 0, 1)
	var closures []string
	for _, r := range w.Restrictions {
		from, until, holds := r.Within(midnight, next)
		if r.Water != water.ID || !holds {
			continue
		}
		says := r.What() + " " + partOfDay(from, until, midnight, next, loc) + ": " + line(r.Reason)
		if r.Kind == model.WaterClosed {
			closures = append(closures, says)
			continue
		}
		others = append(others, says)
	}
	if len(closures) == 0 {
		return "not closed", others
	}
	return strings.Join(closures, "; "), others
}

func partOfDay(from, until, midnight, next time.Time, loc *time.Location) string {
	switch {
	case from.Equal(midnight) && until.Equal(next):
		return "all day"
	case from.Equal(midnight):
		return "until " + until.In(loc).Format("15:04")
	case until.Equal(next):
		return "from " + from.In(loc).Format("15:04")
	}
	return from.In(loc).Format("15:04") + " to " + until.In(loc).Format("15:04")
}

// temperatureOn is the water's temperature by the outlook that holds for a day.
func temperatureOn(day model.OutlookDay) string {
	t := day.Conditions.WaterC
	if t.Kind == "" || t.Kind == model.Missing {
		return "water temperature not told: no outlook is published for today"
	}
	return fmt.Sprintf("water %s °C, %s: %s to %s", decimal(t.Value, 1), t.Kind, decimal(t.Low, 1), decimal(t.High, 1))
}

// Embed is a small page for a frame on a club's own site: its waters on the day
// of an instant. It has no script and sets no cookie.
func Embed(w ClubWord, now time.Time) ([]byte, error) {
	var b bytes.Buffer
	if err := embedTemplate.Execute(&b, embedOf(w, now)); err != nil {
		return nil, fmt.Errorf("render the embed of %s: %w", w.Club.ID, err)
	}
	return b.Bytes(), nil
}

// Sizes of the picture, in its own units, which are pixels where it is shown at
// its own width. Our choice: legible on a phone at 320 px.
const (
	embedWidth   = 340
	embedLineTop = 22 // of the first line
	embedLine    = 19
	embedColumns = 44 // characters of a line: more would run out of the picture
)

// svgLine is one line of text, and whether it is a heading.
type svgLine struct {
	Y      int
	Strong bool
	Text   string
}

// EmbedSVG is the same as a picture, with a title and all of its words as its
// description. Lines that are too long for the picture are broken.
func EmbedSVG(w ClubWord, now time.Time) ([]byte, error) {
	e := embedOf(w, now)
	view := struct {
		embedded
		Width, Height int
		Lines         []svgLine
		Text          string
	}{embedded: e, Width: embedWidth}
	var all []string
	add := func(strong bool, text string) {
		for _, part := range broken(text, embedColumns) {
			view.Lines = append(view.Lines, svgLine{embedLineTop + embedLine*len(view.Lines), strong, part})
		}
	}
	add(true, e.Title)
	add(false, e.Day)
	for _, water := range e.Waters {
		add(true, water.Name)
		told := append([]string{water.State}, append(water.Decided, water.Temperature)...)
		for _, text := range told {
			add(false, text)
		}
		all = append(all, water.Name+": "+strings.Join(told, "; ")+".")
	}
	add(false, e.Deferral)
	view.Text = strings.Join(append(all, e.Deferral), " ")
	view.Height = embedLineTop + embedLine*len(view.Lines)
	var b bytes.Buffer
	if err := embedSVGTemplate.Execute(&b, view); err != nil {
		return nil, fmt.Errorf("render the embedded picture of %s: %w", w.Club.ID, err)
	}
	return b.Bytes(), nil
}

// broken breaks a text into lines of at most so many characters, between words
// where it can.
func broken(text string, columns int) (lines []string) {
	var now []rune
	for _, word := range strings.Fields(text) {
		letters := []rune(word)
		if len(now) > 0 && len(now)+1+len(letters) > columns {
			lines, now = append(lines, string(now)), nil
		}
		if len(now) > 0 {
			now = append(now, ' ')
		}
		now = append(now, letters...)
		for len(now) > columns {
			lines, now = append(lines, string(now[:columns])), now[columns:]
		}
	}
	if len(now) > 0 {
		lines = append(lines, string(now))
	}
	return lines
}
