package jobs

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"osier/model"
)

// OutlookStore is what outlooks are made from, and where they are kept.
type OutlookStore interface {
	PlanStore
	Club(ctx context.Context, id string) (model.Club, error)
	Clubs(ctx context.Context, after string, limit int) ([]model.Club, error)
	AddDraft(ctx context.Context, k model.KeptOutlook) error
	ChangeDraft(ctx context.Context, k model.KeptOutlook, was []byte) error
	PublishOutlook(ctx context.Context, k model.KeptOutlook, was []byte) error
	Outlook(ctx context.Context, id string) (model.KeptOutlook, error)
	OutlookInForce(ctx context.Context, water, day string) (model.KeptOutlook, error)
	LastPublished(ctx context.Context, club string) (model.KeptOutlook, error)
	Outlooks(ctx context.Context, club string, state model.OutlookState, before time.Time, beforeID string, limit int) ([]model.KeptOutlook, error)
	OutlookScores(ctx context.Context, club, before string, limit int) (scores []model.KeptOutlookScore, next string, err error)
}

// Outlooker builds what clubs tell of their waters, and publishes it. It does not
// ask who edits and publishes: that is the door's to know.
type Outlooker struct {
	Store OutlookStore
	Now   func() time.Time
	// Spread has the clubs' drafts built by other programs too; by this one alone
	// when it is nil.
	Spread Spread
}

// UsualOutlookDays is today and the three days after; MostOutlookDays is as far as
// forecasts say anything of a day. Our choice.
const (
	UsualOutlookDays = 4
	MostOutlookDays  = 7
)

// Run builds a draft for every club that has waters, and counts them. One club's
// failure does not keep the others from theirs.
func (o *Outlooker) Run(ctx context.Context) (map[string]int, error) {
	clubs, err := allClubs(ctx, o.Store)
	if err != nil {
		return nil, err
	}
	spread := o.Spread
	if spread == nil {
		spread = Here
	}
	var ids []string
	for _, c := range clubs {
		if len(c.Waters) > 0 {
			ids = append(ids, c.ID)
		}
	}
	built, err := spread(ctx, o.Drafts(), ids)
	counts := map[string]int{"clubs": len(clubs), "without waters": len(clubs) - len(ids), "drafts": built["drafts"], "failed": len(ids) - built["drafts"]}
	maps.DeleteFunc(counts, func(name string, n int) bool { return n == 0 && name != "clubs" })
	return counts, err
}

// Drafts is the work of a run, a club a piece.
func (o *Outlooker) Drafts() Work {
	return Work{Name: "outlook", Do: func(ctx context.Context, club string) (map[string]int, error) {
		if _, err := o.Build(ctx, club, UsualOutlookDays); err != nil {
			return nil, err
		}
		return map[string]int{"drafts": 1}, nil
	}}
}

// Build makes a draft of a club's waters for so many days, from today on, or from
// tomorrow where today's light is over. It takes the place of the drafts that
// nobody edited; those that somebody did are kept, and tell of it.
func (o *Outlooker) Build(ctx context.Context, club string, days int) (model.Outlook, error) {
	c, err := o.Store.Club(ctx, club)
	if err != nil {
		return model.Outlook{}, err
	}
	if days < 1 || days > MostOutlookDays {
		return model.Outlook{}, model.Invalidf("days", fmt.Sprintf("give 1 to %d days", MostOutlookDays), "%d days cannot be told of", days)
	}
	if len(c.Waters) == 0 {
		return model.Outlook{}, model.Invalidf("club", "give the club its waters first", "%s has no waters", c.ID)
	}
	built, basis, err := o.build(ctx, c, days)
	if err != nil {
		return built, err
	}
	k, err := built.Keep(basis)
	if err != nil {
		return built, err
	}
	k.ID = outlookID(k.Body)
	if k, err = k.Outlook.Keep(basis); err != nil {
		return built, err
	}
	if err := o.Store.AddDraft(ctx, k); err != nil {
		return built, err
	}
	return o.Outlook(ctx, club, k.ID)
}

