package main

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	"osier/model"
)

// A trial run of the rules, without weather and hours, gave about 1.1 bites/h
// and 28 % blanks at 4 C, 2.2 and 16 % at 8 C, 4.4 and 7 % at 18 C (trade pack
// section 7). The bands are loose; marlo, who overfeeds, is left out.
func TestBitesAndBlanksAreThoseOfTheTrialRun(t *testing.T) {
	type tally struct{ n, blanks, bites, hours float64 }
	at := map[float64]*tally{4: {}, 8: {}, 18: {}}
	for seed := uint64(1); seed <= 12; seed++ {
		for _, s := range inventWorld(t, seed, demoNow).Truth.Sessions {
			for c, sum := range at {
				if math.Abs(s.WaterC-c) > 1 || s.Angler == "marlo" {
					continue
				}
				sum.n++
				sum.bites += float64(s.Bites)
				sum.hours += s.Hours
				if s.Fish == 0 {
					sum.blanks++
				}
			}
		}
	}
	for _, c := range []struct{ waterC, lowRate, highRate, lowBlank, highBlank float64 }{
		{4, 0.8, 1.5, 0.20, 0.42},
		{8, 1.6, 2.9, 0.08, 0.24},
		{18, 3.4, 5.6, 0.03, 0.12},
	} {
		sum := at[c.waterC]
		rate, blanks := sum.bites/sum.hours, sum.blanks/sum.n
		t.Logf("at %.0f C: %.0f sessions, %.2f bites/h, %.0f %% blanks", c.waterC, sum.n, rate, 100*blanks)
		if rate < c.lowRate || rate > c.highRate || blanks < c.lowBlank || blanks > c.highBlank {
			t.Errorf("at %.0f C: %.2f bites/h and %.0f %% blanks of %.0f sessions, want %.1f to %.1f and %.0f to %.0f %%",
				c.waterC, rate, 100*blanks, sum.n, c.lowRate, c.highRate, 100*c.lowBlank, 100*c.highBlank)
		}
	}
}

func TestTrueRateFollowsItsFormula(t *testing.T) {
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"f(2)", demoRules.temperature(2), 0},
		{"f(10)", demoRules.temperature(10), 1.9 * (1 - math.Exp(-1))},
		{"f(25)", demoRules.temperature(25), 1.9*(1-math.Exp(-22.0/7)) - 0.2},
		{"feed at the trade's rate", demoRules.feed(0), 0},
		{"feed at e^0.8 of it", demoRules.feed(0.8), -0.5},
		{"warming beyond its clip, a breeze", demoRules.weather(demoHour{windMps: 5, oktas: 8}, 4, "clear"), 0.5},
		{"calm, clear sky, clear water", demoRules.weather(demoHour{windMps: 1}, 0, "clear"), -0.25},
		{"calm, clear sky, coloured water", demoRules.weather(demoHour{windMps: 1}, 0, "coloured"), 0},
		{"pressure", demoRules.PressurePerHPa, 0},
		{"moon", demoRules.Moon, 0},
	} {
		if math.Abs(c.got-c.want) > 1e-12 {
			t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
		}
	}
}

// Each honest record tells what happened: its parts add up to the truth.
func TestRecordsAddUpToTheTruth(t *testing.T) {
	in := foundClub(t)
	for _, s := range in.world.Truth.Sessions {
		r, stored := in.stored[s.ID]
		if !stored || !r.Bites.Known {
			continue
		}
		if fish := r.FishLanded().Or(-1); fish != s.Fish {
			t.Errorf("%s: %d fish written, %d landed", s.ID, fish, s.Fish)
		}
		rounded := s.Angler == "VP" && r.Bites.Value%5 == 0 || s.Angler == "VP" && r.Bites.Value == s.Fish
		if r.Bites.Value != s.Bites && !rounded {
			t.Errorf("%s: %d bites written, %d had", s.ID, r.Bites.Value, s.Bites)
		}
		if !r.Demo {
			t.Errorf("%s does not say that it is invented", s.ID)
		}
		if r.Style == model.FullLog {
			checkCasts(t, s, r)
		}
		for i, v := range r.Intervals[min(1, len(r.Intervals)):] {
			before := r.Intervals[i]
			if raised := v.RateGH.Value > before.RateGH.Value; raised != (before.Bites.Value >= 4 && float64(before.RateGH.Value) < 1.95*s.PlannedGH) && s.PlannedGH >= 20 {
				t.Errorf("%s: %v g/h after an hour of %d bites at %v g/h", s.ID, v.RateGH.Value, before.Bites.Value, before.RateGH.Value)
			}
		}
	}
}

func checkCasts(t *testing.T, s demoSessionTruth, r model.Session) {
	t.Helper()
	bites, timed := 0, 0
	for _, c := range r.Casts {
		if c.Outcome.TrueBite() {
			bites++
		}
		if c.BiteMin.Known {
			timed++
			if wet := c.Out.Sub(c.In).Minutes(); c.BiteMin.Value > wet+0.1 {
				t.Errorf("%s: a bite after %.1f min of a cast of %.1f min", s.ID, c.BiteMin.Value, wet)
			}
		}
		if !c.FillG.Known || c.FillG.Value <= 0 {
			t.Errorf("%s: a cast without feed", s.ID)
		}
	}
	if bites != s.Bites || timed != s.Bites {
		t.Errorf("%s: %d casts with a bite, %d of them timed, and %d bites", s.ID, bites, timed, s.Bites)
	}
}

// The two files hold the styles that they are meant for.
func TestFilesHoldEveryStyle(t *testing.T) {
	w := inventWorld(t, demoSeed, demoNow)
	inCSV, _, err := model.ReadSessionsCSV(bytes.NewReader(w.SessionsCSV), model.Defaults{Now: demoNow})
	if err != nil {
		t.Fatal(err)
	}
	inJSON, _, err := model.ReadSessionsJSON(bytes.NewReader(w.SessionsJSON), model.Defaults{Now: demoNow})
	if err != nil {
		t.Fatal(err)
	}
	count := map[string]int{}
	for _, p := range inCSV {
		count[fmt.Sprint("csv ", p.Session.Style)]++
	}
	for _, p := range inJSON {
		count[fmt.Sprint("json ", p.Session.Style)]++
	}
	for _, key := range []string{"csv hourly", "csv summary", "json full_log"} {
		if count[key] < 30 {
			t.Errorf("%d sessions of %s", count[key], key)
		}
	}
	if len(count) != 3 {
		t.Errorf("styles by file: %v", count)
	}
}
