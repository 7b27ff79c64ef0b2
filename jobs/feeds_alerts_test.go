package jobs_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"osier/model"
)

const (
	alertsUS = "api.weather.gov/alerts/active?point=38.9,-77"
	alertsDE = "api.brightsky.dev/alerts?lat=52.5&lon=13.4"
)

// warnedUS and warnedDE answer with one warning of the afternoon; of none where
// no severity is given.
func warnedUS(event, severity string) reply {
	features := ""
	if severity != "" {
		features = fmt.Sprintf(`{"properties":{"id":"w-1","status":"Actual","messageType":"Alert","senderName":"NWS Inventown","severity":%q,"event":%q,"headline":"%s until evening",
			"onset":"2026-02-06T12:00:00+00:00","ends":"2026-02-06T18:00:00+00:00"}}`, severity, event, event)
	}
	return json200(`{"type":"FeatureCollection","features":[` + features + `]}`)
}

func warnedDE(event, severity string) reply {
	alerts := ""
	if severity != "" {
		alerts = fmt.Sprintf(`{"alert_id":"w-1","status":"actual","severity":%q,"event_en":%q,"headline_en":"Official WARNING of %s",
			"onset":"2026-02-06T12:00:00+00:00","expires":"2026-02-06T18:00:00+00:00"}`, severity, event, event)
	}
	return json200(`{"alerts":[` + alerts + `],"location":{"warn_cell_id":899999999}}`)
}

// warned is a water of one of the feeds of warnings.
type warned struct {
	feed    string
	water   model.Water
	address string
	answer  func(event, severity string) reply
	others  map[string]reply
	sender  string
	credit  string
}

func allWarned() []warned {
	return []warned{
		{"nws_alerts", american, alertsUS, warnedUS, americanAnswers(observationUS("KXXA", "38.95", "wmoUnit:degC", "null", "")), "NWS Inventown", "Warnings from the US National Weather Service"},
		{"brightsky_alerts", german, alertsDE, warnedDE, map[string]reply{metHost: gridAnswer, skyHost: germanAnswer("synop", "1.5")}, "Deutscher Wetterdienst", "Warnings from Deutscher Wetterdienst"},
	}
}

// pull pulls for the water at a time after noon, with that answer about warnings.
func (w warned) pull(t *testing.T, b *bench, after time.Duration, answer reply) (map[string]int, error) {
	t.Helper()
	done(t, b.db.PutWater(t.Context(), w.water))
	b.now = noon.Add(after)
	answers := map[string]reply{w.address: answer}
	for address, a := range w.others {
		answers[address] = a
	}
	p, _, _ := askHosts(t, b, answers)
	return p.Run(t.Context(), []model.Water{w.water})
}

// conditions are those of the next three hours.
func (w warned) conditions(t *testing.T, b *bench) model.Conditions {
	t.Helper()
	c, err := b.planner().Conditions(t.Context(), w.water.ID, b.now, b.now.Add(3*time.Hour))
	done(t, err)
	return c
}

// officialOf is the cautions of official warnings, and whether one of them stands
// first of all.
func officialOf(cautions []model.Caution) (found []model.Caution, first bool) {
	for i, c := range cautions {
		if c.ID == "official_warning" {
			found, first = append(found, c), first || i == 0
		}
	}
	return found, first
}

func TestAnOfficialWarningStandsFirstInThePlan(t *testing.T) {
	for _, w := range allWarned() {
		t.Run(w.feed, func(t *testing.T) {
			b := newBench(t)
			counts, err := w.pull(t, b, 0, w.answer("wind gusts", "severe"))
			done(t, err)
			if counts["official warnings"] != 1 || counts["warnings"] != 0 {
				t.Errorf("counts %v, want one official warning and nothing left out", counts)
			}
			p := b.plan(t, model.Question{Water: w.water.ID, Start: noon.Add(25 * time.Minute), Hours: 1, Group: model.Bream})
			found, first := officialOf(p.Cautions)
			if len(found) != 1 || !first || found[0].Level != model.Care || found[0].Source != w.sender || !strings.Contains(found[0].Text, "wind gusts") {
				t.Errorf("cautions %+v; want the warning first, in the words of %s", p.Cautions, w.sender)
			}
			if !strings.Contains(strings.Join(p.Weather.Credits, "\n"), w.credit) {
				t.Errorf("credits %q, want %q", p.Weather.Credits, w.credit)
			}
			// Another severity is another plan within the hour.
			_, err = w.pull(t, b, 11*time.Minute, w.answer("wind gusts", "extreme"))
			done(t, err)
			again := b.plan(t, model.Question{Water: w.water.ID, Start: noon.Add(25 * time.Minute), Hours: 1, Group: model.Bream})
			if found, _ := officialOf(again.Cautions); again.ID == p.ID || len(found) != 1 || found[0].Level != model.Stop || again.Activity != nil {
				t.Errorf("plan %s after %s says %+v; want another one, stopped", again.ID, p.ID, found)
			}
		})
	}
}

