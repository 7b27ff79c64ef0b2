package main

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"osier/model"
	"osier/model/solar"
)

// demoOuting is one session before a line is in the water: who, where, when
// and after what.
type demoOuting struct {
	angler, place int
	group         model.Group
	start, end    time.Time
	light         solar.Times
	peg           string
	match         bool
}

func (o demoOuting) id() string {
	return strings.ToLower(demoAnglers[o.angler].handle) + "-" + o.start.Format(time.DateOnly)
}

// angleDay numbers an angler's day; nobody fishes twice in a day.
func angleDay(angler int, day time.Time) uint64 { return uint64(angler)<<32 | uint64(dayNumber(day)) }

// outings are the year's matches and everyone's own sessions, by start.
func (m *demoMaker) outings() []demoOuting {
	all := m.matchOutings()
	taken := map[uint64]bool{}
	for _, o := range all {
		taken[angleDay(o.angler, o.start)] = true
	}
	for angler, a := range demoAnglers {
		for _, st := range a.stints {
			for _, noon := range m.chooseDays(angler, st, taken) {
				all = append(all, m.ownOuting(angler, noon))
			}
		}
	}
	slices.SortFunc(all, func(a, b demoOuting) int {
		return cmp.Or(a.start.Compare(b.start), cmp.Compare(a.angler, b.angler))
	})
	return all
}

// noons lists the noons of the days that may be fished: from the day after the
// year's beginning to yesterday.
func (m *demoMaker) noons() []time.Time {
	y, mo, d := m.yearFrom.In(m.zone).Date()
	today := m.now.In(m.zone).Format(time.DateOnly)
	var noons []time.Time
	for i := 1; ; i++ {
		noon := time.Date(y, mo, d+i, 12, 0, 0, 0, m.zone)
		if noon.Format(time.DateOnly) >= today {
			return noons
		}
		noons = append(noons, noon)
	}
}

// chooseDays draws days without putting any back, each by its weight (Efraimidis
// and Spirakis 2006, Weighted random sampling with a reservoir): the smallest of
// exponential draws over the weights.
func (m *demoMaker) chooseDays(angler int, st stint, taken map[uint64]bool) []time.Time {
	a := demoAnglers[angler]
	type candidate struct {
		noon time.Time
		key  float64
	}
	var days []candidate
	for _, noon := range m.noons() {
		month := m.month(noon)
		if month < st.from || month >= st.until || taken[angleDay(angler, noon)] || len(a.day) > 0 && !slices.Contains(a.day, int(noon.Weekday())) {
			continue
		}
		weight := 1.0
		if m.waterC[drovelow][m.index(noon)] < coldWaterC {
			weight = a.winter
		}
		u := newDemoStream(m.seed, drawOutingDay, angleDay(angler, noon)).uniform()
		days = append(days, candidate{noon, -math.Log(u) / weight})
	}
	slices.SortFunc(days, func(a, b candidate) int { return cmp.Compare(a.key, b.key) })
	var chosen []time.Time
	for _, d := range days[:min(st.outings, len(days))] {
		chosen = append(chosen, d.noon)
	}
	return chosen
}

// ownOuting fills a day of an angler's own with a water, hours within the
// light, and a peg.
func (m *demoMaker) ownOuting(angler int, noon time.Time) demoOuting {
	a := demoAnglers[angler]
	s := newDemoStream(m.seed, drawOutingDay, 1<<48|angleDay(angler, noon))
	weights := a.waters
	if m.closed(noon) {
		weights[thistlecote] = 0
	}
	o := demoOuting{angler: angler, place: s.pick(weights[:])}
	w := m.waters[o.place]
	o.group, o.peg = target(s, w), w.Pegs[s.below(len(w.Pegs))].Number
	// The sun's times are asked for at a position on Earth in a year that the
	// equations cover.
	o.light, _ = solar.SunTimes(w.LatDeg, w.LonDeg, noon)
	length := time.Duration(math.Round(s.between(3, 6)*4)) * 15 * time.Minute
	first := o.light.Rise
	if y, mo, d := noon.Date(); first.Before(time.Date(y, mo, d, 5, 0, 0, 0, m.zone)) {
		first = time.Date(y, mo, d, 5, 0, 0, 0, m.zone)
	}
	slack := o.light.Set.Sub(first) - length
	if a.morning {
		slack = min(slack, 90*time.Minute)
	}
	const step = 5 * time.Minute
	o.start = first.Add(time.Duration(s.uniform() * float64(slack-step))).Truncate(step).Add(step).In(m.zone)
	o.end = o.start.Add(length)
	return o
}

func (m *demoMaker) closed(t time.Time) bool {
	return !t.Before(m.closure.From) && t.Before(m.closure.Until)
}

// The five matches: after how many months, and where.
var (
	matchMonths = []float64{1.5, 3.5, 5.5, 8, 10.5}
	matchPlaces = []int{quillmarsh, thistlecote, drovelow, quillmarsh, thistlecote}
)

const (
	matchStartHour = 10
	matchLength    = 5 * time.Hour
	fewestInMatch  = 6
)

func (m *demoMaker) matchOutings() []demoOuting {
	var all []demoOuting
	for i, month := range matchMonths {
		s := newDemoStream(m.seed, drawMatch, uint64(i))
		y, mo, d := m.yearFrom.Add(time.Duration(month / 12 * demoYearDays * 24 * float64(time.Hour))).In(m.zone).Date()
		start := time.Date(y, mo, d, matchStartHour, 0, 0, 0, m.zone)
		for start.Weekday() != time.Saturday {
			start = start.AddDate(0, 0, 1)
		}
		place := matchPlaces[i]
		if place == thistlecote && m.closed(start) {
			place = drovelow
		}
		w := m.waters[place]
		light, _ := solar.SunTimes(w.LatDeg, w.LonDeg, start)
		pegs := slices.Clone(w.Pegs)
		shuffle(s, pegs)
		members := m.members(start)
		shuffle(s, members)
		for j, angler := range members[:min(len(members), fewestInMatch+s.below(3))] {
			all = append(all, demoOuting{
				angler: angler, place: place, group: w.Groups[0], start: start, end: start.Add(matchLength),
				light: light, peg: pegs[j].Number, match: true,
			})
		}
	}
	return all
}

// members are those who are in the club at an instant.
func (m *demoMaker) members(t time.Time) []int {
	var in []int
	for i, a := range demoAnglers {
		first, last := a.stints[0].from, a.stints[len(a.stints)-1].until
		if month := m.month(t); month >= first && month < last {
			in = append(in, i)
		}
	}
	return in
}

// castDistance and depth are where a peg is fished: the pit asks for long casts.
func castDistance(s *demoStream, place int) model.Metres {
	low, high := 12.0, 25.0
	switch place {
	case quillmarsh:
		low, high = 35, 55
	case drovelow:
		low, high = 15, 30
	}
	return model.Metres(roundTo(s.between(low, high), 1))
}

func castDepth(s *demoStream, place int) model.Metres {
	ranges := [][2]float64{{3, 4.5}, {1.2, 2.2}, {1.5, 2}}
	return model.Metres(roundTo(s.between(ranges[place][0], ranges[place][1]), 0.1))
}
