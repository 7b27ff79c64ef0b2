//go:build load

package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"osier/model"
	"osier/model/store"
)

// The yardstick of the join. What it shares with an analytical engine's
// nearest-earlier-row join is this: for every whole hour of every session, and
// for each station of its water, the latest report at or before the hour and no
// older than half an hour, within which the hourly series takes a report for the
// hour as it is. (It would take a nearer one after the hour as well; the invented
// reports leave none.)
const asofReach = 30 * time.Minute

const (
	// asofSpan is how much weather is read at once, as much as a run of joined
	// sessions may hold.
	asofSpan = 180 * 24 * time.Hour
	// asofRegions is how many regions are held against the yardstick at most, so
	// that it takes minutes.
	asofRegions = 20
)

// asofSum is what a join found: how many rows, and the sum of a remainder of
// each, by the formula of .ci/asof/main.go.
type asofSum struct {
	Rows     int   `json:"rows"`
	Checksum int64 `json:"checksum"`
}

func (s *asofSum) add(session, station int, hour, at time.Time, windMps float64) {
	s.Rows++
	s.Checksum += (int64(session)*7919 + int64(station)*1299709 + hour.Unix()*104729 + at.Unix()*15485863 + int64(windMps*10)*32452843) % 2147483647
}

func (s *asofSum) plus(other asofSum) {
	s.Rows += other.Rows
	s.Checksum += other.Checksum
}

// sessionHour is a whole hour of a session.
type sessionHour struct {
	session int // counted through all regions
	at      time.Time
}

// asofOurs is the same work done by our means, and the seconds that each part
// took by some clock.
type asofOurs struct {
	clock                        func() float64
	reading                      float64 // sessions and reports, out of the store
	searching, merging, making   float64 // of the rows, from slices in memory
	searched, merged, fromSeries asofSum
	reports, wanted              *bufio.Writer // the yardstick's tables, where they are to be written
}

// lay does the work for one region, a span of its weather at a time.
func (o *asofOurs) lay(ctx context.Context, db *store.DB, r region) error {
	began := o.clock()
	sessions, err := db.Sessions(ctx, r.water().ID, "", r.now.AddDate(-r.years, 0, 0), r.now)
	if err != nil {
		return err
	}
	hours := hoursOf(sessions, r.number*r.sessions)
	o.reading += o.clock() - began
	written := make([]time.Time, regionStations) // up to where
	for len(hours) > 0 {
		span := hours
		if end := slices.IndexFunc(hours, func(h sessionHour) bool { return h.at.Sub(hours[0].at) > asofSpan }); end >= 0 {
			span = hours[:end]
		}
		for i, s := range r.stations() {
			began := o.clock()
			reports, err := db.Observations(ctx, s.Source, s.ID, span[0].at.Add(-24*time.Hour), span[len(span)-1].at)
			o.reading += o.clock() - began
			if err != nil {
				return err
			}
			station := regionStations*r.number + i
			o.search(span, station, reports)
			o.merge(span, station, reports)
			o.series(span, station, model.Near(r.water(), []model.Station{s}), reports)
			if o.wanted != nil {
				written[i] = o.write(span, station, reports, written[i])
			}
		}
		hours = hours[len(span):]
	}
	return nil
}

// hoursOf are the whole hours of sessions as the join reads them, in order of
// time: from the one that the first cast lies in up to the last wind-in.
func hoursOf(sessions []model.Session, first int) (hours []sessionHour) {
	slices.SortFunc(sessions, func(a, b model.Session) int { return a.Start.Compare(b.Start) })
	for i, s := range sessions {
		for at := s.Start.Truncate(time.Hour); at.Before(s.End); at = at.Add(time.Hour) {
			hours = append(hours, sessionHour{first + i, at})
		}
	}
	slices.SortStableFunc(hours, func(a, b sessionHour) int { return a.at.Compare(b.at) })
	return hours
}

