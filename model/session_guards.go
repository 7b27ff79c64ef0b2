package model

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// What makes a record doubtful. Thresholds without a source named are our
// choice.
const (
	longDayH        = 10.0 // trade pack 6.2
	waterSlackC     = 5.0  // beyond the estimate's interval
	sameAsAirC      = 0.5
	lateH           = 12.0 // statistics pack 1.2
	mostBitesPerH   = 60.0 // a rod
	linersPerBite   = 3
	linersAnyway    = 10 // liners that prove nothing by themselves
	talliedShare    = 0.8
	heaviestSilverG = 3000.0
	heaviestBreamG  = 7000.0
	heaviestCarpG   = 30000.0
)

// Surroundings is what Guards may compare a record with. What is not known
// is not compared.
type Surroundings struct {
	Zone   *time.Location       // of the water
	WaterC Maybe[WaterEstimate] // over the hours fished
	AirC   Maybe[Celsius]       // over the hours fished
	Others []Session            // the same angler's, near in time
}

// Guards raises the doubts about a valid record that an angler should be asked
// about: the errors that people really make (trade pack 6.2). Nothing in the
// record is changed; each query says what it keeps out of fits, if anything.
// The order is fixed, so that the same record always gets the same queries.
func Guards(s Session, water Water, around Surroundings) []Query {
	return slices.Concat(
		guardOffsets(s, around.Zone),
		guardLength(s),
		guardOverlap(s, around.Others),
		guardLag(s),
		guardPlace(s, water),
		guardCounts(s),
		guardWeight(s),
		guardFeed(s),
		guardWaterTemp(s, around),
		guardTally(s),
	)
}

// guardOffsets finds the clock that was not changed: an offset that the zone
// did not have at that instant shifts a session by an hour. A time written in
// UTC, with a Z, claims no clock at the water; programs write so.
func guardOffsets(s Session, zone *time.Location) []Query {
	if zone == nil {
		return nil
	}
	var queries []Query
	for _, t := range []struct {
		field string
		at    time.Time
	}{{"start", s.Start}, {"end", s.End}} {
		if t.at.Location() == time.UTC {
			continue
		}
		local := t.at.In(zone)
		_, wrote := t.at.Zone()
		if _, ruled := local.Zone(); wrote != ruled {
			queries = append(queries, Query{
				Field: t.field, Excludes: "field",
				Text: fmt.Sprintf("%s is written with an offset that %s did not have then: was it %s by the clock at the water, or %s?",
					t.at.Format(time.RFC3339), zone, t.at.Format("15:04"), local.Format("15:04")),
			})
		}
	}
	return queries
}

func guardLength(s Session) []Query {
	if s.HoursFished() <= longDayH {
		return nil
	}
	return []Query{{
		Field: "end",
		Text:  fmt.Sprintf("%.1f h fished is a long day: are start and end the first cast and the last wind-in, and were there breaks?", s.HoursFished()),
	}}
}

// guardOverlap keeps the later of two overlapping records out of fits, since
// hours learnt from twice count twice.
func guardOverlap(s Session, others []Session) []Query {
	for _, o := range others {
		if o.ID != s.ID && o.Angler == s.Angler && o.Start.Before(s.End) && s.Start.Before(o.End) {
			return []Query{{
				Field: "start", Excludes: "session",
				Text: fmt.Sprintf("%s fished at %s from %s to %s too (session %s): which of the two is right?",
					s.Angler, o.Water, o.Start.Format(time.RFC3339), o.End.Format(time.RFC3339), o.ID),
			}}
		}
	}
	return nil
}

func guardPlace(s Session, water Water) []Query {
	var queries []Query
	if s.Peg != "" && len(water.Pegs) > 0 {
		if _, err := water.Peg(s.Peg); err != nil {
			queries = append(queries, Query{Field: "peg", Excludes: "field", Text: fmt.Sprintf("%s has no peg %q: is it the number of another water?", water.Name, shorten(s.Peg))})
		}
	}
	if len(water.Groups) > 0 && !water.Holds(s.Group) {
		queries = append(queries, Query{Field: "group", Text: fmt.Sprintf("%s is not known to hold %s", water.Name, s.Group)})
	}
	return queries
}

