package model_test

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

// chosenAt is when the choices of these tests are made.
var chosenAt = clock("12:00")

// hourly are reports of a station every so many hours of the two days before,
// the newest so many hours ago.
func hourly(source, station string, every, newestAgo int) []model.Observation {
	var out []model.Observation
	for h := 47 - 47%every; h >= newestAgo; h -= every {
		out = append(out, model.Observation{Station: station, Source: source, At: chosenAt.Add(-time.Duration(h) * time.Hour), AirC: model.Known[model.Celsius](8)})
	}
	return out
}

// heard puts the reports of stations under their keys.
func heard(reports ...[]model.Observation) map[string][]model.Observation {
	out := map[string][]model.Observation{}
	for _, list := range reports {
		if len(list) > 0 {
			out[model.StationKey(list[0].Source, list[0].Station)] = list
		}
	}
	return out
}

func of(source string, s model.Station) model.Station {
	s.Source = source
	return s
}

func TestChoosingStations(t *testing.T) {
	near, far := stationAt("NEAR", 5, 0), stationAt("FARR", 25, 0)
	for _, c := range []struct {
		name     string
		sources  model.WaterSources
		stations []model.Station
		reports  map[string][]model.Observation
		order    string // the names, those that serve with a star
		why      []string
	}{
		{
			"both report: the nearer first",
			model.WaterSources{},
			[]model.Station{far, near},
			heard(hourly("feed", "NEAR", 1, 0), hourly("feed", "FARR", 1, 0)), "NEAR* FARR*",
			[]string{"the best by distance", "part of the mean"},
		},
		{
			"silent for 11 hours: it gives way",
			model.WaterSources{},
			[]model.Station{near, far},
			heard(hourly("feed", "NEAR", 1, 11), hourly("feed", "FARR", 1, 0)), "FARR* NEAR",
			[]string{"the best by distance", "silent for 11 hours while others report"},
		},
		{
			"three hours old is not silent yet",
			model.WaterSources{},
			[]model.Station{near, far},
			heard(hourly("feed", "NEAR", 1, 3), hourly("feed", "FARR", 1, 0)), "NEAR* FARR*", nil,
		},
		{
			"all silent: the best of them still serves",
			model.WaterSources{},
			[]model.Station{near, far},
			heard(hourly("feed", "NEAR", 1, 11), hourly("feed", "FARR", 1, 9)), "NEAR* FARR*", nil,
		},
		{
			"one that comes and goes ranks behind a steady one",
			model.WaterSources{},
			[]model.Station{near, far},
			heard(hourly("feed", "NEAR", 3, 0), hourly("feed", "FARR", 1, 0)), "FARR* NEAR*", nil,
		},
		{
			"no report at all",
			model.WaterSources{},
			[]model.Station{near, far},
			heard(hourly("feed", "FARR", 1, 0)), "FARR* NEAR",
			[]string{"", "no report in the last 48 hours"},
		},
		{
			"named by the water: first",
			model.WaterSources{Use: []string{"FARR"}},
			[]model.Station{near, far},
			heard(hourly("feed", "NEAR", 1, 0), hourly("feed", "FARR", 1, 0)), "FARR* NEAR*",
			[]string{"the water's sources name it", "serves hours that the stations named lack"},
		},
		{
			"named with its feed, and silent: first, but it does not serve",
			model.WaterSources{Use: []string{"feed/FARR"}},
			[]model.Station{near, far},
			heard(hourly("feed", "NEAR", 1, 0), hourly("feed", "FARR", 1, 11)), "FARR NEAR*",
			[]string{"silent for 11 hours", "the best by distance"},
		},
		{
			"another feed's station of that name is not meant",
			model.WaterSources{Use: []string{"other/FARR"}},
			[]model.Station{near, far},
			heard(hourly("feed", "NEAR", 1, 0), hourly("feed", "FARR", 1, 0)), "NEAR* FARR*", nil,
		},
		{
			"left out",
			model.WaterSources{Avoid: []string{"NEAR"}},
			[]model.Station{near, far},
			heard(hourly("feed", "NEAR", 1, 0), hourly("feed", "FARR", 1, 11)), "FARR* NEAR",
			[]string{"", "leave it out"},
		},
		{
			"the same place through another feed, under its name",
			model.WaterSources{},
			[]model.Station{near, of("other", near)},
			heard(hourly("feed", "NEAR", 1, 1), hourly("other", "NEAR", 1, 0)), "NEAR* NEAR",
			[]string{"", "the same place as other/NEAR"},
		},
		{
			"the same place under another name, a kilometre off",
			model.WaterSources{},
			[]model.Station{near, of("other", stationAt("10001", 6, 0))},
			heard(hourly("feed", "NEAR", 1, 0), hourly("other", "10001", 1, 0)), "NEAR* 10001", nil,
		},
		{
			"three kilometres off is another place",
			model.WaterSources{},
			[]model.Station{near, of("other", stationAt("10001", 8, 0))},
			heard(hourly("feed", "NEAR", 1, 0), hourly("other", "10001", 1, 0)), "NEAR* 10001*", nil,
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := mere
			w.Sources = c.sources
			choices := model.ChooseStations(model.Near(w, c.stations), c.reports, chosenAt)
			var order []string
			for i, choice := range choices {
				name := choice.ID
				if choice.Used {
					name += "*"
				}
				order = append(order, name)
				if i < len(c.why) && !strings.Contains(choice.Why, c.why[i]) {
					t.Errorf("%s: why %q, want it to say %q", choice.ID, choice.Why, c.why[i])
				}
			}
			if got := strings.Join(order, " "); got != c.order {
				t.Errorf("order %s, want %s", got, c.order)
			}
		})
	}
}

