package model_test

import (
	"strings"
	"testing"
	"time"

	"osier/model"
)

func TestGuardsLetAnHonestRecordPass(t *testing.T) {
	around := model.Surroundings{Zone: london(t), WaterC: model.Known(model.WaterEstimate{Low: 16, High: 19}), AirC: model.Known(model.Celsius(15))}
	for _, s := range []model.Session{summaryDay(), hourlyDay(), fullDay()} {
		s.WaterTemp = model.Known(model.WaterReading{C: 17, Instrument: true})
		if got := model.Guards(s, pit, around); len(got) > 0 {
			t.Errorf("%s: %v", s.Style, got)
		}
	}
}

// The planted flaws of the trade pack, section 7, and the errors of 6.2.
func TestGuardsCatchWhatPeopleGetWrong(t *testing.T) {
	zone := london(t)
	estimate := model.Known(model.WaterEstimate{Low: 16, High: 18})
	for _, c := range []struct {
		name                  string
		base                  func() model.Session
		spoil                 func(*model.Session)
		around                model.Surroundings
		field, excludes, says string
	}{
		{"clock not put back in October", summaryDay, func(s *model.Session) {
			s.Start = at("2025-10-26T09:00:00+01:00")
			s.End = s.Start.Add(4 * time.Hour).In(time.FixedZone("", 0))
			s.WrittenAt = model.Known(s.End)
		}, model.Surroundings{Zone: zone}, "start", "field", "09:00 by the clock at the water, or 08:00"},
		{"end by another clock", summaryDay, func(s *model.Session) { s.End = s.End.In(time.FixedZone("", 0)) }, model.Surroundings{Zone: zone}, "end", "field", "11:00"},
		{"elapsed day", summaryDay, func(s *model.Session) { s.End = s.Start.Add(11 * time.Hour); s.WrittenAt = model.Known(s.End) }, model.Surroundings{}, "end", "", "10.5 h"},
		{"loads", summaryDay, func(s *model.Session) { s.Bites = model.Maybe[int]{}; s.BitesText = "loads" }, model.Surroundings{}, "bites", "field", `"loads"`},
		{"days late", summaryDay, func(s *model.Session) { s.WrittenAt = model.Known(s.End.AddDate(0, 0, 5)) }, model.Surroundings{}, "written_at", "", "5 days after the session; where records are weighed by how soon they were written, its weight is 0.7"},
		{"weeks late", summaryDay, func(s *model.Session) { s.WrittenAt = model.Known(s.End.AddDate(0, 0, 20)) }, model.Surroundings{}, "written_at", "", "its weight is 0.25"},
		{"nobody said when", summaryDay, func(s *model.Session) { s.WrittenAt = model.Maybe[time.Time]{} }, model.Surroundings{}, "written_at", "", "nobody said"},
		{"written before the end", summaryDay, func(s *model.Session) { s.WrittenAt = model.Known(s.End.Add(-time.Hour)) }, model.Surroundings{}, "written_at", "", "before the last wind-in"},
		{"log written that night", fullDay, func(s *model.Session) { s.WrittenAt = model.Known(s.End.Add(13 * time.Hour)) }, model.Surroundings{}, "style", "", "as a summary"},
		{"no feed", summaryDay, func(s *model.Session) { s.Planned = model.PlannedFeed{} }, model.Surroundings{}, "planned_feed", "", "no feed was planned"},
		{"plan after the first cast", summaryDay, func(s *model.Session) { s.Planned.DecidedAt = model.Known(s.Start.Add(time.Minute)) }, model.Surroundings{}, "planned_feed", "field", "after the first cast"},
		{"plan of nothing", summaryDay, func(s *model.Session) { s.Planned.RateGH = model.Known(model.GramsPerHour(0)) }, model.Surroundings{}, "planned_feed", "field", "0 g/h"},
		{"mixed taken for used", summaryDay, func(s *model.Session) { s.FeedUsed.MixedDryG = model.Known(model.Grams(1500)) }, model.Surroundings{}, "feed_used.left_dry_g", "", "what was left"},
		{"air for water", summaryDay, func(s *model.Session) { s.WaterTemp = model.Known(model.WaterReading{C: 22.2}) }, model.Surroundings{WaterC: estimate, AirC: model.Known(model.Celsius(22))}, "water_temp", "field", "temperature of the air"},
		{"no such water", summaryDay, func(s *model.Session) { s.WaterTemp = model.Known(model.WaterReading{C: 24}) }, model.Surroundings{WaterC: estimate}, "water_temp", "field", "16.0 to 18.0 C is expected"},
		{"as the air, nothing to compare", summaryDay, func(s *model.Session) { s.WaterTemp = model.Known(model.WaterReading{C: 22}) }, model.Surroundings{AirC: model.Known(model.Celsius(22))}, "water_temp", "", "temperature of the air"},
		{"more fish than bites", summaryDay, func(s *model.Session) { s.Bites = model.Known(3) }, model.Surroundings{}, "bites", "field", "5 fish were landed from 3 bites"},
		{"liners for bites", summaryDay, func(s *model.Session) { s.LineBites = model.Known(60) }, model.Surroundings{}, "line_bites", "", "kept apart"},
		{"a bite every ten seconds", summaryDay, func(s *model.Session) { s.Bites = model.Known(2000) }, model.Surroundings{}, "bites", "field", "on each rod"},
		{"peg of another lake", summaryDay, func(s *model.Session) { s.Peg = "24" }, model.Surroundings{}, "peg", "field", "no peg"},
		{"group not known there", summaryDay, func(s *model.Session) { s.Group = model.Carp }, model.Surroundings{}, "group", "", "hold carp"},
		{"pounds for kilograms", summaryDay, func(s *model.Session) { s.Weight.Value.G = 60000 }, model.Surroundings{}, "weight", "field", "12.0 kg for each"},
		{"an hour left out", hourlyDay, func(s *model.Session) { s.End = s.End.Add(time.Hour); s.WrittenAt = model.Known(s.End) }, model.Surroundings{}, "intervals", "", "3.0 h, and 4.0 h"},
		{"in two places", summaryDay, func(*model.Session) {}, model.Surroundings{Others: []model.Session{{
			ID: "s-2", Water: "drovelow-mere", Angler: "VP", Start: morning.Add(4 * time.Hour), End: morning.Add(8 * time.Hour),
		}}}, "start", "session", "drovelow-mere"},
	} {
		s := c.base()
		c.spoil(&s)
		if err := s.Validate(pit); err != nil {
			t.Errorf("%s: a doubt is no refusal: %v", c.name, err)
		}
		got := model.Guards(s, pit, c.around)
		if len(got) != 1 || got[0].Field != c.field || got[0].Excludes != c.excludes || !strings.Contains(got[0].Text, c.says) {
			t.Errorf("%s: got %+v, want one query of %s excluding %q with %q in it", c.name, got, c.field, c.excludes, c.says)
		}
	}
}

