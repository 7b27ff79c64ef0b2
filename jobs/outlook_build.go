package jobs

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"runtime"
	"slices"
	"time"

	"golang.org/x/sync/errgroup"

	"osier/model"
	"osier/model/plan"
)

// outlookID names a draft by everything in it, the time among it.
func outlookID(body []byte) string {
	sum := sha256.Sum256(body)
	return "o-" + hex.EncodeToString(sum[:8])
}

// build makes an outlook of a club's waters, unnamed.
func (o *Outlooker) build(ctx context.Context, c model.Club, days int) (model.Outlook, []model.OutlookBasis, error) {
	now := o.Now()
	zone, err := c.Location()
	if err != nil {
		return model.Outlook{}, nil, err
	}
	waters, err := o.planner().waters(ctx, c.Waters)
	if err != nil {
		return model.Outlook{}, nil, err
	}
	first, err := firstDay(waters, now.In(zone), now)
	if err != nil {
		return model.Outlook{}, nil, err
	}
	built, err := o.buildWaters(ctx, waters, first, days)
	if err != nil {
		return model.Outlook{}, nil, err
	}
	out := model.Outlook{
		Club: c.ID, ClubName: c.Name, Zone: c.Zone, State: model.OutlookDraft, From: first.Format(time.DateOnly), Days: days,
		BuiltAt: now.UTC().Truncate(time.Second), Fit: built.fit, Waters: built.waters, Notes: plan.OutlookNotes(),
		Credits: built.credits, Deferral: model.Deferral, Demo: c.Demo || built.demo,
	}
	return out, built.basis, nil
}

// planner reads what an outlook is made from, and what all its parts read alike
// only once.
func (o *Outlooker) planner() *Planner {
	return &Planner{Store: newReadOnce(o.Store), Now: o.Now}
}

// firstDay is the first day, from today on, of which any water has hours left.
func firstDay(waters []model.Water, today, now time.Time) (time.Time, error) {
	for _, w := range waters {
		_, _, left, err := plan.OutlookHours(w, today, now)
		if err != nil {
			return today, err
		}
		if left {
			return today, nil
		}
	}
	return today.AddDate(0, 0, 1), nil
}

// builtWaters is what several waters came to.
type builtWaters struct {
	fit     string
	waters  []model.OutlookWater
	basis   []model.OutlookBasis
	credits []string
	demo    bool
}

