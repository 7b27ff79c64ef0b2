package main

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"time"

	"golang.org/x/sync/errgroup"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

// demoEveningHour is when the anglers of the invented club ask for a plan of the
// day to come, on their own clocks.
const demoEveningHour = 20

// liveThroughDemo takes the invented club through its year: its sessions are
// planned as they come, learnt from and scored.
func (a *app) liveThroughDemo(ctx context.Context, db *store.DB, world demoWorld) error {
	if err := a.joinDemo(ctx, db); err != nil {
		return err
	}
	if err := a.followPlans(ctx, db, world); err != nil {
		return err
	}
	if err := a.learnDemo(ctx, db); err != nil {
		return err
	}
	return a.scorePlans(ctx, db)
}

// followPlans lets the invented club ask for plans: for each session that was
// recorded one is issued on the evening before, from what was known then, and the
// record names it and counts as entered when it was written. No fit had been made
// then: all of these plans stand on the prior.
func (a *app) followPlans(ctx context.Context, db *store.DB, world demoWorld) error {
	past, err := readPast(ctx, db, world, a.now())
	if err != nil {
		return err
	}
	followed := slices.Clone(past.sessions)
	// Plans are made side by side: none of them reads another.
	side, planning := errgroup.WithContext(ctx)
	side.SetLimit(runtime.GOMAXPROCS(0))
	for i := range followed {
		side.Go(func() error {
			s := &followed[i]
			evening := eveningBefore(*s)
			planner := jobs.Planner{Store: past.on(evening), Now: func() time.Time { return evening }}
			p, err := planner.Plan(planning, askedBefore(*s))
			if err != nil {
				return fmt.Errorf("plan the invented session %s: %w", s.ID, err)
			}
			s.PlanID = p.ID
			return nil
		})
	}
	if err := side.Wait(); err != nil {
		return err
	}
	for _, s := range followed {
		if s.EnteredAt = s.WrittenAt.Or(s.End); s.EnteredAt.After(a.now()) {
			s.EnteredAt = a.now()
		}
		_, version, err := db.Session(ctx, s.ID)
		if err != nil {
			return err
		}
		if err := db.ReplaceSession(ctx, s, version); err != nil {
			return err
		}
	}
	return nil
}

// planInSpells asks RJ's question for a day of the last frosty days, and for one on
// which the pool was closed in the heat, each on the evening before.
func (a *app) planInSpells(ctx context.Context, db *store.DB, world demoWorld) (frost, closed model.Plan, err error) {
	past, err := readPast(ctx, db, world, a.now())
	if err != nil {
		return frost, closed, err
	}
	ask := func(place int, group model.Group, day time.Time) (model.Plan, error) {
		q := world.question(day.AddDate(0, 0, -1))
		q.Water, q.Group = world.Waters[place].ID, group
		evening := eveningBefore(model.Session{Start: q.Start})
		return (&jobs.Planner{Store: past.on(evening), Now: func() time.Time { return evening }}).Plan(ctx, q)
	}
	if frost, err = ask(quillmarsh, model.Bream, lastDate(world.Truth.Now, time.January, frostDay+5)); err != nil {
		return frost, closed, fmt.Errorf("plan a day of the invented frost: %w", err)
	}
	if closed, err = ask(thistlecote, model.Carp, world.Truth.Closure.From.AddDate(0, 0, 3)); err != nil {
		return frost, closed, fmt.Errorf("plan a day of the invented closure: %w", err)
	}
	return frost, closed, nil
}

func eveningBefore(s model.Session) time.Time {
	year, month, day := s.Start.Date()
	return time.Date(year, month, day-1, demoEveningHour, 0, 0, 0, s.Start.Location())
}

// askedBefore is what an angler asks before a session.
func askedBefore(s model.Session) model.Question {
	q := model.Question{
		Water: s.Water, Start: s.Start, Hours: s.End.Sub(s.Start).Hours(), Group: s.Group, Angler: s.Angler, DistanceM: s.DistanceM, Mode: "pleasure",
	}
	if s.Notes == demoMatchNote {
		q.Mode = "match"
	}
	return q
}

// scorePlans scores the plans that were followed as the schedule would have: by
// the end of each month, so that each session has its place in the public record.
func (a *app) scorePlans(ctx context.Context, db *store.DB) error {
	now := a.now().UTC()
	for back := 12; back >= 0; back-- {
		clock := func() time.Time { return time.Date(now.Year(), now.Month()-time.Month(back), 1, 0, 0, -1, 0, time.UTC) }
		if _, err := (&jobs.Scorer{Store: db, Now: clock}).Run(ctx); err != nil {
			return fmt.Errorf("score the invented plans: %w", err)
		}
	}
	_, err := jobs.RunJob(ctx, db, a.now, jobs.ScoreJob(&jobs.Scorer{Store: db, Now: a.now}))
	return err
}
