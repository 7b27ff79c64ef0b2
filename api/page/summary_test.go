package page_test

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"osier/api/page"
	"osier/model"
)

// element is what a test looks at of one.
type element struct {
	name  string
	attr  map[string]string
	text  string // in it and below
	paths []string
}

// elements reads a page as XML, strictly: what is not well formed, or a name
// that is not the page's own, ends the test.
func elements(t interface {
	Helper()
	Fatalf(format string, args ...any)
}, body []byte,
) []*element {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(string(body)))
	d.Strict, d.Entity = true, xml.HTMLEntity
	var open, all []*element
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("the page is not well formed: %v\n%s", err, body)
		}
		switch token := token.(type) {
		case xml.StartElement:
			e := &element{name: token.Name.Local, attr: map[string]string{}}
			for _, a := range token.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			for _, o := range open {
				e.paths = append(e.paths, o.name)
			}
			open, all = append(open, e), append(all, e)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			for _, o := range open {
				o.text += string(token)
			}
		}
	}
	return all
}

func named(all []*element, name string) []*element {
	return slices.DeleteFunc(slices.Clone(all), func(e *element) bool { return e.name != name })
}

const hostile = `<script>alert(1)</script></style><img src=x onerror="alert(1)"> & 'maggot' {{.}} ]]>`

// outing is a summary with everything in it, every text hostile.
func outing() model.SessionSummary {
	start := time.Date(2026, 2, 6, 9, 0, 0, 0, time.UTC)
	known := func(v float64) model.Maybe[float64] { return model.Known(v) }
	return model.SessionSummary{
		Session: "s-1", Water: "reedmere", WaterName: hostile, Group: model.Bream, Angler: hostile, Style: model.FullLog, Peg: hostile,
		Start: start, End: start.Add(4 * time.Hour), RodHours: 4, Groundbait: hostile, HookBait: hostile, Notes: hostile,
		Bites: model.Known(2), Fish: model.Known(1), Weight: model.Known(model.Weight{G: 1450, How: hostile}),
		Casts: []model.SummaryCast{
			{At: start, SoakMin: 10, Outcome: model.FishLanded, BiteMin: known(4.5), Group: model.Group(hostile), FishG: model.Known[model.Grams](1450)},
			{At: start.Add(12 * time.Minute), SoakMin: 12.3, Outcome: model.LineBite},
			{At: start.Add(30 * time.Minute), SoakMin: 7, Outcome: model.MissedBite, BiteMin: known(6.2)},
		},
		Waiting: &model.SummaryWaiting{
			Casts: 3, Bites: 2,
			Survival: []model.WaitingPoint{
				{TimeMin: 5, AtRisk: 3, Bites: 1, Waiting: 0.6667, Low95: known(0.05), High95: known(0.95)},
				{TimeMin: 7, AtRisk: 2, Bites: 1, Waiting: 0.3333, Low95: known(0.01), High95: known(0.77)},
				{TimeMin: 13, AtRisk: 1, WoundIn: 1, Waiting: 0.3333, Low95: known(0.01), High95: known(0.77)},
			},
			Typical: []model.TypicalPoint{
				{TimeMin: 0, Waiting: 1, Low90: 1, High90: 1}, {TimeMin: 1, Waiting: 0.95, Low90: 0.9, High90: 0.98}, {TimeMin: 2, Waiting: 0.9, Low90: 0.81, High90: 0.96},
			},
			TypicalCasts: 40, TypicalSessions: 3, Soak: &model.SummarySoak{Verdict: model.BestSoak, LowMin: 8, HighMin: 11, Text: hostile},
		},
		WaitingText: hostile,
		Plan:        &model.SummaryPlan{PlanID: "p-1", RodHours: 4, BitesLow90: 1, BitesHigh90: 12, Bites: model.Known(2), Text: hostile}, PlanText: hostile,
		Feed: model.SummaryFeed{Text: hostile}, Cautions: []model.Caution{{Level: model.Care, Text: hostile}}, CautionsText: hostile,
		Queries: []string{hostile}, CannotSay: []string{hostile}, TryNext: model.TryNext{Rule: model.TrySoak, Text: hostile, Reason: hostile, NotJudged: []string{hostile}},
		Deferral: model.Deferral, Demo: true,
	}
}

