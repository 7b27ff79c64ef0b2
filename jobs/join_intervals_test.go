package jobs

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"osier/model"
	"osier/model/plan"
)

// eight is when the sessions of these tests begin, on a morning in spring when
// the sun is well up.
var eight = time.Date(2026, 4, 6, 8, 0, 0, 0, time.UTC)

// clock is an instant of that day, to the minute.
func clock(hour, minute int) time.Time {
	return eight.Add(time.Duration(hour-8)*time.Hour + time.Duration(minute)*time.Minute)
}

// mereWeather is 16 days of weather up to the evening of that day, the wind and
// the cloud rising from hour to hour, as far as the readings given correct its
// water.
func mereWeather(t testing.TB, readings ...model.MeterReading) loaded {
	t.Helper()
	w := model.Water{ID: "mere", LatDeg: 52.2, LonDeg: -0.9, MeanDepthM: 2, Zone: "Europe/London", Groups: model.Groups()}
	last := clock(20, 0)
	known := func(at time.Time, v float64) model.Reading {
		return model.Reading{Value: v, Known: true, From: model.Provenance{Kind: model.Observed, Source: "feed", Station: "AAAA", At: model.Known(at)}}
	}
	var hours []model.WeatherHour
	for at := last.AddDate(0, 0, -16); !at.After(last); at = at.Add(time.Hour) {
		hour := float64(at.Hour())
		hours = append(hours, model.WeatherHour{
			At: at, AirC: known(at, 9+3*math.Sin(2*math.Pi*(hour-9)/24)), DewC: known(at, 5), WindMps: known(at, hour/4), Cloud: known(at, hour/24),
			SeaLevelHPa: known(at, 1015), RainMm: known(at, 0),
		})
	}
	history, err := plan.NewHistory(w, hours, readings, last)
	if err != nil {
		t.Fatal(err)
	}
	return loaded{history: history, hours: hours}
}

// joinOne joins one session by itself.
func joinOne(t interface{ Fatal(...any) }, s model.Session, weather loaded) model.JoinedSession {
	j := join(s, weather)
	var err error
	if j.InputsDigest, err = inputsDigest(documentOf(t, s), j); err != nil {
		t.Fatal(err)
	}
	return j
}

// morning is four hours of one rod with the bites given in all, written down
// an hour later.
func morning(style model.Style, bites int) model.Session {
	return model.Session{
		ID: "s", Water: "mere", Angler: "VP", Group: model.Bream, Style: style, Peg: "4", Rods: 1,
		Start: eight, End: clock(12, 0), WrittenAt: model.Known(clock(13, 0)), EnteredAt: clock(14, 0),
		Bites: model.Known(bites), Fish: map[model.Group]int{model.Bream: bites},
		Planned: model.PlannedFeed{Level: "Lean"}, Feeder: model.FeederUsed{CapacityMl: model.Known[model.Millilitres](30)},
	}
}

// tally is such a morning by the hour. A count below 0 was not made.
func tally(bites ...int) model.Session {
	s := morning(model.Hourly, 0)
	for i, n := range bites {
		count := model.Maybe[int]{}
		if n >= 0 {
			count = model.Known(n)
			s.Bites.Value += n
		}
		s.Intervals = append(s.Intervals, model.Interval{Start: clock(8+i, 0), End: clock(9+i, 0), Bites: count, Fish: count})
	}
	s.Fish = map[model.Group]int{model.Bream: s.Bites.Value}
	return s
}

// cast is one of a full log, with the minute of its bite, or below 0 where the
// bite was not timed.
func cast(in, out time.Time, outcome model.Outcome, biteMin float64) model.Cast {
	c := model.Cast{In: in, Out: out, Outcome: outcome}
	if outcome.TrueBite() && biteMin >= 0 {
		c.BiteMin = model.Known(biteMin)
	}
	return c
}