// Programs write instants in UTC; only a clock that somebody read can be wrong.
func TestGuardsTakeUTCAsMeant(t *testing.T) {
	s := summaryDay()
	s.Start, s.End = s.Start.UTC(), s.End.UTC()
	if got := model.Guards(s, pit, model.Surroundings{Zone: s.Start.Location()}); len(got) != 0 {
		t.Fatalf("the fixture itself is queried: %+v", got)
	}
	zone, err := time.LoadLocation(pit.Zone)
	if err != nil {
		t.Fatal(err)
	}
	if got := model.Guards(s, pit, model.Surroundings{Zone: zone}); len(got) != 0 {
		t.Errorf("got %+v, want no query", got)
	}
}

func TestGuardsLeaveNeighboursInPeace(t *testing.T) {
	s := summaryDay()
	s.WaterTemp = model.Known(model.WaterReading{C: 17})
	around := model.Surroundings{
		WaterC: model.Known(model.WaterEstimate{Low: 16, High: 18}), AirC: model.Known(model.Celsius(17)),
		Others: []model.Session{
			s, // itself, stored before
			{ID: "s-2", Angler: "RJ", Start: s.Start, End: s.End},
			{ID: "s-3", Angler: s.Angler, Start: s.End, End: s.End.Add(time.Hour)},
		},
	}
	if got := model.Guards(s, pit, around); len(got) > 0 {
		t.Error(got)
	}
}