func render(t *testing.T, s model.SessionSummary) []*element {
	t.Helper()
	body, err := page.Summary(s)
	if err != nil {
		t.Fatal(err)
	}
	return elements(t, body)
}

func TestWhatPeopleWroteStaysText(t *testing.T) {
	all := render(t, outing())
	for _, e := range all {
		if e.name == "script" || e.name == "img" {
			t.Errorf("an element %s came from a text", e.name)
		}
		for name := range e.attr {
			if strings.HasPrefix(name, "on") || name == "style" || name == "src" || name == "href" {
				t.Errorf("<%s %s>: the page loads and runs nothing", e.name, name)
			}
		}
	}
	if n := len(named(all, "style")); n != 1 {
		t.Errorf("%d styles, want the page's one", n)
	}
	whole := all[0].text
	if n := strings.Count(whole, hostile); n < 18 {
		t.Errorf("the texts are shown %d times, want all of them", n)
	}
}

func TestTheStyleIsTheOneThatThePolicyAllows(t *testing.T) {
	style := named(render(t, outing()), "style")[0].text
	sum := sha256.Sum256([]byte(style))
	policy := page.SummaryPolicy()
	if !strings.Contains(policy, "style-src 'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"'") || !strings.HasPrefix(policy, "default-src 'none'") || strings.Contains(policy, "unsafe") {
		t.Errorf("policy %q does not fit the style", policy)
	}
	for _, must := range []string{"prefers-color-scheme: dark", "@media print", "color-scheme: light dark"} {
		if !strings.Contains(style, must) {
			t.Errorf("the style has no %s", must)
		}
	}
}

// Every picture has a name, a text that says the same, and its figures beside it.
func TestPicturesHaveTheirTextAndTable(t *testing.T) {
	all := render(t, outing())
	ids := map[string]*element{}
	for _, e := range all {
		if id := e.attr["id"]; id != "" {
			if ids[id] != nil {
				t.Errorf("two elements have the id %s", id)
			}
			ids[id] = e
		}
	}
	pictures := named(all, "svg")
	if len(pictures) != 2 {
		t.Fatalf("%d pictures, want the curve and the bar", len(pictures))
	}
	for _, p := range pictures {
		if p.attr["role"] != "img" || p.attr["viewBox"] == "" {
			t.Errorf("picture %v", p.attr)
		}
		for _, id := range strings.Fields(p.attr["aria-labelledby"]) {
			if ids[id] == nil || strings.TrimSpace(ids[id].text) == "" {
				t.Errorf("the picture is named by %q, which says nothing", id)
			}
		}
	}
	if text := ids["curve-text"].text; !strings.Contains(text, "3 casts 2 had a true bite") || !strings.Contains(text, "33 would still wait after 13 minutes") {
		t.Errorf("the curve's text is %q", text)
	}
	if text := ids["bar-text"].text; !strings.Contains(text, "from 1 to 12 bites; 2 came") {
		t.Errorf("the bar's text is %q", text)
	}
	var rows []string
	for _, r := range named(all, "tr") {
		rows = append(rows, strings.Join(strings.Fields(r.text), " "))
	}
	whole := strings.Join(rows, "\n")
	for _, must := range []string{"0100 3100 (100\u2013100)", "2100 390 (81\u201396)", "567 (5\u201395) 2-", "1333 (1\u201377) 0-", "09:0010.04.5", "09:1212.3-line touched", "09:307.06.2bite missed"} {
		if !strings.Contains(strings.ReplaceAll(whole, " ", ""), strings.ReplaceAll(must, " ", "")) {
			t.Errorf("no row %q in\n%s", must, whole)
		}
	}
	for _, table := range named(all, "table") {
		if !strings.Contains(table.text, "cast") {
			t.Error("a table has no caption")
		}
	}
	for _, th := range named(all, "th") {
		if th.attr["scope"] == "" {
			t.Errorf("heading %q heads nothing", th.text)
		}
	}
}

