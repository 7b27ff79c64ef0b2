package jobs

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"time"

	"golang.org/x/sync/errgroup"

	"osier/model"
	"osier/model/plan"
)

// choiceNotes are said with every choice.
var choiceNotes = []string{
	"These are no plans as issued: nothing here is kept or scored. Ask for the plan of the option you take; it may differ by then, as weather and records come in.",
	"Each interval is for one pair alone and holds what the fit does not know of waters, anglers and drivers. It does not hold the error of the weather forecast, which grows with every day ahead. Of many options some stand out by chance.",
}

// Choose says what the same outing promises at each of several waters on each
// of several days, and which of these can be told apart. Each option is what
// Plan would say now; none is issued. An option that no plan could be made for
// is listed with the reason; a water that is not known fails the whole.
func (p *Planner) Choose(ctx context.Context, q model.ChoiceQuestion) (model.Choice, error) {
	now := p.Now()
	if err := q.Validate(now); err != nil {
		return model.Choice{}, err
	}
	q = q.Plainly()
	reader, err := p.reading(ctx)
	if err != nil {
		return model.Choice{}, err
	}
	fit, err := fitInForce(ctx, reader.Store, q.Angler, now)
	if err != nil {
		return model.Choice{}, err
	}
	options, err := reader.weigh(ctx, q, fit, now)
	if err != nil {
		return model.Choice{}, err
	}
	c := model.Choice{
		IssuedAt: now, Question: q, Fit: fit.id, Options: []model.ChoiceOption{}, Refused: []model.ChoiceRefusal{},
		Notes: choiceNotes, Deferral: model.Deferral,
	}
	var considered []plan.Considered
	for _, o := range options {
		if o.refused != nil {
			c.Refused = append(c.Refused, *o.refused)
			continue
		}
		considered = append(considered, o.Considered)
		c.Options = append(c.Options, o.Option)
		c.Credits = append(c.Credits, o.credits...)
		c.Demo = c.Demo || o.Demo
	}
	slices.Sort(c.Credits)
	c.Credits = slices.Compact(c.Credits)
	c.Comparisons, c.Summary, err = plan.Compared(fit.fits[q.Group], considered)
	return c, err
}

// weighed is what one option came to: considered, or refused.
type weighed struct {
	plan.Considered
	credits []string
	refused *model.ChoiceRefusal
}

// weigh considers every water on every day, a few at a time, and gives them in
// order of time. Waters of different zones may begin a day in another order than
// they were named in.
func (p *Planner) weigh(ctx context.Context, q model.ChoiceQuestion, fit inForce, now time.Time) ([]weighed, error) {
	waters, err := p.waters(ctx, q.Waters)
	if err != nil {
		return nil, err
	}
	options := make([]weighed, q.Days*len(waters))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i := range options {
		day, w := i/len(waters), waters[i%len(waters)]
		group.Go(func() (err error) {
			if options[i], err = p.weighOne(ctx, q, w, day, fit, now); err != nil {
				return fmt.Errorf("%s on %s: %w", w.ID, q.Day(day), err)
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	// Those refused have no start, and stand first in the order they had.
	slices.SortStableFunc(options, func(a, b weighed) int {
		return cmp.Or(a.Option.Start.Compare(b.Option.Start), slices.Index(q.Waters, a.Option.Water)-slices.Index(q.Waters, b.Option.Water))
	})
	return options, nil
}

// waters are those named, in that order.
func (p *Planner) waters(ctx context.Context, ids []string) ([]model.Water, error) {
	var waters []model.Water
	for _, id := range ids {
		w, err := p.Store.Water(ctx, id)
		if err != nil {
			return nil, err
		}
		waters = append(waters, w)
	}
	return waters, nil
}

// weighOne considers one water on one day, or says why it cannot be.
func (p *Planner) weighOne(ctx context.Context, q model.ChoiceQuestion, w model.Water, day int, fit inForce, now time.Time) (weighed, error) {
	in, err := p.optionInput(ctx, q, w, day, fit, now)
	var o plan.Considered
	if err == nil {
		o, err = plan.Consider(in)
	}
	var refused *model.Error
	if errors.As(err, &refused) && refused.Code == model.Invalid {
		return weighed{refused: &model.ChoiceRefusal{
			Water: w.ID, WaterName: w.Name, Day: q.Day(day), Field: refused.Field, Wrong: refused.Wrong, Right: refused.Right,
		}}, nil
	}
	return weighed{Considered: o, credits: in.Around.Credits}, err
}

// optionInput reads everything that one option is made from.
func (p *Planner) optionInput(ctx context.Context, asked model.ChoiceQuestion, w model.Water, day int, fit inForce, now time.Time) (plan.Input, error) {
	if !w.Holds(asked.Group) {
		return plan.Input{}, model.Invalidf("group", fmt.Sprintf("name a group that is present: %v", w.Groups), "%s is not recorded at %s", asked.Group, w.ID)
	}
	q, err := asked.At(w, day)
	if err != nil {
		return plan.Input{}, err
	}
	if q.Start.Before(now.Add(-pastAllowed)) {
		return plan.Input{}, model.Invalidf("start_time", "give a later start or a later day", "%s is past", q.Start.Format("15:04 on Monday 2 January"))
	}
	return p.gather(ctx, q, fit, now)
}
