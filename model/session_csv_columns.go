package model

import (
	"strings"
	"time"
)

// sessionRow is what the session's own columns of a CSV file say.
type sessionRow struct {
	key               string
	s                 Session
	start, end        Maybe[time.Time]
	breaksMin         Maybe[float64]
	rods              Maybe[int]
	fish              map[Group]*Maybe[int]
	weight            WeightEntry
	waterC            Maybe[Celsius]
	waterDepthM       Maybe[Metres]
	waterAt           Maybe[time.Time]
	waterByInstrument bool
}

// hourRow and castRow are what one row says of an hour or a cast.
type hourRow struct {
	v          Interval
	start, end Maybe[time.Time]
	bitesText  string
}

type castRow struct {
	c       Cast
	in, out Maybe[time.Time]
}

// sessionColumns are the columns that hold for the whole session. They may be
// repeated in each of its rows or left empty after the first.
var sessionColumns = []column[sessionRow]{
	wordColumn("session", "", func(r *sessionRow) *string { return &r.key }),
	wordColumn("id", "id", func(r *sessionRow) *string { return &r.s.ID }),
	wordColumn("water", "water", func(r *sessionRow) *string { return &r.s.Water }),
	wordColumn("angler", "angler", func(r *sessionRow) *string { return &r.s.Angler }),
	wordColumn("group", "group", func(r *sessionRow) *Group { return &r.s.Group }),
	wordColumn("style", "style", func(r *sessionRow) *Style { return &r.s.Style }),
	timeColumn("start", "start", func(r *sessionRow) *Maybe[time.Time] { return &r.start }, onDate),
	timeColumn("end", "end", func(r *sessionRow) *Maybe[time.Time] { return &r.end }, inSession),
	numberColumn("breaks_min", "breaks_min", func(r *sessionRow) *Maybe[float64] { return &r.breaksMin }),
	countColumn("rods", "rods", func(r *sessionRow) *Maybe[int] { return &r.rods }),
	timeColumn("written_at", "written_at", func(r *sessionRow) *Maybe[time.Time] { return &r.s.WrittenAt }, onDate),
	wordColumn("peg", "peg", func(r *sessionRow) *string { return &r.s.Peg }),
	bitesColumn("bites", "bites", func(r *sessionRow) (*Maybe[int], *string) { return &r.s.Bites, &r.s.BitesText }),
	countColumn("line_bites", "line_bites", func(r *sessionRow) *Maybe[int] { return &r.s.LineBites }),
	countColumn("cast_count", "cast_count", func(r *sessionRow) *Maybe[int] { return &r.s.CastCount }),
	countColumn("fish_silver", "fish.silver", func(r *sessionRow) *Maybe[int] { return r.fishOf(Silver) }),
	countColumn("fish_bream", "fish.bream", func(r *sessionRow) *Maybe[int] { return r.fishOf(Bream) }),
	countColumn("fish_carp", "fish.carp", func(r *sessionRow) *Maybe[int] { return r.fishOf(Carp) }),
	yesNoColumn("blank", "blank", func(r *sessionRow) *bool { return &r.s.Blank }),
	numberColumn("weight_kg", "weight.kg", func(r *sessionRow) *Maybe[float64] { return &r.weight.Kg }),
	numberColumn("weight_lb", "weight.lb", func(r *sessionRow) *Maybe[float64] { return &r.weight.Lb }),
	numberColumn("weight_oz", "weight.oz", func(r *sessionRow) *Maybe[float64] { return &r.weight.Oz }),
	wordColumn("weight_how", "weight.how", func(r *sessionRow) *string { return &r.weight.How }),
	numberColumn("planned_rate_g_h", "planned_feed.rate_g_h", func(r *sessionRow) *Maybe[GramsPerHour] { return &r.s.Planned.RateGH }),
	wordColumn("planned_level", "planned_feed.level", func(r *sessionRow) *string { return &r.s.Planned.Level }),
	timeColumn("planned_at", "planned_feed.decided_at", func(r *sessionRow) *Maybe[time.Time] { return &r.s.Planned.DecidedAt }, onDate),
	numberColumn("mixed_dry_g", "feed_used.mixed_dry_g", func(r *sessionRow) *Maybe[Grams] { return &r.s.FeedUsed.MixedDryG }),
	numberColumn("left_dry_g", "feed_used.left_dry_g", func(r *sessionRow) *Maybe[Grams] { return &r.s.FeedUsed.LeftDryG }),
	countColumn("fills", "feed_used.fills", func(r *sessionRow) *Maybe[int] { return &r.s.FeedUsed.Fills }),
	wordColumn("feeder_type", "feeder.type", func(r *sessionRow) *string { return &r.s.Feeder.Type }),
	numberColumn("feeder_capacity_ml", "feeder.capacity_ml", func(r *sessionRow) *Maybe[Millilitres] { return &r.s.Feeder.CapacityMl }),
	numberColumn("feeder_weight_g", "feeder.weight_g", func(r *sessionRow) *Maybe[Grams] { return &r.s.Feeder.WeightG }),
	countColumn("opening_fills", "opening.fills", func(r *sessionRow) *Maybe[int] { return &r.s.Opening.Fills }),
	wordColumn("opening_release", "opening.release", func(r *sessionRow) *string { return &r.s.Opening.Release }),
	numberColumn("recast_interval_min", "recast_interval_min", func(r *sessionRow) *Maybe[float64] { return &r.s.RecastMin }),
	numberColumn("clip_distance_m", "clip_distance_m", func(r *sessionRow) *Maybe[Metres] { return &r.s.DistanceM }),
	numberColumn("depth_m", "depth_m", func(r *sessionRow) *Maybe[Metres] { return &r.s.DepthM }),
	wordColumn("groundbait", "groundbait", func(r *sessionRow) *string { return &r.s.Groundbait }),
	wordColumn("particles", "particles", func(r *sessionRow) *string { return &r.s.Particles }),
	wordColumn("hook_bait", "hook_bait", func(r *sessionRow) *string { return &r.s.HookBait }),
	numberColumn("hook_length_cm", "hook_length_cm", func(r *sessionRow) *Maybe[float64] { return &r.s.HookLengthCm }),
	numberColumn("water_temp_c", "water_temp.c", func(r *sessionRow) *Maybe[Celsius] { return &r.waterC }),
	numberColumn("water_temp_depth_m", "water_temp.depth_m", func(r *sessionRow) *Maybe[Metres] { return &r.waterDepthM }),
	timeColumn("water_temp_at", "water_temp.at", func(r *sessionRow) *Maybe[time.Time] { return &r.waterAt }, inSession),
	yesNoColumn("water_temp_instrument", "water_temp.instrument", func(r *sessionRow) *bool { return &r.waterByInstrument }),
	wordColumn("water_colour", "water_colour", func(r *sessionRow) *Colour { return &r.s.WaterColour }),
	wordColumn("ripple", "ripple", func(r *sessionRow) *string { return &r.s.Ripple }),
	wordColumn("wind_felt", "wind_felt", func(r *sessionRow) *string { return &r.s.WindFelt }),
	wordColumn("neighbours", "neighbours", func(r *sessionRow) *string { return &r.s.Neighbours }),
	wordColumn("plan_id", "plan_id", func(r *sessionRow) *string { return &r.s.PlanID }),
	wordColumn("notes", "notes", func(r *sessionRow) *string { return &r.s.Notes }),
	yesNoColumn("demo", "demo", func(r *sessionRow) *bool { return &r.s.Demo }),
}