func TestAWarningTakenBackIsGone(t *testing.T) {
	for _, w := range allWarned() {
		t.Run(w.feed, func(t *testing.T) {
			b := newBench(t)
			_, err := w.pull(t, b, 0, w.answer("wind gusts", "severe"))
			done(t, err)
			if found, _ := officialOf(w.conditions(t, b).Cautions); len(found) != 1 {
				t.Fatalf("cautions %+v, want the warning", found)
			}
			_, err = w.pull(t, b, 30*time.Minute, w.answer("", ""))
			done(t, err)
			if found, _ := officialOf(w.conditions(t, b).Cautions); len(found) != 0 {
				t.Errorf("cautions %+v, want none: it was asked, and none is in force", found)
			}
		})
	}
}

// What the feed answered last is given on, whatever it answers later; once that
// is two hours old it is said too that warnings were not checked.
func TestWhatIsSaidWhenAFeedOfWarningsFails(t *testing.T) {
	for _, w := range allWarned() {
		for _, c := range []struct {
			name   string
			answer reply
			fails  bool
		}{
			{"an error", reply{500, "text/plain", "later"}, true},
			{"not there", reply{404, "text/plain", "not found"}, false},
			{"a web page", reply{200, "text/html", webPage}, true},
			{"something else", json200(`{"type":"FeatureCollection","weather":[]}`), true},
		} {
			t.Run(w.feed+": "+c.name, func(t *testing.T) {
				b := newBench(t)
				_, err := w.pull(t, b, 0, w.answer("wind gusts", "severe"))
				done(t, err)
				_, err = w.pull(t, b, 110*time.Minute, c.answer)
				if c.fails != (err != nil) || err != nil && !strings.Contains(err.Error(), "pull "+w.feed+": ") {
					t.Errorf("error %v, want one %v", err, c.fails)
				}
				if found, _ := officialOf(w.conditions(t, b).Cautions); len(found) != 1 || found[0].Level != model.Care {
					t.Errorf("cautions %+v, want the warning alone", found)
				}
				b.now = noon.Add(2*time.Hour + time.Minute)
				if found, _ := officialOf(w.conditions(t, b).Cautions); len(found) != 2 || found[0].Level != model.Care || found[1].Level != model.NotChecked {
					t.Errorf("two hours later %+v; want the warning, and that others were not checked", found)
				}
			})
		}
	}
}

func TestAnAnswerStoodByIsCheckedAgain(t *testing.T) {
	for _, w := range allWarned() {
		t.Run(w.feed, func(t *testing.T) {
			b := newBench(t)
			_, err := w.pull(t, b, 0, w.answer("wind gusts", "severe"))
			done(t, err)
			_, err = w.pull(t, b, 3*time.Hour, reply{status: 304})
			done(t, err)
			if found, _ := officialOf(w.conditions(t, b).Cautions); len(found) != 1 || found[0].Level != model.Care {
				t.Errorf("cautions %+v, want the warning alone: the feed stands by it", found)
			}
		})
	}
}

func TestWhereNoFeedOfWarningsWasAskedTheyAreNotChecked(t *testing.T) {
	toronto := waterAt("toronto", 43.7, -79.4) // in the box, but not in the country
	for _, c := range []struct {
		water   model.Water
		answers map[string]reply
		asks    string
		times   int
	}{
		{reedmere, map[string]reply{metHost: gridAnswer}, "api.weather.gov", 0},
		{toronto, map[string]reply{metHost: gridAnswer, "api.weather.gov/alerts/": warnedUS("", "")}, "api.weather.gov/alerts/", 0},
		{german, map[string]reply{metHost: gridAnswer, alertsDE: json200(`{"alerts":[],"location":null}`)}, alertsDE, 1},
	} {
		b := newBench(t)
		done(t, b.db.PutWater(t.Context(), c.water))
		p, h, _ := askHosts(t, b, c.answers)
		_, _ = p.Run(t.Context(), []model.Water{c.water}) // errors are another test's matter
		if h.count(c.asks) != c.times {
			t.Errorf("%s: asked %q, want %d times %s", c.water.ID, h.asked, c.times, c.asks)
		}
		got, err := b.planner().Conditions(t.Context(), c.water.ID, noon, noon.Add(3*time.Hour))
		done(t, err)
		if found, _ := officialOf(got.Cautions); len(found) != 1 || found[0].Level != model.NotChecked || strings.Contains(strings.Join(got.Credits, "\n"), "Warnings from") {
			t.Errorf("%s: cautions %+v, credits %q; want it said that none were checked", c.water.ID, found, got.Credits)
		}
	}
}

func TestWarningsAreNotAskedForAgainBeforeTenMinutes(t *testing.T) {
	b := newBench(t)
	w := allWarned()[1]
	answers := map[string]reply{alertsDE: w.answer("", ""), metHost: gridAnswer}
	p, h, _ := askHosts(t, b, answers)
	beside := german
	beside.ID, beside.LatDeg = "beside", german.LatDeg+0.003
	for _, c := range []struct {
		after time.Duration
		want  int
	}{{0, 1}, {9 * time.Minute, 1}, {11 * time.Minute, 2}} {
		b.now = noon.Add(c.after)
		_, err := p.Run(t.Context(), []model.Water{german, beside})
		done(t, err)
		if got := h.count(alertsDE); got != c.want {
			t.Errorf("%v after the first: asked %d times for two waters side by side, want %d", c.after, got, c.want)
		}
	}
}
