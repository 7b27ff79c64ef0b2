package jobs

import (
	"context"
	"slices"
	"sort"
	"sync"
	"time"

	"osier/model"
	"osier/model/plan"
)

// grounds are the sessions of one group that a plan may rest on, laid out so that
// it finds its own without looking at all of them.
type grounds struct {
	sessions int
	own      map[string][]*model.JoinedSession // by angler
	at       map[string]*groundsAt             // by water
}

// groundsAt are those at one water.
type groundsAt struct {
	sessions []*model.JoinedSession
	waterC   []model.Celsius // of those that know it, rising

	mu      sync.Mutex
	seasons map[float64]meanDay // by the day of the year, as far as asked for
}

// meanDay is the mean of so many days.
type meanDay struct {
	mean model.Drivers
	days int
}

func groundsFrom(read []*model.JoinedSession) *grounds {
	g := &grounds{sessions: len(read), own: map[string][]*model.JoinedSession{}, at: map[string]*groundsAt{}}
	for _, j := range read {
		g.own[j.Angler] = append(g.own[j.Angler], j)
		at := g.at[j.Water]
		if at == nil {
			at = &groundsAt{seasons: map[float64]meanDay{}}
			g.at[j.Water] = at
		}
		at.sessions = append(at.sessions, j)
		if c := j.Drivers.WaterC; c.Known {
			at.waterC = append(at.waterC, c.Value)
		}
	}
	for _, at := range g.at {
		slices.Sort(at.waterC)
	}
	return g
}

// alike is how many sessions at a water were in water about as warm.
func (g *grounds) alike(water string, day model.Drivers) int {
	at := g.at[water]
	if at == nil || !day.WaterC.Known {
		return 0
	}
	c := day.WaterC.Value
	first := sort.Search(len(at.waterC), func(i int) bool { return at.waterC[i]-c >= -similarC })
	last := sort.Search(len(at.waterC), func(i int) bool { return at.waterC[i]-c > similarC })
	return last - first
}

// season is the mean of the days at a water at that time of the year.
func (g *grounds) season(water string, dayOfYear float64) meanDay {
	at := g.at[water]
	if at == nil {
		return meanDay{}
	}
	at.mu.Lock()
	defer at.mu.Unlock()
	season, known := at.seasons[dayOfYear]
	if !known {
		var near []model.Drivers
		for _, j := range at.sessions {
			if daysApart(j.Drivers.DayOfYear, dayOfYear) <= usualDays {
				near = append(near, j.Drivers)
			}
		}
		season = meanDay{plan.MeanDay(model.Drivers{}, near), len(near)}
		at.seasons[dayOfYear] = season
	}
	return season
}

// groundsOf names grounds: those of the public fit, and of an angler's own where
// they have more.
type groundsOf struct {
	public string
	group  model.Group
	angler string
}

// publicGrounds are what the public fit has read.
type publicGrounds struct {
	*grounds
	read []*model.JoinedSession // as it read them
	over time.Time              // when the last session of the group ended, of all on record
	more map[string]bool        // anglers whose sessions are not what it has read
}

// grounds are those of a question. Where a session goes on beyond what the plan
// may know of, they are made for it alone.
func (p *Planner) grounds(ctx context.Context, q model.Question, fit inForce, now time.Time) (*grounds, error) {
	joined, err := p.Store.Joined(ctx)
	if err != nil {
		return nil, err
	}
	held, holds := p.Store.(*heldReads)
	if !holds {
		public, err := publicRead(ctx, p.Store, q.Group, fit)
		return groundsFrom(readable(joined, public, q, now)), err
	}
	key := groundsOf{public: fit.public, group: q.Group}
	public, err := held.public.get(held.room, key, func() (publicGrounds, int, error) {
		read, err := publicRead(ctx, p.Store, q.Group, fit)
		return publicGroundsFrom(joined, read, q.Group), recordsOf(joined), err
	})
	switch {
	case err != nil:
		return nil, err
	case public.over.After(earlier(q.Start, now)):
		return groundsFrom(readable(joined, public.read, q, now)), nil
	case !public.more[q.Angler]:
		return public.grounds, nil
	}
	key.angler = q.Angler
	return held.own.get(held.room, key, func() (*grounds, int, error) {
		return groundsFrom(readable(joined, public.read, q, now)), recordsOf(joined), nil
	})
}

func publicGroundsFrom(joined []model.JoinedSession, read []*model.JoinedSession, group model.Group) publicGrounds {
	out := publicGrounds{grounds: groundsFrom(read), read: read, more: map[string]bool{}}
	asNow := map[*model.JoinedSession]bool{}
	for _, j := range read {
		asNow[j] = false
	}
	for i := range joined {
		j := &joined[i]
		if j.Group != group || !j.Use {
			continue
		}
		if j.End.After(out.over) {
			out.over = j.End
		}
		if _, is := asNow[j]; is {
			asNow[j] = true
		} else {
			out.more[j.Angler] = true
		}
	}
	for j, is := range asNow {
		if j.End.After(out.over) {
			out.over = j.End
		}
		if !is {
			out.more[j.Angler] = true
		}
	}
	return out
}

// recordsOf is what grounds count for: some pointers for each session.
func recordsOf(joined []model.JoinedSession) int { return 1 + len(joined)/32 }