// log is such a morning by the cast.
func log(casts ...model.Cast) model.Session {
	s := morning(model.FullLog, 0)
	s.Casts, s.CastCount = casts, model.Known(len(casts))
	landed := 0
	for _, c := range casts {
		if c.Outcome.TrueBite() {
			s.Bites.Value++
		}
		if c.Outcome == model.FishLanded {
			landed++
		}
	}
	s.Fish = map[model.Group]int{model.Bream: landed}
	return s
}

// row is an interval as a table of these tests tells it. Fish below 0 are not known.
type row struct {
	from, to string
	bites    int
	fish     int
	rodHours float64
}

func rowsOf(parts []model.JoinedInterval) []row {
	var out []row
	for _, p := range parts {
		fish := -1
		if p.Fish.Known {
			fish = p.Fish.Value
		}
		out = append(out, row{p.Start.Format("15:04"), p.End.Format("15:04"), p.Bites.Value, fish, p.RodHours})
	}
	return out
}

// Statistics pack 1.2: full logs and hourly tallies are their hours, a summary
// is one interval, and so is a full log that was not kept live.
func TestSessionsAreSplitWhereTheRecordTellsOfEachHour(t *testing.T) {
	changed := func(s model.Session, change func(s *model.Session)) model.Session { change(&s); return s }
	live := log(
		cast(clock(8, 5), clock(8, 20), model.FishLanded, 10),
		cast(clock(8, 50), clock(9, 20), model.FishLanded, 15),   // in at ten to, bitten at five past
		cast(clock(9, 40), clock(10, 10), model.FishLost, -1),    // twenty minutes before ten, ten after
		cast(clock(10, 50), clock(11, 30), model.MissedBite, 10), // on the stroke of eleven
		cast(clock(11, 40), clock(12, 0), model.LineBite, -1),
	)
	liveRows := []row{{"08:00", "09:00", 1, 1, 1}, {"09:00", "10:00", 2, 1, 1}, {"10:00", "11:00", 1, 0, 1}, {"11:00", "12:00", 0, 0, 1}}
	hourRows := []row{{"08:00", "09:00", 3, 3, 1}, {"09:00", "10:00", 0, 0, 1}, {"10:00", "11:00", 5, 5, 1}, {"11:00", "12:00", 2, 2, 1}}
	for _, c := range []struct {
		name string
		s    model.Session
		want []row
	}{
		{"a tally", tally(3, 0, 5, 2), hourRows},
		{"a blank tally", tally(0, 0, 0, 0), []row{{"08:00", "09:00", 0, 0, 1}, {"09:00", "10:00", 0, 0, 1}, {"10:00", "11:00", 0, 0, 1}, {"11:00", "12:00", 0, 0, 1}}},
		{"a tally written a month late", changed(tally(3, 0, 5, 2), func(s *model.Session) { s.WrittenAt.Value = s.End.AddDate(0, 1, 0) }), hourRows},
		{"an hour without its count", tally(3, -1, 5, 2), nil},
		{"a total with bites of no hour", changed(tally(3, 0, 5, 2), func(s *model.Session) { s.Bites.Value = 12 }), nil},
		{"bites in doubt", changed(tally(3, 0, 5, 2), func(s *model.Session) { s.Queries = []model.Query{{Field: "bites", Excludes: "field"}} }), nil},
		{"a total in words", changed(tally(3, 0, 5, 2), func(s *model.Session) { s.Bites, s.BitesText = model.Maybe[int]{}, "loads" }), nil},
		{"a clock in doubt", changed(tally(3, 0, 5, 2), func(s *model.Session) { s.Queries = []model.Query{{Field: "start", Excludes: "field"}} }), nil},
		{"an hour of one day alone", tally(3), nil},
		{"an hour left out of four", tally(3, 0, 5), nil},
		{
			"half an hour left out of four", changed(tally(3, 0, 5, 2), func(s *model.Session) { s.Intervals[3].End = clock(11, 30) }),
			[]row{{"08:00", "09:00", 3, 3, 4 / 3.5}, {"09:00", "10:00", 0, 0, 4 / 3.5}, {"10:00", "11:00", 5, 5, 4 / 3.5}, {"11:00", "11:30", 2, 2, 2 / 3.5}},
		},
		{
			"two rods and half an hour of breaks", changed(tally(3, 0, 5, 2), func(s *model.Session) { s.Rods, s.BreaksMin = 2, 30 }),
			[]row{{"08:00", "09:00", 3, 3, 1.75}, {"09:00", "10:00", 0, 0, 1.75}, {"10:00", "11:00", 5, 5, 1.75}, {"11:00", "12:00", 2, 2, 1.75}},
		},
		{"an hour and a half of breaks, in nobody knows which hour", changed(tally(3, 0, 5, 2), func(s *model.Session) { s.BreaksMin = 90 }), nil},
		{"an hour of breaks that the tally leaves out", changed(tally(3, 0, 5, 2), func(s *model.Session) {
			s.End, s.BreaksMin = clock(13, 0), 60
			s.Intervals[3].Start, s.Intervals[3].End = clock(12, 0), clock(13, 0)
		}), []row{{"08:00", "09:00", 3, 3, 1}, {"09:00", "10:00", 0, 0, 1}, {"10:00", "11:00", 5, 5, 1}, {"12:00", "13:00", 2, 2, 1}}},
		{
			"an hour whose fish were not counted", changed(tally(3, 0, 5, 2), func(s *model.Session) { s.Intervals[1].Fish = model.Maybe[int]{} }),
			[]row{{"08:00", "09:00", 3, 3, 1}, {"09:00", "10:00", 0, -1, 1}, {"10:00", "11:00", 5, 5, 1}, {"11:00", "12:00", 2, 2, 1}},
		},
		{"an interval without length or bites", changed(tally(3, 0, 5, 2), func(s *model.Session) {
			s.Intervals = append(s.Intervals, model.Interval{Start: clock(12, 0), End: clock(12, 0), Bites: model.Known(0)})
		}), hourRows},
		{"bites in no time", changed(tally(3, 0, 5, 2), func(s *model.Session) {
			s.Bites.Value++
			s.Intervals = append(s.Intervals, model.Interval{Start: clock(12, 0), End: clock(12, 0), Bites: model.Known(1)})
		}), nil},

		{"a full log", live, liveRows},
		{"a full log written twelve hours late", changed(live, func(s *model.Session) { s.WrittenAt.Value = s.End.Add(12 * time.Hour) }), liveRows},
		{"a full log written later than that", changed(live, func(s *model.Session) { s.WrittenAt.Value = s.End.Add(12*time.Hour + time.Minute) }), nil},
		{"a full log with a cast left out", changed(live, func(s *model.Session) { s.CastCount.Value = 6 }), nil},
		{"a full log with a bite of no cast", changed(live, func(s *model.Session) { s.Bites.Value++ }), nil},
		{"a full log with a cast not timed", changed(log(live.Casts...), func(s *model.Session) {
			s.Casts = append(s.Casts[:4:4], model.Cast{Outcome: model.NoBite})
		}), nil},
		{
			"a full log off the hour", changed(log(live.Casts[1:4]...), func(s *model.Session) { s.Start, s.End = clock(8, 45), clock(11, 30) }),
			[]row{{"08:45", "09:00", 0, 0, 0.25}, {"09:00", "10:00", 2, 1, 1}, {"10:00", "11:00", 1, 0, 1}, {"11:00", "11:30", 0, 0, 0.5}},
		},
		{"a full log within one hour", changed(log(live.Casts[0]), func(s *model.Session) { s.End = clock(9, 0) }), nil},
		{
			"as long in the water before the stroke as after", log(cast(clock(8, 50), clock(9, 10), model.FishLanded, -1)),
			[]row{{"08:00", "09:00", 1, 1, 1}, {"09:00", "10:00", 0, 0, 1}, {"10:00", "11:00", 0, 0, 1}, {"11:00", "12:00", 0, 0, 1}},
		},
		{
			"longer after it", log(cast(clock(8, 50), clock(9, 11), model.FishLanded, -1)),
			[]row{{"08:00", "09:00", 0, 0, 1}, {"09:00", "10:00", 1, 1, 1}, {"10:00", "11:00", 0, 0, 1}, {"11:00", "12:00", 0, 0, 1}},
		},
		{
			"a bite timed past the last wind-in", log(cast(clock(11, 50), clock(12, 0), model.FishLanded, 10.5)),
			[]row{{"08:00", "09:00", 0, 0, 1}, {"09:00", "10:00", 0, 0, 1}, {"10:00", "11:00", 0, 0, 1}, {"11:00", "12:00", 1, 1, 1}},
		},

		{"a summary", morning(model.Summary, 10), nil},
	} {
		near := cmpopts.EquateApprox(0, 1e-12)
		if diff := cmp.Diff(c.want, rowsOf(split(c.s)), cmp.AllowUnexported(row{}), near); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
	}
}

