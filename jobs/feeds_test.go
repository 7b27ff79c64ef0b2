package jobs_test

import (
	"strings"
	"testing"
	"time"

	"osier/model"
)

func TestTheUSFeedIsAskedForStationsAndThenForTheBestThree(t *testing.T) {
	b := newBench(t)
	p, h, _ := askHosts(t, b, americanAnswers(observationUS("KXXA", "38.95", "wmoUnit:degC", "null", "KXXA 061152Z 22012G20KT 10SM TSRA BKN020CB 00/M02 A2992")))
	counts, err := p.Run(t.Context(), []model.Water{american, reedmere})
	if h.count(nwsPoint) != 1 || h.count(nwsStation) != 3 || h.count(nwsStation+"KXXD") != 0 {
		t.Errorf("asked %q; want the list, and the best three of its stations", h.asked)
	}
	// The file of all stations was not there: that alone is no failure.
	if err != nil || counts["nothing there"] != 3 {
		t.Errorf("counts %v, error %v; want two silent stations and the missing file counted", counts, err)
	}
	list := stored(t, b, "nws", "KXXA")
	if len(list) != 1 || list[0].AirC != model.Known[model.Celsius](0) || list[0].Thunder != model.ThunderNow {
		t.Fatalf("stored %+v, want one report of 0 C with thunder", list)
	}
	// 20 kt are 10.29 m/s; the JSON had lost the gust.
	if g := list[0].GustMps; !g.Known || g.Value < 10.28 || g.Value > 10.3 {
		t.Errorf("gust %+v, want the raw report's 20 kt", g)
	}
	b.now = noon.Add(48 * time.Hour)
	_, err = p.Run(t.Context(), []model.Water{american})
	done(t, err)
	if h.count(nwsPoint) != 1 || h.count(nwsStation+"KXXA") != 2 {
		t.Errorf("two days later the list was asked %d times and the station %d; want 1 and 2", h.count(nwsPoint), h.count(nwsStation+"KXXA"))
	}
	b.now = noon.Add(8 * 24 * time.Hour)
	_, err = p.Run(t.Context(), []model.Water{american})
	done(t, err)
	if h.count(nwsPoint) != 2 {
		t.Errorf("after eight days the list was asked %d times, want 2", h.count(nwsPoint))
	}
}

func TestAStationThatIsLeftOutIsNotAsked(t *testing.T) {
	b := newBench(t)
	p, h, _ := askHosts(t, b, americanAnswers(observationUS("KXXA", "38.95", "wmoUnit:degC", "null", "")))
	w := american
	w.Sources = model.WaterSources{Use: []string{"KXXD"}, Avoid: []string{"nws/KXXA"}}
	_, err := p.Run(t.Context(), []model.Water{w})
	done(t, err)
	if h.count(nwsStation+"KXXA") != 0 || h.count(nwsStation+"KXXD") != 1 || h.count(nwsStation) != 3 {
		t.Errorf("asked %q; want the one named, and two others", h.asked)
	}
}

func TestEachFeedIsAskedOnlyWhereItServes(t *testing.T) {
	for _, c := range []struct {
		water  model.Water
		begins map[string]int
	}{
		{reedmere, map[string]int{awcHost: 1, metHost: 1, "api.weather.gov": 0, skyHost: 0, smhiHost: 0}},
		{american, map[string]int{awcHost: 1, metHost: 1, "api.weather.gov": 1, skyHost: 0, smhiHost: 0}},
		{german, map[string]int{awcHost: 1, metHost: 1, "api.weather.gov": 0, skyHost: 1, smhiHost: 0}},
		{swedish, map[string]int{awcHost: 1, metHost: 1, "api.weather.gov": 0, skyHost: 0, smhiHost: 1}},
		{waterAt("hawaii", 20, -156), map[string]int{"api.weather.gov": 1}},
		{waterAt("alaska", 61, -150), map[string]int{"api.weather.gov": 1}},
		{waterAt("paris", 48.9, 2.3), map[string]int{skyHost: 0, smhiHost: 0, "api.weather.gov": 0}},
		{waterAt("strasbourg", 48.6, 7.7), map[string]int{skyHost: 1}},
	} {
		t.Run(c.water.ID, func(t *testing.T) {
			b := newBench(t)
			p, h, _ := askHosts(t, b, map[string]reply{metHost: gridAnswer})
			_, err := p.Run(t.Context(), []model.Water{c.water})
			done(t, err)
			for begin, want := range c.begins {
				if got := h.count(begin); got != want {
					t.Errorf("%s was asked %d times, want %d", begin, got, want)
				}
			}
		})
	}
}