func TestPageStructure(t *testing.T) {
	all := render(t, outing())
	if all[0].attr["lang"] != "en-GB" || len(named(all, "title")) < 1 || len(named(all, "h1")) != 1 || len(named(all, "main")) != 1 {
		t.Error("language, title, one heading of the first level and one main part are wanted")
	}
	shown := func(s model.SessionSummary) string { return render(t, s)[0].text }
	for _, c := range []struct {
		name   string
		change func(*model.SessionSummary)
		has    string
		lacks  string
	}{
		{"invented", func(*model.SessionSummary) {}, "Invented: this club", "\x00"},
		{"not invented", func(s *model.SessionSummary) { s.Demo = false }, "One thing to try", "Invented"},
		{"no casts", func(s *model.SessionSummary) { s.Casts, s.Waiting = nil, nil }, "The record holds no casts.", "minutes since"},
		{"no plan", func(s *model.SessionSummary) { s.Plan = nil }, "The plan against", "12 bites"},
		{"bites not counted", func(s *model.SessionSummary) { s.Bites, s.Plan.Bites = model.Maybe[int]{}, model.Maybe[int]{} }, "not counted", "came."},
		{"no curve", func(s *model.SessionSummary) { s.Waiting.Typical, s.Waiting.Soak = nil, nil }, "Solid steps", "Dashed"},
		{"no best soak", func(s *model.SessionSummary) { s.Waiting.Soak.Verdict = model.NoBestSoak }, "Dashed", "soak 8 to 11 min"},
		{"a best soak", func(*model.SessionSummary) {}, "soak 8 to 11 min", "\x00"},
	} {
		s := outing()
		c.change(&s)
		if text := shown(s); !strings.Contains(text, c.has) || strings.Contains(text, c.lacks) {
			t.Errorf("%s: want %q and not %q", c.name, c.has, c.lacks)
		}
	}
}

// Whatever the figures, the page is well formed and every point lies inside its
// picture.
func TestEveryPointLiesInsideItsPicture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := outing()
		w := s.Waiting
		w.Survival = nil
		minute, still, left := 0.0, 1.0, rapid.IntRange(1, 60).Draw(t, "casts")
		w.Casts = left
		for left > 0 {
			minute += float64(rapid.IntRange(1, 90).Draw(t, "wait"))
			still *= rapid.Float64Range(0, 1).Draw(t, "share")
			w.Survival = append(w.Survival, model.WaitingPoint{TimeMin: minute, AtRisk: left, Bites: 1, Waiting: still, Low95: model.Known(still / 2), High95: model.Known((1 + still) / 2)})
			left--
			if len(w.Survival) == 12 {
				break
			}
		}
		w.Soak.LowMin = rapid.Float64Range(0, 720).Draw(t, "low")
		w.Soak.HighMin = w.Soak.LowMin + rapid.Float64Range(0, 100).Draw(t, "width")
		low := rapid.IntRange(0, 500).Draw(t, "bites low")
		s.Plan.BitesLow90, s.Plan.BitesHigh90, s.Plan.Bites = low, low+rapid.IntRange(0, 500).Draw(t, "bites width"), model.Known(rapid.IntRange(0, 2000).Draw(t, "bites"))
		body, err := page.Summary(s)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range elements(t, body) {
			for _, pair := range strings.Fields(e.attr["points"]) {
				var x, y float64
				if _, err := fmt.Sscanf(pair, "%f,%f", &x, &y); err != nil || x < 37 || x > 311 || y < 13 || y > 201 {
					t.Fatalf("point %q of %s lies outside", pair, e.name)
				}
			}
			for _, name := range []string{"x", "x1", "x2"} {
				var x float64
				if v := e.attr[name]; v != "" && e.name != "pattern" {
					if _, err := fmt.Sscan(v, &x); err != nil || x < 0 || x > 320 {
						t.Fatalf("%s=%q of %s lies outside", name, v, e.name)
					}
				}
			}
		}
	})
}