// Where the clock at the water strikes with UTC the hours are its own, whatever
// offset the record was written with.
func TestHoursOfALogAreThoseOfTheWeather(t *testing.T) {
	s := log(cast(clock(8, 5), clock(8, 20), model.FishLanded, 10))
	s.Start, s.End = clock(8, 10).In(time.FixedZone("", 3600)), clock(10, 0).In(time.FixedZone("", 3600))
	s.Casts[0].In = clock(8, 12)
	if got := rowsOf(split(s)); len(got) != 2 || got[0].from != "09:10" || got[0].to != "10:00" || got[1].to != "11:00" {
		t.Errorf("hours %v, want 09:10 to 10:00 and 10:00 to 11:00 by the clock", got)
	}
}

// However a day is cut up, nothing of it is lost and nothing counts twice.
func TestIntervalsAddUpToTheSession(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := morning(model.FullLog, 0)
		s.Start = clock(6, rapid.IntRange(0, 119).Draw(t, "from"))
		s.End = s.Start.Add(time.Duration(rapid.IntRange(61, 600).Draw(t, "minutes")) * time.Minute)
		s.WrittenAt.Value, s.Rods = s.End, rapid.IntRange(1, 4).Draw(t, "rods")
		s.BreaksMin = rapid.Float64Range(0, 0.19).Draw(t, "breaks") * s.End.Sub(s.Start).Minutes()
		s.Bites.Value = 0
		for at := s.Start; at.Before(s.End.Add(-20 * time.Minute)); {
			out := at.Add(time.Duration(rapid.IntRange(1, 20).Draw(t, "soak")) * time.Minute)
			outcome := rapid.SampledFrom([]model.Outcome{model.NoBite, model.LineBite, model.MissedBite, model.FishLanded, model.FishLost}).Draw(t, "outcome")
			s.Casts = append(s.Casts, cast(at, out, outcome, rapid.SampledFrom([]float64{-1, 0, 0.5, out.Sub(at).Minutes(), out.Sub(at).Minutes() + 1}).Draw(t, "bite")))
			if outcome.TrueBite() {
				s.Bites.Value++
			}
			at = out
		}
		parts := split(s)
		if len(parts) < 2 {
			t.Fatalf("%d intervals of %v", len(parts), s.End.Sub(s.Start))
		}
		bites, rodHours, at := 0, 0.0, s.Start
		for _, p := range parts {
			if !p.Start.Equal(at) || !p.End.After(p.Start) || p.End.Sub(p.Start) > time.Hour || !(p.RodHours > 0) || p.Bites.Value < p.Fish.Value {
				t.Fatalf("interval %+v after %v", p, at)
			}
			bites, rodHours, at = bites+p.Bites.Value, rodHours+p.RodHours, p.End
		}
		if bites != s.Bites.Value || math.Abs(rodHours-s.RodHours()) > 1e-12*s.RodHours() || !at.Equal(s.End) {
			t.Fatalf("%d bites in %v rod-hours to %v; the session has %d in %v to %v", bites, rodHours, at, s.Bites.Value, s.RodHours(), s.End)
		}
	})
}