// search finds the report of each hour as the program does for each value of an
// hour (the hourly series' joiner.at, which is no function of its own to call from
// here): by halves to three hours before it, and on from there.
func (o *asofOurs) search(hours []sessionHour, station int, reports []model.Observation) {
	began := o.clock()
	for _, h := range hours {
		next, _ := slices.BinarySearchFunc(reports, h.at.Add(-3*time.Hour), func(o model.Observation, t time.Time) int { return o.At.Compare(t) })
		o.searched.take(h, station, reports, upTo(h, reports, next))
	}
	o.searching += o.clock() - began
}

// merge goes through hours and reports side by side, the least that the work
// could take.
func (o *asofOurs) merge(hours []sessionHour, station int, reports []model.Observation) {
	began := o.clock()
	next := 0
	for _, h := range hours {
		next = upTo(h, reports, next)
		o.merged.take(h, station, reports, next)
	}
	o.merging += o.clock() - began
}

// upTo goes on from a report to the first one after an hour.
func upTo(h sessionHour, reports []model.Observation, next int) int {
	for next < len(reports) && !reports[next].At.After(h.at) {
		next++
	}
	return next
}

// take adds the report before the next one, if it is in reach of the hour.
func (s *asofSum) take(h sessionHour, station int, reports []model.Observation, next int) {
	if next > 0 && h.at.Sub(reports[next-1].At) <= asofReach {
		s.add(h.session, station, h.at, reports[next-1].At, float64(reports[next-1].WindMps.Value))
	}
}

// series has the program itself find them, within what it makes of them: the
// hourly series, which is nine values of every hour of the span, each with where
// it came from. One station at a time, so that each tells its own.
func (o *asofOurs) series(hours []sessionHour, station int, near []model.NearStation, reports []model.Observation) {
	began := o.clock()
	from, to := hours[0].at, hours[len(hours)-1].at
	in := model.Sources{Near: near, Observations: map[string][]model.Observation{model.StationKey(near[0].Source, near[0].ID): reports}}
	series := model.WeatherAt(in, from, to, to)
	for _, h := range hours {
		wind := series[h.at.Sub(from)/time.Hour].WindMps
		if wind.From.Kind == model.Observed {
			o.fromSeries.add(h.session, station, h.at, wind.From.At.Value, wind.Value)
		}
	}
	o.making += o.clock() - began
}

// write adds to the yardstick's tables, each report once.
func (o *asofOurs) write(hours []sessionHour, station int, reports []model.Observation, after time.Time) time.Time {
	for _, h := range hours {
		fmt.Fprintf(o.wanted, "%d,%d,%d\n", h.session, station, h.at.Unix())
	}
	for _, r := range reports {
		if r.At.After(after) {
			fmt.Fprintf(o.reports, "%d,%d,%g\n", station, r.At.Unix(), float64(r.WindMps.Value))
			after = r.At
		}
	}
	return after
}

// layAll does the work for all regions, so many at once.
func layAll(ctx context.Context, db *store.DB, regions []region, parts []asofOurs) (sum asofOurs, err error) {
	errs := make([]error, len(parts))
	var next atomic.Int64
	var all sync.WaitGroup
	for i := range parts {
		all.Go(func() {
			for n := int(next.Add(1)) - 1; n < len(regions) && errs[i] == nil; n = int(next.Add(1)) - 1 {
				errs[i] = parts[i].lay(ctx, db, regions[n])
			}
		})
	}
	all.Wait()
	for _, p := range parts { // each took its share of the time, all at once
		sum.reading += p.reading / float64(len(parts))
		sum.searching += p.searching / float64(len(parts))
		sum.merging += p.merging / float64(len(parts))
		sum.making += p.making / float64(len(parts))
		sum.searched.plus(p.searched)
		sum.merged.plus(p.merged)
		sum.fromSeries.plus(p.fromSeries)
	}
	return sum, errors.Join(errs...)
}