// Edit changes the club's own words in a draft.
func (o *Outlooker) Edit(ctx context.Context, club, id string, change model.OutlookChange) (model.Outlook, error) {
	was, err := o.of(ctx, club, id)
	if err != nil {
		return was.Outlook, err
	}
	if was.State == model.OutlookPublished {
		return was.Outlook, &model.Error{
			Code: model.Conflict, Field: "outlook", Wrong: fmt.Sprintf("%s was published at %s and never changes", id, was.Publish.At.Format(time.RFC3339)),
			Right: "build another and publish it: it supersedes this one",
		}
	}
	now, basis, err := o.refreshed(ctx, was)
	if err != nil {
		return was.Outlook, err
	}
	changed, err := now.Changed(change, o.Now())
	if err != nil {
		return was.Outlook, err
	}
	k, err := changed.Keep(basis)
	if err != nil {
		return was.Outlook, err
	}
	if err := o.Store.ChangeDraft(ctx, k, was.Body); err != nil {
		return was.Outlook, err
	}
	return o.Outlook(ctx, club, id)
}

// Publish publishes a draft, with the restrictions that are in force. From then on
// it keeps its bytes. One that is published already is recognised and stays as it
// is; fresh says whether it was published now.
func (o *Outlooker) Publish(ctx context.Context, club, id, by string) (published model.Outlook, fresh bool, err error) {
	if err := model.ValidateHandle("by", by); err != nil {
		return model.Outlook{}, false, err
	}
	was, err := o.of(ctx, club, id)
	if err != nil {
		return was.Outlook, false, err
	}
	if was.State == model.OutlookPublished {
		published, err = o.Outlook(ctx, club, id)
		return published, false, err
	}
	now, basis, err := o.refreshed(ctx, was)
	if err != nil {
		return was.Outlook, false, err
	}
	if until := lastHour(now); !until.After(o.Now()) {
		return was.Outlook, false, &model.Error{Code: model.Conflict, Field: "outlook", Wrong: "the hours that " + id + " is about are over", Right: "build another"}
	}
	now.State, now.Publish = model.OutlookPublished, &model.OutlookPublish{At: o.Now().UTC().Truncate(time.Second), By: by}
	last, err := o.Store.LastPublished(ctx, club)
	switch {
	case err == nil && shareDays(last.Outlook, now):
		now.Follows = last.ID
	case err != nil && model.CodeOf(err) != model.NotFound:
		return was.Outlook, false, err
	}
	k, err := now.Keep(basis)
	if err != nil {
		return was.Outlook, false, err
	}
	if err := o.Store.PublishOutlook(ctx, k, was.Body); err != nil {
		return o.publishedMeanwhile(ctx, club, id, err)
	}
	published, err = o.Outlook(ctx, club, id)
	return published, true, err
}

// publishedMeanwhile answers the second of two who published at once as if it had
// come a moment later.
func (o *Outlooker) publishedMeanwhile(ctx context.Context, club, id string, refused error) (model.Outlook, bool, error) {
	if model.CodeOf(refused) != model.Conflict {
		return model.Outlook{}, false, refused
	}
	found, err := o.Outlook(ctx, club, id)
	if err == nil && found.State != model.OutlookPublished {
		err = refused
	}
	return found, false, err
}

// of finds an outlook of a club; another club's is not found.
func (o *Outlooker) of(ctx context.Context, club, id string) (model.KeptOutlook, error) {
	k, err := o.Store.Outlook(ctx, id)
	if err == nil && k.Club != club {
		err = model.NotFoundf("outlook", "", "%s has no outlook %q", club, id)
	}
	if err != nil {
		return model.KeptOutlook{}, err
	}
	return k, nil
}

func lastHour(o model.Outlook) time.Time {
	var last time.Time
	for _, w := range o.Waters {
		for _, d := range w.Days {
			if d.Until.After(last) {
				last = d.Until
			}
		}
	}
	return last
}

// shareDays says whether two outlooks tell of the same water on the same day.
func shareDays(a, b model.Outlook) bool {
	told := map[string]bool{}
	for _, w := range a.Waters {
		for _, d := range w.Days {
			told[w.Water+" "+d.Date] = true
		}
	}
	return slices.ContainsFunc(b.Waters, func(w model.OutlookWater) bool {
		return slices.ContainsFunc(w.Days, func(d model.OutlookDay) bool { return told[w.Water+" "+d.Date] })
	})
}