// Each hour has its own light and weather, and all have the one plan.
func TestEachHourHasItsOwnConditionsAndTheSessionsPlan(t *testing.T) {
	j := joinOne(t, tally(3, 0, 5, 2), mereWeather(t))
	if len(j.Intervals) != 4 || j.Peg != "4" || !j.EnteredAt.Equal(clock(14, 0)) || j.Weight != 1 {
		t.Fatalf("joined %+v", j)
	}
	for i, v := range j.Intervals {
		d := v.Drivers
		if hour := 8 + float64(i); d.MidHour != hour+1.5 || d.WindMps.Value != model.MetresPerSecond(hour/4) || math.Abs(d.CloudFraction.Value-hour/24) > 1e-12 {
			t.Errorf("hour %d: middle %v by summer time, wind %v, cloud %v; want %v, %v, %v", i+1, d.MidHour, d.WindMps.Value, d.CloudFraction.Value, hour+1.5, hour/4, hour/24)
		}
		if !d.PlannedGH.Known || d.PlannedGH != j.Drivers.PlannedGH || d.CapacityMl != j.Drivers.CapacityMl || d.ChoiceMl != j.Drivers.ChoiceMl {
			t.Errorf("hour %d: planned %+v, feeder %+v, choice %+v; want the session's", i+1, d.PlannedGH, d.CapacityMl, d.ChoiceMl)
		}
	}
	if first, last := j.Intervals[0].Drivers.WaterC, j.Intervals[3].Drivers.WaterC; !first.Known || !last.Known || first == last {
		t.Errorf("water %+v in the first hour and %+v in the last, want two temperatures", first, last)
	}
}

