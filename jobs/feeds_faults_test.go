package jobs_test

import (
	"strings"
	"testing"
	"time"

	"osier/model"
)

// What each feed gives when it answers well, and what comes of it when it does
// not: what is stored stays, and nothing is made up.
func TestFaultyAnswersOfEachFeed(t *testing.T) {
	reports := func(source, station string) func(*testing.T, *bench) int {
		return func(t *testing.T, b *bench) int {
			n := 0
			for _, o := range stored(t, b, source, station) {
				if o.AirC.Known {
					n++
				}
			}
			return n
		}
	}
	hours := func(w model.Water, source string) func(*testing.T, *bench) int {
		return func(t *testing.T, b *bench) int {
			n := 0
			for _, f := range forecastsFor(t, b, w, source) {
				for _, h := range f.Hours {
					if h.AirC.Known {
						n++
					}
				}
			}
			return n
		}
	}
	for _, c := range []struct {
		feed    string
		water   model.Water
		address string
		good    reply
		empty   reply
		units   reply // the same with a unit that nobody knows
		airs    func(*testing.T, *bench) int
		want    int
		quiet   bool // an empty answer is no fault
		others  map[string]reply
	}{
		{
			feed: "nws", water: american, address: nwsStation + "KXXA", good: observationUS("KXXA", "38.95", "wmoUnit:degC", "null", ""),
			empty: json200(`{"type":"FeatureCollection","features":[]}`), units: observationUS("KXXA", "38.95", "wmoUnit:furlong", "null", ""),
			airs: reports("nws", "KXXA"), want: 1, quiet: true, others: americanAnswers(reply{}),
		},
		{
			feed: "brightsky", water: german, address: skyHost, good: germanAnswer("synop", "1.5"),
			empty: json200(`{"weather":[],"sources":[]}`), units: germanAnswer("synop", "274.65"),
			airs: reports("brightsky", "10001"), want: 2,
		},
		{
			feed: "smhi", water: swedish, address: smhiHost, good: swedishAnswer(`"air_temperature":-2.5,"wind_speed":3`),
			empty: json200(`{"referenceTime":"2026-02-06T09:00:00Z","timeSeries":[]}`), units: swedishAnswer(`"temperature_in_furlongs":-2.5,"wind_speed":3`),
			airs: hours(swedish, "smhi"), want: 2,
		},
		{
			feed: "openmeteo", water: reedmere, address: meteoHost, good: meteoAnswer("°C"), empty: json200(`{"hourly":{},"hourly_units":{}}`),
			units: meteoAnswer("furlong"), airs: hours(reedmere, "openmeteo"), want: 2, others: map[string]reply{metHost: {status: 404, media: "text/plain", body: "no"}},
		},
		{
			feed: "locationforecast", water: reedmere, address: metHost, good: gridAnswer, empty: json200(`{"properties":{"timeseries":[]}}`),
			units: json200(strings.Replace(gridAnswer.body, "celsius", "furlong", 1)), airs: hours(reedmere, "locationforecast"), want: 2,
		},
	} {
		answers := func(a reply) map[string]reply {
			out := map[string]reply{metHost: gridAnswer}
			for k, v := range c.others {
				out[k] = v
			}
			out[c.address] = a
			return out
		}
		for _, fault := range []struct {
			name   string
			answer reply
			says   string // of the error; none where there is none
		}{
			{"good", c.good, ""},
			{"not there", reply{404, "text/plain", "not found"}, ""},
			{"nothing in it", c.empty, "pull " + c.feed},
			{"no body", reply{200, "application/json", ""}, "it is empty"},
			{"a web page", reply{200, "text/html", webPage}, "a web page came"},
			{"a web page in disguise", reply{200, "application/json", webPage}, "a web page came"},
			{"an error", reply{500, "text/plain", "later"}, "status 500"},
			{"a ban", reply{403, "text/plain", "who are you"}, "status 403"},
			{"a unit nobody knows", c.units, "-"},
		} {
			t.Run(c.feed+": "+fault.name, func(t *testing.T) {
				b := newBench(t)
				p, h, _ := askHosts(t, b, answers(c.good))
				_, err := p.Run(t.Context(), []model.Water{c.water})
				done(t, err)
				if got := c.airs(t, b); got != c.want {
					t.Fatalf("%d air temperatures stored, want %d; asked %q", got, c.want, h.asked)
				}
				b.now = noon.Add(45 * time.Minute)
				p, h, warnings := askHosts(t, b, answers(fault.answer))
				counts, err := p.Run(t.Context(), []model.Water{c.water})
				if h.count(c.address) != 1 {
					t.Fatalf("asked %q, want the feed once", h.asked)
				}
				switch {
				case fault.name == "nothing in it" && c.quiet, fault.says == "":
					done(t, err)
				case fault.says == "-": // refused, or the value missing with a warning
					if err == nil && len(*warnings) == 0 {
						t.Errorf("counts %v: neither an error nor a warning", counts)
					}
				case err == nil || !strings.Contains(err.Error(), "pull "+c.feed+": ") || !strings.Contains(err.Error(), fault.says):
					t.Errorf("error %v, want it to name the feed and to say %q", err, fault.says)
				}
				// A forecast is refused whole, and the one before it stays. A report
				// follows the last word of its feed: what can no longer be read of
				// it is missing, and said.
				want := c.want
				if fault.says == "-" && c.feed == "nws" {
					want = 0
				}
				if got := c.airs(t, b); fault.name != "good" && got != want {
					t.Errorf("%d air temperatures after it, want %d", got, want)
				}
			})
		}
		t.Run(c.feed+": a unit nobody knows, first of all", func(t *testing.T) {
			b := newBench(t)
			p, _, _ := askHosts(t, b, answers(c.units))
			_, _ = p.Run(t.Context(), []model.Water{c.water}) // whether the whole answer is refused is the parser's matter
			if got := c.airs(t, b); got != 0 {
				t.Errorf("%d air temperatures from a unit nobody knows, want none", got)
			}
		})
	}
}
