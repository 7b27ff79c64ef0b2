package jobs

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"osier/model"
	"osier/model/plan"
)

// Club finds one club.
func (o *Outlooker) Club(ctx context.Context, id string) (model.Club, error) {
	return o.Store.Club(ctx, id)
}

// Clubs lists clubs by identifier, a page at a time.
func (o *Outlooker) Clubs(ctx context.Context, after string, limit int) ([]model.Club, error) {
	return o.Store.Clubs(ctx, after, limit)
}

// Outlook finds one outlook of a club. A published one is as it was published, and
// beside it stand what superseded it, what clubs decided since about its hours and
// how its days fared. A draft is as it would be published now, and beside it
// stands a newer one where there is one.
func (o *Outlooker) Outlook(ctx context.Context, club, id string) (model.Outlook, error) {
	k, err := o.KeptOutlook(ctx, club, id)
	return k.Outlook, err
}

// KeptOutlook is Outlook with the very bytes that are kept.
func (o *Outlooker) KeptOutlook(ctx context.Context, club, id string) (model.KeptOutlook, error) {
	k, err := o.of(ctx, club, id)
	if err != nil {
		return k, err
	}
	if k.State == model.OutlookPublished {
		return o.beside(ctx, k)
	}
	draft, _, err := o.refreshed(ctx, k)
	if err != nil {
		return k, err
	}
	newest, err := o.Store.Outlooks(ctx, club, model.OutlookDraft, time.Time{}, "", 1)
	if err != nil {
		return k, err
	}
	if len(newest) > 0 && newest[0].ID != id && newest[0].BuiltAt.After(k.BuiltAt) {
		draft.NewerDraft = newest[0].ID
	}
	k.Outlook = draft
	return k, nil
}

// beside adds to a published outlook what is told beside it.
func (o *Outlooker) beside(ctx context.Context, k model.KeptOutlook) (model.KeptOutlook, error) {
	for _, w := range k.Waters {
		if len(w.Days) == 0 {
			continue
		}
		made, err := o.Store.Restrictions(ctx, w.Water, w.Days[0].From, w.Days[len(w.Days)-1].Until)
		if err != nil {
			return k, err
		}
		k.SincePublished = append(k.SincePublished, k.Since(made)...)
	}
	var err error
	k.Scores, err = o.scoresOf(ctx, k.Outlook)
	return k, err
}

// scoresOf are the scores of an outlook's own days.
func (o *Outlooker) scoresOf(ctx context.Context, told model.Outlook) ([]model.OutlookScore, error) {
	const page = 100
	var out []model.OutlookScore
	for before := ""; ; {
		scores, next, err := o.Store.OutlookScores(ctx, told.Club, before, page)
		if err != nil {
			return nil, err
		}
		for _, s := range scores {
			if s.Outlook == told.ID {
				out = append(out, s.OutlookScore)
			}
		}
		// They come newest first, and none of this outlook is older than its first day.
		if len(scores) < page || scores[page-1].Date < told.From[:len("2026-11")] {
			return out, nil
		}
		before = next
	}
}

// Outlooks lists a club's outlooks of a state, or of both where none is named, the
// newest first, a page at a time. next is where the page after begins, empty on
// the last.
func (o *Outlooker) Outlooks(ctx context.Context, club string, state model.OutlookState, after string, limit int) (page []model.OutlookEntry, next string, err error) {
	if _, err := o.Store.Club(ctx, club); err != nil {
		return nil, "", err
	}
	var before time.Time
	id := ""
	if after != "" {
		if before, id, err = outlookCursor(after); err != nil {
			return nil, "", err
		}
	}
	found, err := o.Store.Outlooks(ctx, club, state, before, id, limit+1)
	if err != nil {
		return nil, "", err
	}
	for _, k := range found[:min(limit, len(found))] {
		page = append(page, k.Entry())
	}
	if len(found) > limit {
		last := found[limit-1]
		next = fmt.Sprintf("%d.%s", listedAt(last.Outlook).Unix(), last.ID)
	}
	return page, next, nil
}

// listedAt is when an outlook took its place in the list.
func listedAt(o model.Outlook) time.Time {
	if o.Publish != nil {
		return o.Publish.At
	}
	return o.BuiltAt
}

func outlookCursor(after string) (before time.Time, id string, err error) {
	seconds, id, ok := strings.Cut(after, ".")
	n, err := strconv.ParseInt(seconds, 10, 64)
	if !ok || err != nil || id == "" {
		return before, "", model.Invalidf("after", "give the `next` of the page before", "%q is no place in the list", after)
	}
	return time.Unix(n, 0), id, nil
}