// What was known before the first cast rules every hour: a thermometer read
// during the session belongs to none of them (statistics pack 2.2).
func TestAReadingTakenDuringASessionIsNoDriverOfItsHours(t *testing.T) {
	reading := func(at time.Time) model.MeterReading {
		return model.MeterReading{ID: "r", Water: "mere", At: at, WaterC: model.Known[model.Celsius](14), Instrument: true}
	}
	plain := joinOne(t, tally(3, 0, 5, 2), mereWeather(t))
	during := joinOne(t, tally(3, 0, 5, 2), mereWeather(t, reading(clock(8, 30))))
	if diff := cmp.Diff(plain, during); diff != "" {
		t.Errorf("the reading changed what was joined (-without +with):\n%s", diff)
	}
	before := joinOne(t, tally(3, 0, 5, 2), mereWeather(t, reading(clock(7, 30))))
	for i := range before.Intervals {
		if got, was := before.Intervals[i].Drivers.WaterC.Value, plain.Intervals[i].Drivers.WaterC.Value; got <= was {
			t.Errorf("hour %d: water %v with a warm reading taken before the first cast, %v without, want more", i+1, got, was)
		}
	}
}

// Feed follows bites: nothing that was fed, of the session or of an hour, may
// reach a driver (design, section 5.1).
func TestNoHourReadsWhatWasFed(t *testing.T) {
	weather := mereWeather(t)
	plainTally := tally(3, 0, 5, 2)
	plainLog := log(cast(clock(8, 5), clock(8, 20), model.FishLanded, 10), cast(clock(10, 50), clock(11, 30), model.MissedBite, -1))
	rapid.Check(t, func(t *rapid.T) {
		for _, plain := range []model.Session{plainTally, plainLog} {
			fed := plain
			fed.Intervals, fed.Casts = append([]model.Interval(nil), plain.Intervals...), append([]model.Cast(nil), plain.Casts...)
			for i := range fed.Intervals {
				fed.Intervals[i].RateGH = model.Known(model.GramsPerHour(rapid.Float64Range(0, 5000).Draw(t, "rate")))
				fed.Intervals[i].Level = rapid.SampledFrom([]string{"", "Sparing", "Lean", "Heavy"}).Draw(t, "level")
				fed.Intervals[i].Casts = model.Known(rapid.IntRange(0, 60).Draw(t, "casts"))
			}
			for i := range fed.Casts {
				fed.Casts[i].FillG = model.Known(model.Grams(rapid.Float64Range(0, 500).Draw(t, "fill")))
			}
			fed.FeedUsed = model.FeedUsed{MixedDryG: model.Known(model.Grams(rapid.Float64Range(0, 50000).Draw(t, "mixed"))), Fills: model.Known(rapid.IntRange(0, 200).Draw(t, "fills"))}
			fed.Opening.Fills = model.Known(rapid.IntRange(0, 30).Draw(t, "opening"))
			want, got := joinOne(t, plain, weather), joinOne(t, fed, weather)
			if len(want.Intervals) != 4 {
				t.Fatalf("%s: %d intervals, want 4", plain.Style, len(want.Intervals))
			}
			if diff := cmp.Diff(want, got, cmpopts.IgnoreFields(model.JoinedSession{}, "InputsDigest")); diff != "" {
				t.Fatalf("%s: what was fed changed what was joined (-plain +fed):\n%s", plain.Style, diff)
			}
		}
	})
}