func guardCounts(s Session) []Query {
	var queries []Query
	ask := func(field, excludes, format string, args ...any) {
		queries = append(queries, Query{Field: field, Excludes: excludes, Text: fmt.Sprintf(format, args...)})
	}
	if s.BitesText != "" {
		ask("bites", "field", "%q is kept as it was said; the number of bites is not known", shorten(s.BitesText))
	}
	if !s.Bites.Known {
		return queries
	}
	bites := s.Bites.Value
	if fish := s.FishLanded(); fish.Known && fish.Value > bites {
		ask("bites", "field", "%d fish were landed from %d bites: were the bites of the fish counted?", fish.Value, bites)
	}
	if rate := float64(bites) / s.RodHours(); rate > mostBitesPerH {
		ask("bites", "field", "%.0f bites an hour on each rod is more than a rod can answer", rate)
	}
	if s.LineBites.Known && s.LineBites.Value > linersPerBite*bites+linersAnyway {
		ask("line_bites", "", "%d line bites beside %d bites: were the two kept apart?", s.LineBites.Value, bites)
	}
	return queries
}

// guardWeight finds pounds taken for kilograms and slipped points.
func guardWeight(s Session) []Query {
	fish := s.FishLanded().Or(0)
	if !s.Weight.Known || fish == 0 {
		return nil
	}
	heaviest := heaviestSilverG
	if s.Fish[Bream] > 0 {
		heaviest = heaviestBreamG
	}
	if s.Fish[Carp] > 0 {
		heaviest = heaviestCarpG
	}
	if mean := float64(s.Weight.Value.G) / float64(fish); mean > heaviest {
		return []Query{{Field: "weight", Excludes: "field", Text: fmt.Sprintf("%.1f kg for each of %d fish is more than such fish weigh: was it in kg?", mean/1000, fish)}}
	}
	return nil
}

// guardFeed notes a missing plan and a plan that no forecast may read: one
// made after the first cast answers the bites, and none at all has no place on
// the scale of log rates.
func guardFeed(s Session) []Query {
	var queries []Query
	p := s.Planned
	switch {
	case !p.RateGH.Known && p.Level == "":
		queries = append(queries, Query{Field: "planned_feed", Text: "no feed was planned or none was written down; what was planned before the first cast is the one feed figure that can be learnt from"})
	case p.RateGH.Known && p.RateGH.Value == 0:
		queries = append(queries, Query{Field: "planned_feed", Excludes: "field", Text: "a planned rate of 0 g/h has no place on the scale of rates: was it left open?"})
	case p.DecidedAt.Known && p.DecidedAt.Value.After(s.Start):
		queries = append(queries, Query{Field: "planned_feed", Excludes: "field", Text: fmt.Sprintf("the feed was decided at %s, after the first cast, so it may answer the bites", p.DecidedAt.Value.Format(time.RFC3339))})
	}
	if s.FeedUsed.MixedDryG.Known && !s.FeedUsed.LeftDryG.Known {
		queries = append(queries, Query{Field: "feed_used.left_dry_g", Text: "what was mixed is known, and what was left is not: how much of it was really fed?"})
	}
	return queries
}

func guardWaterTemp(s Session, around Surroundings) []Query {
	if !s.WaterTemp.Known {
		return nil
	}
	return doubtWaterTemp("water_temp", float64(s.WaterTemp.Value.C), around)
}

// doubtWaterTemp finds a reading that no water had: most often it is the air.
func doubtWaterTemp(field string, read float64, around Surroundings) []Query {
	asAir := around.AirC.Known && math.Abs(read-float64(around.AirC.Value)) <= sameAsAirC
	const airToo = "it is also the temperature of the air: was the thermometer in the water?"
	if !around.WaterC.Known {
		if asAir {
			return []Query{{Field: field, Text: fmt.Sprintf("%.1f C was read in the water, and %s", read, airToo)}}
		}
		return nil
	}
	e := around.WaterC.Value
	outside := math.Max(e.Low-read, read-e.High)
	if outside <= 0 || outside <= waterSlackC && !asAir {
		return nil
	}
	text := []string{fmt.Sprintf("%.1f C was read in the water, where %.1f to %.1f C is expected", read, e.Low, e.High)}
	if asAir {
		text = append(text, airToo)
	}
	return []Query{{Field: field, Excludes: "field", Text: strings.Join(text, "; ")}}
}

// guardTally finds a tally with hours left out.
func guardTally(s Session) []Query {
	if s.Style != Hourly {
		return nil
	}
	var told time.Duration
	for _, v := range s.Intervals {
		told += v.End.Sub(v.Start)
	}
	if told.Hours() >= talliedShare*s.HoursFished() {
		return nil
	}
	return []Query{{Field: "intervals", Text: fmt.Sprintf("the tally tells of %.1f h, and %.1f h were fished: was an hour without bites left out?", told.Hours(), s.HoursFished())}}
}
