package model

// withTotals fills the totals of a session from its hours or casts where they
// were not given, and refuses totals that its hours or casts contradict. A
// total is filled only where every part of it was counted: a sum with a gap is
// not a total. Fish of which nobody said the group count to the group fished
// for (our choice).
func (s Session) withTotals() (Session, error) {
	switch s.Style {
	case Hourly:
		return s.withTotalsOfHours()
	case FullLog:
		return s.withTotalsOfCasts()
	}
	return s, nil
}

func (s Session) withTotalsOfHours() (Session, error) {
	var casts, bites, liners, fish sum
	for _, v := range s.Intervals {
		casts.add(v.Casts)
		bites.add(v.Bites)
		liners.add(v.LineBites)
		fish.add(v.Fish)
	}
	var err error
	if s.CastCount, err = casts.agree("cast_count", "hours", s.CastCount); err != nil {
		return s, err
	}
	if s.LineBites, err = liners.agree("line_bites", "hours", s.LineBites); err != nil {
		return s, err
	}
	if s.Bites, err = bites.agreeUnlessWords(s, "hours"); err != nil {
		return s, err
	}
	landed, err := fish.agree("fish", "hours", s.FishLanded())
	if err != nil || s.FishLanded().Known || !landed.Known {
		return s, err
	}
	if landed.Value == 0 {
		s.Blank = true
		return s, nil
	}
	s.Fish = map[Group]int{s.Group: landed.Value}
	return s, nil
}

func (s Session) withTotalsOfCasts() (Session, error) {
	var bites, liners, fish sum
	byGroup := map[Group]int{}
	for _, c := range s.Casts {
		bites.add(Known(countTrue(c.Outcome.TrueBite())))
		liners.add(Known(countTrue(c.Outcome == LineBite)))
		fish.add(Known(countTrue(c.Outcome == FishLanded)))
		if c.Outcome == FishLanded {
			g := c.Group
			if g == "" {
				g = s.Group
			}
			byGroup[g]++
		}
	}
	var err error
	if s.CastCount, err = (sum{n: len(s.Casts)}).agree("cast_count", "casts", s.CastCount); err != nil {
		return s, err
	}
	// One cast may see several touches of the line but is written as one, so
	// a larger count of line bites contradicts nothing.
	liners.gap = s.LineBites.Known
	if s.LineBites, err = liners.agree("line_bites", "casts", s.LineBites); err != nil {
		return s, err
	}
	if s.Bites, err = bites.agreeUnlessWords(s, "casts"); err != nil {
		return s, err
	}
	if _, err = fish.agree("fish", "casts", s.FishLanded()); err != nil {
		return s, err
	}
	if s.FishLanded().Known {
		return s, s.agreeByGroup()
	}
	if len(byGroup) == 0 {
		s.Blank = true
		return s, nil
	}
	s.Fish = byGroup
	return s, nil
}

// agreeByGroup refuses casts that landed more of a group than the session did.
func (s Session) agreeByGroup() error {
	named := map[Group]int{}
	for _, c := range s.Casts {
		if c.Outcome == FishLanded {
			named[c.Group]++
		}
	}
	for _, g := range Groups() {
		if named[g] > s.Fish[g] {
			return Invalidf("fish."+string(g), "correct the one that is wrong, or leave the total out", "the total is %d, and its casts add up to %d", s.Fish[g], named[g])
		}
	}
	return nil
}

// sum adds counts and remembers whether one of them was missing.
type sum struct {
	n   int
	gap bool
}

func (t *sum) add(n Maybe[int]) {
	t.n += n.Or(0)
	t.gap = t.gap || !n.Known
}

// agree gives the total: the one given, or the sum when none was given and
// nothing is missing from it. A total below the sum, or other than a sum
// without gaps, is refused.
func (t sum) agree(field, parts string, given Maybe[int]) (Maybe[int], error) {
	switch {
	case !given.Known && t.gap:
		return given, nil
	case !given.Known:
		return Known(t.n), nil
	case given.Value < t.n || given.Value > t.n && !t.gap:
		return given, Invalidf(field, "correct the one that is wrong, or leave the total out", "the total is %d, and its %s add up to %d", given.Value, parts, t.n)
	}
	return given, nil
}

// agreeUnlessWords leaves the total of bites unknown where it was told in
// words.
func (t sum) agreeUnlessWords(s Session, parts string) (Maybe[int], error) {
	if s.BitesText != "" {
		return s.Bites, nil
	}
	return t.agree("bites", parts, s.Bites)
}