// hourColumns tell of one hour of an hourly tally, one row an hour.
var hourColumns = []column[hourRow]{
	timeColumn("hour_start", "start", func(r *hourRow) *Maybe[time.Time] { return &r.start }, inSession),
	timeColumn("hour_end", "end", func(r *hourRow) *Maybe[time.Time] { return &r.end }, inSession),
	countColumn("hour_casts", "casts", func(r *hourRow) *Maybe[int] { return &r.v.Casts }),
	bitesColumn("hour_bites", "bites", func(r *hourRow) (*Maybe[int], *string) { return &r.v.Bites, &r.bitesText }),
	countColumn("hour_line_bites", "line_bites", func(r *hourRow) *Maybe[int] { return &r.v.LineBites }),
	countColumn("hour_fish", "fish", func(r *hourRow) *Maybe[int] { return &r.v.Fish }),
	wordColumn("hour_level", "level", func(r *hourRow) *string { return &r.v.Level }),
	numberColumn("hour_rate_g_h", "rate_g_h", func(r *hourRow) *Maybe[GramsPerHour] { return &r.v.RateGH }),
}

// castColumns tell of one cast of a full log, one row a cast.
var castColumns = []column[castRow]{
	timeColumn("cast_in", "in", func(r *castRow) *Maybe[time.Time] { return &r.in }, inSession),
	timeColumn("cast_out", "out", func(r *castRow) *Maybe[time.Time] { return &r.out }, inSession),
	numberColumn("cast_fill_g", "fill_g", func(r *castRow) *Maybe[Grams] { return &r.c.FillG }),
	wordColumn("cast_outcome", "outcome", func(r *castRow) *Outcome { return &r.c.Outcome }),
	numberColumn("cast_bite_min", "bite_min", func(r *castRow) *Maybe[float64] { return &r.c.BiteMin }),
	wordColumn("cast_fish_group", "group", func(r *castRow) *Group { return &r.c.Group }),
	numberColumn("cast_fish_g", "fish_g", func(r *castRow) *Maybe[Grams] { return &r.c.FishG }),
}