func TestHowCompleteAndFreshAStationIs(t *testing.T) {
	station := stationAt("NEAR", 5, 0)
	halfHours := slices.Concat(hourly("feed", "NEAR", 1, 0), hourly("feed", "NEAR", 1, 0))
	for i := range halfHours[:48] {
		halfHours[i].At = halfHours[i].At.Add(-30 * time.Minute)
	}
	slices.SortFunc(halfHours, func(a, b model.Observation) int { return a.At.Compare(b.At) })
	windOnly := hourly("feed", "NEAR", 1, 0)
	for i := range windOnly {
		windOnly[i].AirC, windOnly[i].WindMps = model.Maybe[model.Celsius]{}, model.Known[model.MetresPerSecond](2)
	}
	ahead := append(hourly("feed", "NEAR", 1, 20), model.Observation{Station: "NEAR", Source: "feed", At: chosenAt.Add(time.Minute), AirC: model.Known[model.Celsius](8)})
	for _, c := range []struct {
		name         string
		reports      []model.Observation
		completeness float64
		newestAgeMin model.Maybe[float64]
	}{
		{"every hour", hourly("feed", "NEAR", 1, 0), 1, model.Known(0.0)},
		{"twice an hour is no more than whole", halfHours, 1, model.Known(0.0)},
		{"every third", hourly("feed", "NEAR", 3, 0), 16.0 / 48, model.Known(0.0)},
		{"until eleven hours ago", hourly("feed", "NEAR", 1, 11), 37.0 / 48, model.Known(660.0)},
		{"wind alone", windOnly, 0, model.Known(0.0)},
		{"nothing after the instant is read", ahead, 28.0 / 48, model.Known(1200.0)},
		{"none", nil, 0, model.Maybe[float64]{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			choice := model.ChooseStations(model.Near(mere, []model.Station{station}), heard(c.reports), chosenAt)[0]
			if diff := cmp.Diff(c.completeness, choice.Completeness); diff != "" {
				t.Errorf("completeness (-want +got):\n%s", diff)
			}
			if choice.NewestAgeMin != c.newestAgeMin {
				t.Errorf("newest report %+v min old, want %+v", choice.NewestAgeMin, c.newestAgeMin)
			}
		})
	}
}

func TestAtMostSixPlacesServe(t *testing.T) {
	var stations []model.Station
	var reports [][]model.Observation
	for i := range 9 {
		s := stationAt(string(rune('A'+i))+"AAA", float64(10+3*i), 0)
		stations = append(stations, s)
		reports = append(reports, hourly("feed", s.ID, 1, 0))
	}
	choices := model.ChooseStations(model.Near(mere, stations), heard(reports...), chosenAt)
	for i, c := range choices {
		if c.Used != (i < 6) || i >= 6 && !strings.Contains(c.Why, "beyond the best 6 places") {
			t.Errorf("station %d: used %v, %q", i, c.Used, c.Why)
		}
	}
}

func TestTheChoiceDoesNotDependOnTheOrderOfTheList(t *testing.T) {
	stations := []model.Station{stationAt("TWIN", 20, 0), stationAt("ALSO", 20, 0), of("other", stationAt("TWIN", 20, 0)), stationAt("FARR", 40, 0), stationAt("MUTE", 9, 0)}
	reports := heard(hourly("feed", "TWIN", 1, 0), hourly("feed", "ALSO", 1, 0), hourly("other", "TWIN", 1, 0), hourly("feed", "FARR", 1, 0))
	want := model.ChooseStations(model.Near(mere, stations), reports, chosenAt)
	for range 50 {
		rand.Shuffle(len(stations), func(i, j int) { stations[i], stations[j] = stations[j], stations[i] })
		if diff := cmp.Diff(want, model.ChooseStations(model.Near(mere, stations), reports, chosenAt)); diff != "" {
			t.Fatalf("another order of the list changed the choice:\n%s", diff)
		}
	}
}
