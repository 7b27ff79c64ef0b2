package jobs

import (
	"math"
	"time"

	"osier/model"
	"osier/model/timing"
)

// ownWaits are the waiting times of an angler's own logged casts for a group at
// that time of year, and of how many sessions. Advice on the bank and the page
// about a session read the same.
func ownWaits(own []model.Session, group model.Group, at time.Time) (waits []timing.Wait, sessions int) {
	for _, o := range own {
		if o.Group != group || o.LearnAs() != model.FullLog || o.Excluded("") || o.Excluded("casts") ||
			daysApart(float64(o.Start.YearDay()), float64(at.YearDay())) > usualDays {
			continue
		}
		if more, _ := waitsOf(o); len(more) > 0 {
			waits = append(waits, more...)
			sessions++
		}
	}
	return waits, sessions
}

// waitsOf reads the casts of a log. A cast that tells nothing of waiting, such as
// one that was wound in at once, is left out.
func waitsOf(s model.Session) (waits []timing.Wait, notTimed int) {
	for _, c := range s.Casts {
		r := timing.CastRecord{
			Session: s.ID, Angler: s.Angler, Water: s.Water, SoakMin: c.Out.Sub(c.In).Minutes(),
			TrueBite: c.Outcome.TrueBite(), BiteMin: c.BiteMin.Value, Timing: precision(c.BiteMin),
		}
		wait, err := r.Wait()
		if err != nil {
			continue
		}
		waits = append(waits, wait)
		if r.TrueBite && r.Timing == timing.NotTimed {
			notTimed++
		}
	}
	return waits, notTimed
}

// liveWaits are those of a session that goes on, the cast in the water among
// them: it has waited until now.
func liveWaits(live model.Live, now time.Time) []timing.Wait {
	var waits []timing.Wait
	s := live.Session
	for _, k := range live.Soaks {
		r := timing.CastRecord{
			Session: s.ID, Angler: s.Angler, Water: s.Water, SoakMin: k.Min, TrueBite: k.BiteMin.Known, BiteMin: k.BiteMin.Value, Timing: precision(k.BiteMin),
		}
		if k.Open {
			r.SoakMin = math.Max(k.Min, now.Sub(k.From).Minutes())
		}
		if wait, err := r.Wait(); err == nil {
			waits = append(waits, wait)
		}
	}
	return waits
}

// precision is how a bite was timed: to the whole minute where it is one, since
// people round up.
func precision(biteMin model.Maybe[float64]) timing.Precision {
	switch {
	case !biteMin.Known:
		return timing.NotTimed
	case biteMin.Value == math.Trunc(biteMin.Value):
		return timing.WholeMinute
	}
	return timing.Exact
}