// requiredColumns must stand in the header of any file; water and angler too,
// where the reader is not told them otherwise.
var requiredColumns = []string{"group", "style", "start", "end"}

// columnNames is the whole header, in the order that WriteSessionsCSV writes.
func columnNames() []string {
	var names []string
	for _, c := range sessionColumns {
		names = append(names, c.name)
	}
	for _, c := range hourColumns {
		names = append(names, c.name)
	}
	for _, c := range castColumns {
		names = append(names, c.name)
	}
	return names
}

func (r *sessionRow) fishOf(g Group) *Maybe[int] {
	if r.fish == nil {
		r.fish = map[Group]*Maybe[int]{}
	}
	if r.fish[g] == nil {
		r.fish[g] = &Maybe[int]{}
	}
	return r.fish[g]
}

// session puts the columns together.
func (r *sessionRow) session() (Session, error) {
	s := r.s
	s.Start, s.End = r.start.Value, r.end.Value
	s.BreaksMin, s.Rods = r.breaksMin.Or(0), r.rods.Or(1)
	for _, g := range Groups() {
		s.countFish(g, *r.fishOf(g))
	}
	if r.waterC.Known {
		s.WaterTemp = Known(WaterReading{C: r.waterC.Value, DepthM: r.waterDepthM, At: r.waterAt, Instrument: r.waterByInstrument})
	} else if r.waterDepthM.Known || r.waterAt.Known || r.waterByInstrument {
		return s, Invalidf("water_temp_c", "give the temperature, or leave its depth, time and instrument empty", "a reading of the water is described, and no temperature is given")
	}
	var err error
	s.Weight, err = r.weight.Weight("weight")
	return s, err
}

// rowOf is the reverse of session.
func rowOf(s Session) sessionRow {
	r := sessionRow{
		key: s.ID, s: s, start: Known(s.Start), end: Known(s.End),
		breaksMin: Maybe[float64]{Value: s.BreaksMin, Known: s.BreaksMin != 0},
		rods:      Known(s.Rods),
	}
	for g, n := range s.Fish {
		*r.fishOf(g) = Known(n)
	}
	if s.Weight.Known {
		r.weight = WeightEntry{Kg: Known(float64(s.Weight.Value.G) / 1000), How: s.Weight.Value.How}
	}
	if t := s.WaterTemp; t.Known {
		r.waterC, r.waterDepthM, r.waterAt, r.waterByInstrument = Known(t.Value.C), t.Value.DepthM, t.Value.At, t.Value.Instrument
	}
	return r
}

// interval and cast put the columns of one row together.
func (r hourRow) interval() Interval {
	r.v.Start, r.v.End = r.start.Value, r.end.Value
	return r.v
}

func (r castRow) cast() Cast {
	r.c.In, r.c.Out = r.in.Value, r.out.Value
	return r.c
}

// columnOf turns the field that validation names into its column, where it has
// one of its own.
func columnOf(field string) string {
	for _, c := range sessionColumns {
		if c.field == field {
			return c.name
		}
	}
	_, part, ok := strings.Cut(field, "].")
	if !ok {
		return field
	}
	for _, c := range hourColumns {
		if strings.HasPrefix(field, "intervals[") && c.field == part {
			return c.name
		}
	}
	for _, c := range castColumns {
		if strings.HasPrefix(field, "casts[") && c.field == part {
			return c.name
		}
	}
	return field
}