// buildWaters makes the part of each water, a few at a time, in the order given.
func (o *Outlooker) buildWaters(ctx context.Context, waters []model.Water, first time.Time, days int) (builtWaters, error) {
	planner, now := o.planner(), o.Now()
	fit, err := fitInForce(ctx, planner.Store, "", now)
	if err != nil {
		return builtWaters{}, err
	}
	parts := make([]builtWater, len(waters))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i, w := range waters {
		group.Go(func() (err error) {
			if parts[i], err = planner.outlookWater(ctx, w, first, days, fit, now); err != nil {
				return fmt.Errorf("outlook of %s: %w", w.ID, err)
			}
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return builtWaters{}, err
	}
	out := builtWaters{fit: fit.id}
	for i, p := range parts {
		out.waters = append(out.waters, p.water)
		out.basis = append(out.basis, p.basis...)
		out.credits = append(out.credits, p.credits...)
		out.demo = out.demo || waters[i].Demo
	}
	slices.Sort(out.credits)
	out.credits = slices.Compact(out.credits)
	return out, nil
}

// builtWater is what one water came to.
type builtWater struct {
	water   model.OutlookWater
	basis   []model.OutlookBasis
	credits []string
}

// outlookWater makes one water's part: its weather is read once for all its days.
func (p *Planner) outlookWater(ctx context.Context, w model.Water, first time.Time, days int, fit inForce, now time.Time) (builtWater, error) {
	out := builtWater{water: model.OutlookWater{Water: w.ID, Name: w.Name, Zone: w.Zone, Restrictions: []model.Restriction{}, Days: []model.OutlookDay{}}}
	spans, err := outlookSpans(w, first, days, now)
	if err != nil || len(spans) == 0 {
		return out, err
	}
	begin, end := spans[0].from, spans[len(spans)-1].until
	weather, err := loadWeather(ctx, p.Store, w, "", begin, end.Add(afterwards), now)
	if err != nil {
		return out, err
	}
	restrictions, err := restrictionsIn(ctx, p.Store, w.ID, begin, end)
	if err != nil {
		return out, err
	}
	out.water.Restrictions = append(out.water.Restrictions, restrictions...)
	for _, s := range spans {
		in, err := p.outlookInput(ctx, w, weather, s, fit, now)
		if err != nil {
			return out, err
		}
		day, basis, err := plan.Outlook(in)
		if err != nil {
			return out, err
		}
		out.water.Days, out.basis = append(out.water.Days, day), append(out.basis, basis...)
		out.credits = append(out.credits, in.Groups[0].Around.Credits...)
	}
	return out, nil
}

// outlookSpan is the hours of one day that an outlook is about.
type outlookSpan struct {
	date        string
	from, until time.Time
}

func outlookSpans(w model.Water, first time.Time, days int, now time.Time) ([]outlookSpan, error) {
	var spans []outlookSpan
	for i := range days {
		day := first.AddDate(0, 0, i)
		from, until, left, err := plan.OutlookHours(w, day, now)
		if err != nil {
			return nil, err
		}
		if left {
			spans = append(spans, outlookSpan{day.Format(time.DateOnly), from, until})
		}
	}
	return spans, nil
}

// outlookInput reads what a day of a water is made from: the question for each
// group, by nobody who is known.
func (p *Planner) outlookInput(ctx context.Context, w model.Water, weather loaded, s outlookSpan, fit inForce, now time.Time) (plan.OutlookInput, error) {
	out := plan.OutlookInput{Date: s.date}
	around, err := p.surroundings(ctx, w, weather, s.from, s.until, now)
	if err != nil {
		return out, err
	}
	for _, g := range w.Groups {
		q := model.Question{Water: w.ID, Start: s.from, Hours: s.until.Sub(s.from).Hours(), Group: g, Mode: "pleasure"}
		in, err := p.gatherRecords(ctx, plan.Input{
			Question: q, History: weather.history, Around: around, FitID: fit.id, Fit: fit.fits[g], FeedSeed: feedSeed(q),
		}, fit, now)
		if err != nil {
			return out, err
		}
		out.Groups = append(out.Groups, in)
	}
	return out, nil
}

// refreshed is a draft as it would be published now: built anew, its notes kept,
// where the restrictions at its waters are no longer those it tells.
func (o *Outlooker) refreshed(ctx context.Context, k model.KeptOutlook) (model.Outlook, []model.OutlookBasis, error) {
	told := true
	for _, w := range k.Waters {
		if len(w.Days) == 0 {
			continue
		}
		now, err := restrictionsIn(ctx, o.Store, w.Water, w.Days[0].From, w.Days[len(w.Days)-1].Until)
		if err != nil {
			return k.Outlook, nil, err
		}
		told = told && slices.Equal(now, w.Restrictions)
	}
	if told {
		return k.Outlook, k.Basis, nil
	}
	return o.rebuilt(ctx, k.Outlook)
}

func (o *Outlooker) rebuilt(ctx context.Context, draft model.Outlook) (model.Outlook, []model.OutlookBasis, error) {
	ids := make([]string, len(draft.Waters))
	for i, w := range draft.Waters {
		ids[i] = w.Water
	}
	waters, err := o.planner().waters(ctx, ids)
	if err != nil {
		return draft, nil, err
	}
	first, err := time.Parse(time.DateOnly, draft.From)
	if err != nil {
		return draft, nil, fmt.Errorf("the first day of %s: %w", draft.ID, err)
	}
	built, err := o.buildWaters(ctx, waters, first, draft.Days)
	if err != nil {
		return draft, nil, err
	}
	for i := range built.waters {
		built.waters[i].Note = draft.Waters[i].Note
	}
	draft.BuiltAt, draft.Fit, draft.Waters, draft.Credits = o.Now().UTC().Truncate(time.Second), built.fit, built.waters, built.credits
	return draft, built.basis, nil
}