// A row that was joined before it carried weights and hours is joined anew, and
// so is one whose hours change.
func TestTheDigestCoversWhatARowCarries(t *testing.T) {
	weather := mereWeather(t)
	j := joinOne(t, tally(3, 0, 5, 2), weather)
	for name, change := range map[string]func(j *model.JoinedSession){
		"weight":   func(j *model.JoinedSession) { j.Weight = 0.7 },
		"peg":      func(j *model.JoinedSession) { j.Peg = "5" },
		"entered":  func(j *model.JoinedSession) { j.EnteredAt = j.EnteredAt.Add(time.Minute) },
		"hours":    func(j *model.JoinedSession) { j.Intervals = nil },
		"use":      func(j *model.JoinedSession) { j.Use = false },
		"weather":  func(j *model.JoinedSession) { j.Weather = "w-2" },
		"an hour":  func(j *model.JoinedSession) { j.Intervals[2].Drivers.WindMps.Value++ },
		"exposure": func(j *model.JoinedSession) { j.Intervals[2].RodHours++ },
	} {
		other := joinOne(t, tally(3, 0, 5, 2), weather)
		other.InputsDigest, other.JoinedAt = "", time.Time{}
		same, err := inputsDigest(documentOf(t, tally(3, 0, 5, 2)), other)
		if err != nil || same != j.InputsDigest {
			t.Fatalf("digest %s of the same row, want %s (%v)", same, j.InputsDigest, err)
		}
		change(&other)
		if got, err := inputsDigest(documentOf(t, tally(3, 0, 5, 2)), other); err != nil || got == j.InputsDigest {
			t.Errorf("another %s has the same digest (%v)", name, err)
		}
	}
}

func TestARowCarriesTheWeightOfItsLag(t *testing.T) {
	weather := mereWeather(t)
	for _, c := range []struct {
		lag  time.Duration
		want float64
	}{
		{24 * time.Hour, 1},
		{24*time.Hour + time.Second, 0.7},
		{168 * time.Hour, 0.7},
		{168*time.Hour + time.Second, 0.4},
		{336 * time.Hour, 0.4},
		{336*time.Hour + time.Second, 0.25},
		{8760 * time.Hour, 0.25},
	} {
		s := morning(model.Summary, 3)
		s.WrittenAt.Value = s.End.Add(c.lag)
		s.EnteredAt = s.End.AddDate(20, 0, 0) // an old paper record, imported
		if got := joinOne(t, s, weather).Weight; got != c.want {
			t.Errorf("written %v after the session: weight %v, want %v", c.lag, got, c.want)
		}
	}
}

func BenchmarkJoin(b *testing.B) {
	weather := mereWeather(b)
	for _, s := range []model.Session{morning(model.Summary, 10), tally(3, 0, 5, 2)} {
		b.Run(fmt.Sprintf("%s of four hours", s.Style), func(b *testing.B) {
			for b.Loop() {
				joinOne(b, s, weather)
			}
		})
	}
}

// documentOf is a record as it is named.
func documentOf(t interface{ Fatal(...any) }, s model.Session) []byte {
	document, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	return document
}
