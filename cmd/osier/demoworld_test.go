package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

// otherNows are dates at which the club must be as sound as at demoNow: in and
// beside the spells, the closure, both changes of the clocks and a leap day.
var otherNows = []time.Time{
	time.Date(2026, time.January, 12, 0, 0, 0, 0, time.UTC),
	time.Date(2027, time.January, 17, 23, 59, 59, 0, time.UTC),
	time.Date(2028, time.February, 29, 12, 0, 0, 0, time.UTC),
	time.Date(2027, time.March, 28, 1, 30, 0, 0, time.UTC),
	time.Date(2026, time.July, 11, 6, 0, 0, 0, time.UTC),
	time.Date(2026, time.July, 20, 15, 20, 0, 0, time.UTC),
	time.Date(2027, time.October, 29, 10, 0, 0, 0, time.UTC), // no October change within the year
	time.Date(2026, time.November, 25, 3, 0, 0, 0, time.UTC),
}

func TestSameSeedAndNowGiveTheSameBytes(t *testing.T) {
	bytesOf := func(seed uint64, now time.Time) []byte {
		body, err := json.Marshal(inventWorld(t, seed, now))
		if err != nil {
			t.Fatal(err)
		}
		return body
	}
	first := bytesOf(demoSeed, demoNow)
	if !bytes.Equal(first, bytesOf(demoSeed, demoNow)) {
		t.Error("the same seed and now give another club")
	}
	if !bytes.Equal(first, bytesOf(demoSeed, demoNow.In(time.FixedZone("", 3*3600)))) {
		t.Error("the same instant in another zone gives another club")
	}
	if bytes.Equal(first, bytesOf(demoSeed+1, demoNow)) {
		t.Error("another seed gives the same club")
	}
	if bytes.Equal(first, bytesOf(demoSeed, demoNow.AddDate(0, 0, 1))) {
		t.Error("another day gives the same club")
	}
}

func TestTomorrowsDemoSharesItsPastWithTodays(t *testing.T) {
	today, tomorrow := inventWorld(t, demoSeed, demoNow), inventWorld(t, demoSeed, demoNow.AddDate(0, 0, 1))
	was := map[string]int{}
	for _, s := range today.Truth.Sessions {
		was[s.ID] = s.Bites
	}
	same := 0
	for _, s := range tomorrow.Truth.Sessions {
		if bites, ok := was[s.ID]; ok && bites == s.Bites {
			same++
		}
	}
	if same < 180 {
		t.Errorf("%d of %d sessions are the same a day later, want nearly all", same, len(tomorrow.Truth.Sessions))
	}
}

func TestClubIsValidAndSaysThatItIsInvented(t *testing.T) {
	w := inventWorld(t, demoSeed, demoNow)
	var ids []string
	for _, water := range w.Waters {
		ids = append(ids, water.ID)
		if err := water.Validate(); err != nil {
			t.Errorf("%s: %v", water.ID, err)
		}
		if !water.Demo || !strings.Contains(water.Name, "invented") {
			t.Errorf("%s does not say that it is invented: %q", water.ID, water.Name)
		}
		if near := model.Near(water, []model.Station{w.Station}); len(near) != 1 || near[0].DistanceKm > 2 {
			t.Errorf("%s: station near it: %v", water.ID, near)
		}
		lat, lon := fmt.Sprintf("%.2f", water.LatDeg), fmt.Sprintf("%.2f", water.LonDeg)
		if lat != fmt.Sprintf("%.2f", w.Forecast.LatDeg) || lon != fmt.Sprintf("%.2f", w.Forecast.LonDeg) {
			t.Errorf("%s lies outside the cell of the forecast", water.ID)
		}
	}
	if diff := cmp.Diff([]string{"quillmarsh-pit", "drovelow-mere", "thistlecote-pool"}, ids); diff != "" {
		t.Errorf("waters (-want +got):\n%s", diff)
	}
	pegs := []int{len(w.Waters[0].Pegs), len(w.Waters[1].Pegs), len(w.Waters[2].Pegs)}
	if diff := cmp.Diff([]int{24, 14, 16}, pegs); diff != "" {
		t.Errorf("pegs (-want +got):\n%s", diff)
	}
	for _, k := range w.Kits {
		if err := k.Validate(); err != nil {
			t.Errorf("kit of %s: %v", k.Angler, err)
		}
	}
	if len(w.Reports) != 4 {
		t.Errorf("%d reports of a whole year, want 4", len(w.Reports))
	}
	for _, r := range w.Reports {
		if err := r.Validate(); err != nil || r.At.After(demoNow) || !strings.Contains(r.Note, "invented") {
			t.Errorf("report %+v: %v", r, err)
		}
	}
	if w.Station.Source != "invented" || w.Forecast.Source != "invented" || !strings.Contains(w.Station.Name, "invented") {
		t.Errorf("the weather does not say that it is invented: %+v", w.Station)
	}
	if !w.Truth.Demo || !strings.Contains(w.Truth.Note, "invented") || w.Truth.Club != "Hobbin Row Angling Circle" {
		t.Errorf("the truth does not say that it is invented: %q", w.Truth.Note)
	}
}