// OutlookScores lists how a club's outlooks fared, the newest day first, a page at
// a time.
func (o *Outlooker) OutlookScores(ctx context.Context, club, after string, limit int) (page []model.OutlookScore, next string, err error) {
	if _, err := o.Store.Club(ctx, club); err != nil {
		return nil, "", err
	}
	found, last, err := o.Store.OutlookScores(ctx, club, after, limit)
	if err != nil {
		return nil, "", err
	}
	for _, s := range found {
		page = append(page, s.OutlookScore)
	}
	if len(found) == limit {
		more, _, err := o.Store.OutlookScores(ctx, club, last, 1)
		if err != nil {
			return nil, "", err
		}
		if len(more) > 0 {
			next = last
		}
	}
	return page, next, nil
}

// WaterOutlook is what is in force for a water for so many days: of each day what
// was published last, with what was decided since, or, where nothing was, what
// would be built now. Nothing is kept of the latter.
func (o *Outlooker) WaterOutlook(ctx context.Context, water string, days int) (model.WaterOutlook, error) {
	w, err := o.Store.Water(ctx, water)
	if err != nil {
		return model.WaterOutlook{}, err
	}
	if days < 1 || days > MostOutlookDays {
		return model.WaterOutlook{}, model.Invalidf("days", fmt.Sprintf("give 1 to %d days", MostOutlookDays), "%d days cannot be told of", days)
	}
	zone, err := w.Location()
	if err != nil {
		return model.WaterOutlook{}, err
	}
	now := o.Now()
	first, err := firstDay([]model.Water{w}, now.In(zone), now)
	if err != nil {
		return model.WaterOutlook{}, err
	}
	out := model.WaterOutlook{
		Water: w.ID, Name: w.Name, Zone: w.Zone, AskedAt: now.UTC().Truncate(time.Second), Days: []model.WaterOutlookDay{},
		Notes: plan.OutlookNotes(), Deferral: model.Deferral, Demo: w.Demo,
	}
	var unpublished map[string]model.WaterOutlookDay
	for i := range days {
		date := first.AddDate(0, 0, i).Format(time.DateOnly)
		day, credits, found, err := o.publishedDay(ctx, w.ID, date)
		if err != nil {
			return out, err
		}
		if !found {
			if unpublished == nil { // built once for all days that have none
				if unpublished, credits, err = o.unpublishedDays(ctx, w, first, days); err != nil {
					return out, err
				}
			}
			if day, found = unpublished[date]; !found {
				continue // its hours are over
			}
		}
		out.Days, out.Credits = append(out.Days, day), append(out.Credits, credits...)
	}
	slices.Sort(out.Credits)
	out.Credits = slices.Compact(out.Credits)
	return out, nil
}

// publishedDay is a day of what is in force, as it is now.
func (o *Outlooker) publishedDay(ctx context.Context, water, date string) (day model.WaterOutlookDay, credits []string, found bool, err error) {
	k, err := o.Store.OutlookInForce(ctx, water, date)
	if model.CodeOf(err) == model.NotFound {
		return day, nil, false, nil
	}
	if err != nil {
		return day, nil, false, err
	}
	if k, err = o.beside(ctx, k); err != nil {
		return day, nil, false, err
	}
	day = model.WaterOutlookDay{
		Published: true, Outlook: k.ID, Club: k.Club, ClubName: k.ClubName, Publish: k.Publish, BuiltAt: k.BuiltAt, Fit: k.Fit,
		Since: []model.OutlookSince{}, Note: k.Note,
	}
	for _, w := range k.AsNow().Waters {
		if w.Water != water {
			continue
		}
		day.WaterNote = w.Note
		for _, d := range w.Days {
			if d.Date == date {
				day.Day, found = d, true
			}
		}
	}
	for _, s := range k.SincePublished {
		if _, _, holds := s.Restriction.Within(day.Day.From, day.Day.Until); s.Water == water && (holds || s.Restriction.LiftedAt.Known) {
			day.Since = append(day.Since, s)
		}
	}
	return day, k.Credits, found, nil
}

func (o *Outlooker) unpublishedDays(ctx context.Context, w model.Water, first time.Time, days int) (map[string]model.WaterOutlookDay, []string, error) {
	built, err := o.buildWaters(ctx, []model.Water{w}, first, days)
	if err != nil {
		return nil, nil, err
	}
	out := map[string]model.WaterOutlookDay{}
	for _, d := range built.waters[0].Days {
		out[d.Date] = model.WaterOutlookDay{BuiltAt: o.Now().UTC().Truncate(time.Second), Fit: built.fit, Since: []model.OutlookSince{}, Day: d}
	}
	return out, built.credits, nil
}
