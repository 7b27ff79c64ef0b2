package model

import (
	"strconv"
	"unicode"
)

func (s Session) validateCounts() error {
	for _, c := range []struct {
		field string
		n     Maybe[int]
	}{
		{"bites", s.Bites},
		{"line_bites", s.LineBites},
		{"cast_count", s.CastCount},
		{"feed_used.fills", s.FeedUsed.Fills},
		{"opening.fills", s.Opening.Fills},
	} {
		if err := validateCount(c.field, c.n); err != nil {
			return err
		}
	}
	if s.BitesText == "" {
		return nil
	}
	if s.Bites.Known {
		return Invalidf("bites_text", "give the count or the words, not both", "there is a count of %d and also the words %q", s.Bites.Value, shorten(s.BitesText))
	}
	if !isWords(s.BitesText) {
		return Invalidf("bites_text", "give a count in bites, and words here only where nobody counted", "%q is no word", shorten(s.BitesText))
	}
	return nil
}

func validateCount(field string, n Maybe[int]) error {
	if n.Known && (n.Value < 0 || n.Value > mostCount) {
		return Invalidf(field, "give a whole number from 0 to 5000, or nothing where it was not counted", "%d is out of range", n.Value)
	}
	return nil
}

// isWords tells "loads" from a number that was mistyped.
func isWords(text string) bool {
	if _, err := strconv.ParseFloat(text, 64); err == nil {
		return false
	}
	for _, r := range text {
		if unicode.IsLetter(r) {
			return true
		}
	}
	return false
}

// FishLanded is the number of fish landed, all groups together: zero for a
// blank, and not known where nobody counted.
func (s Session) FishLanded() Maybe[int] {
	if len(s.Fish) == 0 {
		return Maybe[int]{Known: s.Blank}
	}
	total := 0
	for _, n := range s.Fish {
		total += n
	}
	return Known(total)
}

// countFish notes the fish of one group where they were counted.
func (s *Session) countFish(g Group, n Maybe[int]) {
	if !n.Known {
		return
	}
	if s.Fish == nil {
		s.Fish = map[Group]int{}
	}
	s.Fish[g] = n.Value
}

// validateCatch sees to it that a zero was typed: a blank is a record, an empty
// field is not.
func (s Session) validateCatch() error {
	for _, g := range Groups() {
		if n, counted := s.Fish[g]; counted {
			if err := validateCount("fish."+string(g), Known(n)); err != nil {
				return err
			}
		}
	}
	for g := range s.Fish {
		if err := g.Validate("fish"); err != nil {
			return err
		}
	}
	landed := s.FishLanded()
	switch {
	case !landed.Known:
		return Invalidf("fish", "count the fish, or say blank when there were none: a zero must be typed", "neither fish nor a blank is recorded")
	case s.Blank && landed.Value > 0:
		return Invalidf("blank", "a blank is a session with no fish", "it is said to be a blank, and %d fish are counted", landed.Value)
	}
	if !s.Weight.Known {
		return nil
	}
	if err := Between("weight.g", float64(s.Weight.Value.G), 0, heaviestCatchG, "g"); err != nil {
		return err
	}
	if s.Weight.Value.G > 0 && landed.Value == 0 {
		return Invalidf("weight", "count the fish that were weighed, or leave the weight out", "%v g were weighed, and no fish is counted", float64(s.Weight.Value.G))
	}
	return oneOf("weight.how", s.Weight.Value.How, weighings)
}

func (s Session) validateFeed() error {
	for _, n := range []struct {
		field     string
		v         float64
		low, high float64
		unit      string
	}{
		{"planned_feed.rate_g_h", float64(s.Planned.RateGH.Or(0)), 0, 5000, "g/h"},
		{"feed_used.mixed_dry_g", float64(s.FeedUsed.MixedDryG.Or(0)), 0, 50000, "g"},
		{"feed_used.left_dry_g", float64(s.FeedUsed.LeftDryG.Or(0)), 0, 50000, "g"},
		{"feeder.capacity_ml", float64(s.Feeder.CapacityMl.Or(5)), 5, 300, "ml"},
		{"feeder.weight_g", float64(s.Feeder.WeightG.Or(3)), 3, 200, "g"},
	} {
		if err := Between(n.field, n.v, n.low, n.high, n.unit); err != nil {
			return err
		}
	}
	if mixed, left := s.FeedUsed.MixedDryG, s.FeedUsed.LeftDryG; mixed.Known && left.Known && left.Value > mixed.Value {
		return Invalidf("feed_used.left_dry_g", "give what was left of the mix, dry weight", "%v g were left of %v g", float64(left.Value), float64(mixed.Value))
	}
	if s.Planned.DecidedAt.Known {
		if err := validateInstant("planned_feed.decided_at", s.Planned.DecidedAt.Value); err != nil {
			return err
		}
	}
	for _, w := range []struct {
		field, word string
		list        []string
	}{
		{"planned_feed.level", s.Planned.Level, feedLevels},
		{"feeder.type", s.Feeder.Type, feederTypes},
		{"opening.release", s.Opening.Release, feedReleases},
	} {
		if err := oneOfOrEmpty(w.field, w.word, w.list); err != nil {
			return err
		}
	}
	return nil
}

func (s Session) validateMeasures() error {
	t := s.WaterTemp
	for _, n := range []struct {
		field     string
		v         float64
		low, high float64
		unit      string
	}{
		{"recast_interval_min", s.RecastMin.Or(1), 0.2, 240, "min"},
		{"clip_distance_m", float64(s.DistanceM.Or(1)), 1, 200, "m"},
		{"depth_m", float64(s.DepthM.Or(1)), 0.1, 60, "m"},
		{"hook_length_cm", s.HookLengthCm.Or(1), 1, 300, "cm"},
		{"water_temp.c", float64(t.Value.C), -0.5, 40, "C"},
		{"water_temp.depth_m", float64(t.Value.DepthM.Or(0)), 0, 60, "m"},
	} {
		if err := Between(n.field, n.v, n.low, n.high, n.unit); err != nil {
			return err
		}
	}
	if t.Known && t.Value.At.Known {
		if err := validateInstant("water_temp.at", t.Value.At.Value); err != nil {
			return err
		}
	}
	return oneOfOrEmpty("water_colour", s.WaterColour, colours)
}