// The numbers of trade pack section 7, at every date.
func TestYearHasItsSessionsMatchesAndHours(t *testing.T) {
	for _, now := range append([]time.Time{demoNow}, otherNows...) {
		truth := inventWorld(t, demoSeed, now).Truth
		sent, seen := 0, map[string]bool{}
		styles := map[model.Style]int{}
		for _, s := range truth.Sessions {
			if s.SentIn {
				sent++
				styles[s.Style]++
			}
			end := s.Start.Add(time.Duration(s.Hours * float64(time.Hour)))
			switch {
			case seen[s.ID]:
				t.Errorf("%s: two sessions %s", now, s.ID)
			case s.Hours < 3 || s.Hours > 6 || s.Match && s.Hours != 5:
				t.Errorf("%s: %s lasts %.2f h", now, s.ID, s.Hours)
			case s.Start.Before(truth.YearFrom) || end.After(now):
				t.Errorf("%s: %s from %s lies outside the year", now, s.ID, s.Start)
			case s.Water == truth.Closure.Water && s.Start.Before(truth.Closure.Until) && end.After(truth.Closure.From):
				t.Errorf("%s: %s at a closed water", now, s.ID)
			}
			seen[s.ID] = true
		}
		if sent < 195 || sent > 225 {
			t.Errorf("%s: %d sessions sent in, want about 210", now, sent)
		}
		for style, share := range map[model.Style][2]float64{model.FullLog: {0.15, 0.3}, model.Hourly: {0.25, 0.4}, model.Summary: {0.4, 0.6}} {
			if got := float64(styles[style]) / float64(sent); got < share[0] || got > share[1] {
				t.Errorf("%s: %.0f %% of sessions are of style %s", now, 100*got, style)
			}
		}
		if len(truth.Matches) != 5 {
			t.Errorf("%s: %d matches, want 5", now, len(truth.Matches))
		}
		for _, m := range truth.Matches {
			if n := len(m.Sessions); n < 6 || n > 8 || m.Start.Weekday() != time.Saturday {
				t.Errorf("%s: a match of %d on a %s", now, n, m.Start.Weekday())
			}
		}
		if closed := truth.Closure.Until.Sub(truth.Closure.From).Hours() / 24; closed != 17 {
			t.Errorf("%s: closed for %.0f days, want 17", now, closed)
		}
	}
}

func TestAnglersKeepTheirHabits(t *testing.T) {
	truth := inventWorld(t, demoSeed, demoNow).Truth
	month := func(s demoSessionTruth) float64 { return s.Start.Sub(truth.YearFrom).Hours() / 24 / 365 * 12 }
	atPit, own := 0, 0
	for _, s := range truth.Sessions {
		switch {
		case s.Angler == "oona" && month(s) < 4:
			t.Errorf("oona fished in month %.1f, before joining in the fifth", month(s))
		case s.Angler == "sedge9" && month(s) > 8:
			t.Errorf("sedge9 fished in month %.1f, after stopping in the eighth", month(s))
		case s.Angler == "tolly" && s.Start.Weekday() != time.Saturday:
			t.Errorf("tolly fished on a %s", s.Start.Weekday())
		case s.Angler == "DMK" && !s.Match && (s.Start.Weekday() == time.Saturday || s.Start.Weekday() == time.Sunday || s.Start.Hour() >= 12):
			t.Errorf("DMK began on a %s at %s", s.Start.Weekday(), s.Start.Format("15:04"))
		case !s.SentIn && (s.Angler != "quill2" || s.Fish != 0 || month(s) >= 5):
			t.Errorf("%s was not sent in", s.ID)
		case s.Angler == "RJ" && !s.Match:
			own++
			if s.Water == "quillmarsh-pit" {
				atPit++
			}
		}
	}
	if 2*atPit < own {
		t.Errorf("RJ was at the pit %d times of %d, want mostly", atPit, own)
	}
}

func TestInventingIsQuick(t *testing.T) {
	quickest := time.Hour
	for range 3 {
		began := time.Now()
		inventWorld(t, demoSeed, demoNow)
		quickest = min(quickest, time.Since(began))
	}
	if quickest > time.Second {
		t.Errorf("inventing the club took %s, want under 1 s", quickest)
	}
}

func BenchmarkNewDemoWorld(b *testing.B) {
	for b.Loop() {
		if _, err := newDemoWorld(demoSeed, demoNow); err != nil {
			b.Fatal(err)
		}
	}
}