func TestAForecastStandsAtTheCellAskedFor(t *testing.T) {
	b := newBench(t)
	p, _, _ := askHosts(t, b, map[string]reply{smhiHost: swedishAnswer(`"air_temperature":-2.5,"wind_speed":3`), meteoHost: meteoAnswer("°C")})
	_, err := p.Run(t.Context(), []model.Water{swedish})
	done(t, err)
	run := forecastsFor(t, b, swedish, "smhi")
	if len(run) != 1 || !run[0].IssuedAt.Equal(noon.Truncate(time.Hour).Add(-3*time.Hour)) || !run[0].FetchedAt.Equal(noon) || !run[0].ConfirmedAt.Equal(noon) {
		t.Errorf("smhi %+v, want its own reference time, fetched now", run)
	}
	second := forecastsFor(t, b, swedish, "openmeteo")
	if len(second) != 1 || !second[0].IssuedAt.Equal(noon) || !second[0].FetchedAt.Equal(noon) {
		t.Errorf("openmeteo %+v, want it issued when it came, since it does not say", second)
	}
}

func TestTheSecondChoiceIsAskedOnlyWhenTheFirstFails(t *testing.T) {
	b := newBench(t)
	answers := map[string]reply{metHost: gridAnswer, meteoHost: meteoAnswer("°C")}
	p, h, _ := askHosts(t, b, answers)
	run := func(after time.Duration) {
		b.now = noon.Add(after)
		_, _ = p.Run(t.Context(), []model.Water{reedmere}) // errors are another test's matter
	}
	run(0)
	answers[metHost] = reply{500, "text/plain", "later"}
	run(45 * time.Minute)
	run(3 * time.Hour)
	if h.count(meteoHost) != 0 {
		t.Fatalf("asked %d times while the first choice stands, want not at all", h.count(meteoHost))
	}
	run(3*time.Hour + 10*time.Minute)
	if h.count(meteoHost) != 1 {
		t.Fatalf("asked %d times once the first was last confirmed over three hours ago, want once", h.count(meteoHost))
	}
	// The one that stands serves the hour, and the other is still there for it.
	air := func() model.Reading { return hourFrom(t, b, reedmere, noon.Truncate(time.Hour).Add(time.Hour)) }
	if got := air(); got.From.Source != "openmeteo" || got.Value != 4 {
		t.Errorf("served %+v, want the second choice", got)
	}
	answers[metHost] = gridAnswer
	run(24 * time.Hour)
	if got := air(); got.From.Source != "locationforecast" || got.Value != 9 {
		t.Errorf("served %+v once the first is back, want it", got)
	}
	if n := h.count(meteoHost); n != 1 {
		t.Errorf("asked %d times in all, want once", n)
	}
}

func TestCreditsNameEveryFeedInUse(t *testing.T) {
	b := newBench(t)
	p, _, _ := askHosts(t, b, map[string]reply{metHost: gridAnswer, skyHost: germanAnswer("synop", "1.5")})
	_, err := p.Run(t.Context(), []model.Water{german})
	done(t, err)
	done(t, b.db.PutWater(t.Context(), german))
	c, err := b.planner().Conditions(t.Context(), "german", noon.Truncate(time.Hour), noon.Add(2*time.Hour))
	done(t, err)
	all := strings.Join(c.Credits, "\n")
	if len(c.Credits) != 2 || !strings.Contains(all, "Deutscher Wetterdienst") || !strings.Contains(all, "MET Norway") {
		t.Errorf("credits %q, want both feeds once", c.Credits)
	}
}