func TestLagWeightAndDemotion(t *testing.T) {
	// Statistics pack 1.2: within 1 day 1; 7 days 0.7; 14 days 0.4; later 0.25.
	for _, c := range []struct {
		lagH, weight float64
		learn        model.Style
	}{
		{0, 1, model.FullLog},
		{12, 1, model.FullLog},
		{12.1, 1, model.Summary},
		{24, 1, model.Summary},
		{25, 0.7, model.Summary},
		{7 * 24, 0.7, model.Summary},
		{14 * 24, 0.4, model.Summary},
		{14*24 + 1, 0.25, model.Summary},
	} {
		s := fullDay()
		s.WrittenAt = model.Known(s.End.Add(time.Duration(c.lagH * float64(time.Hour))))
		if got := s.LagWeight(); got != c.weight {
			t.Errorf("%v h: weight %v, want %v", c.lagH, got, c.weight)
		}
		if got := s.LearnAs(); got != c.learn {
			t.Errorf("%v h: learnt as %s, want %s", c.lagH, got, c.learn)
		}
	}
}

// Nobody said when it was written, but what was entered had been written.
func TestLagWeightWhereNobodySaidWhen(t *testing.T) {
	for _, c := range []struct {
		name    string
		entered func(s model.Session) time.Time
		want    float64
	}{
		{"entered a day later", func(s model.Session) time.Time { return s.End.Add(24 * time.Hour) }, 1},
		{"entered just after that", func(s model.Session) time.Time { return s.End.Add(24*time.Hour + time.Second) }, 0.7},
		{"an old paper record", func(s model.Session) time.Time { return s.End.AddDate(20, 0, 0) }, 0.7},
		{"not entered yet", func(model.Session) time.Time { return time.Time{} }, 0.7},
	} {
		s := fullDay()
		s.WrittenAt, s.EnteredAt = model.Maybe[time.Time]{}, c.entered(s)
		if got := s.LagWeight(); got != c.want {
			t.Errorf("%s: weight %v, want %v", c.name, got, c.want)
		}
	}
}

func TestMissingBlanks(t *testing.T) {
	days := func(catches ...int) []model.Session {
		var sessions []model.Session
		for i, n := range catches {
			s := summaryDay()
			s.Start = s.Start.AddDate(0, 0, 7*i)
			s.Fish, s.Blank = map[model.Group]int{model.Bream: n}, n == 0
			sessions = append(sessions, s)
		}
		return sessions
	}
	many := func(n int) []int {
		catches := make([]int, n)
		for i := range catches {
			catches[i] = 2
		}
		return catches
	}
	for _, c := range []struct {
		name     string
		sessions []model.Session
		expected float64
		found    bool
	}{
		{"15 with fish where a fifth should be blank: 0.8^15 = 0.035", days(many(15)...), 0.20, true},
		{"15 where a tenth should be: 0.9^15 = 0.206", days(many(15)...), 0.10, false},
		{"29 where a tenth should be: 0.9^29 = 0.047", days(many(29)...), 0.10, true},
		{"14 say nothing", days(many(14)...), 0.5, false},
		{"a blank in the middle", days(append(append(many(10), 0), many(10)...)...), 0.20, false},
		{"blanks only from the month 6 on", days(append(many(22), 0, 2, 0, 2, 0)...), 0.25, true},
		{"no share to expect", days(many(30)...), 0, false},
	} {
		found, text := model.MissingBlanks(c.sessions, c.expected)
		if found != c.found || found != (text != "") {
			t.Errorf("%s: %v %q", c.name, found, text)
		}
	}
}
