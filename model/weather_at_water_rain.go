package model

import (
	"slices"
	"time"
)

// rain is the depth of the hour before, its even share of the report whose
// time covers it. That time ends at the whole hour nearest to the report:
// stations that report some minutes before the hour are common.
func (j *joiner) rain(hour time.Time) Reading {
	const longest = 24 * time.Hour
	for k := range j.ranked {
		s := &j.ranked[k]
		if !s.rains {
			continue
		}
		all, i := s.reports, s.around
		for ; i < len(all) && all[i].At.Before(hour.Add(-nearestReport)); i++ {
		}
		for ; i < len(all) && !all[i].At.After(hour.Add(longest)) && !all[i].At.After(j.now); i++ {
			r, until := all[i].Rain, all[i].At.Round(time.Hour)
			if !r.Known || r.Value.OverH < 1 || hour.Add(-time.Hour).Before(until.Add(-time.Duration(r.Value.OverH*float64(time.Hour)))) {
				continue
			}
			kind := Observed
			if r.Value.OverH > 1 {
				kind = Interpolated
			}
			return j.reading(s, stationValue{value: float64(r.Value.Mm) / r.Value.OverH, at: all[i].At, kind: kind})
		}
	}
	return missing()
}

// thunder is what the near stations heard in the hour up to At. One that heard
// it outranks any that did not, and a silence proves nothing.
func (j *joiner) thunder(hour time.Time) ThunderHour {
	t := ThunderHour{From: Provenance{Kind: Missing}}
	for k := range j.ranked {
		s := &j.ranked[k]
		if s.DistanceKm > thunderReachKm {
			continue
		}
		all, i := s.reports, s.around
		for ; i < len(all) && !all[i].At.After(hour.Add(-time.Hour)); i++ { // what was heard then belongs to the hour before
		}
		for ; i < len(all) && !all[i].At.After(hour) && !all[i].At.After(j.now); i++ {
			if louder(all[i].Thunder, t.Observed) {
				t.Observed = all[i].Thunder
				t.From = j.reading(s, stationValue{at: all[i].At, kind: Observed}).From
			}
		}
	}
	return t
}

func louder(a, b Thunder) bool {
	order := []Thunder{ThunderUnknown, ThunderNone, ThunderVicinity, ThunderRecent, ThunderNow}
	return slices.Index(order, a) > slices.Index(order, b)
}
