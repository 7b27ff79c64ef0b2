package jobs

import (
	"context"
	"time"

	"osier/model"
)

// PrivacyStore gathers what is an angler's, and deletes it.
type PrivacyStore interface {
	AnglerRecords(ctx context.Context, angler string) (model.AnglerRecords, error)
	ForgetAngler(ctx context.Context, angler string, at time.Time) (model.Erasure, error)
	ForgetFits(ctx context.Context, angler string, keep []string) (gone []string, err error)
	Mentions(ctx context.Context, angler string) (map[string]int, error)
}

// Privacy hands people what is stored of them, and forgets them.
type Privacy struct {
	Store PrivacyStore
	Now   func() time.Time
	Fit   *Fitter
	Demo  bool // all that is kept is invented
}

// records refuses a handle of whom nothing is stored.
func (p *Privacy) records(ctx context.Context, angler string) (model.AnglerRecords, error) {
	if err := model.ValidateHandle("angler", angler); err != nil {
		return model.AnglerRecords{}, err
	}
	records, err := p.Store.AnglerRecords(ctx, angler)
	if err == nil && records.Empty() {
		err = model.NotFoundf("angler", "", "nothing is stored of an angler %q", angler)
	}
	records.At = p.Now()
	return records, err
}

// Forget deletes everything of an angler, makes the fits anew without their
// sessions, deletes those that read them, and gives a receipt. Consent withdrawn
// means a refit and not a figure hidden (statistics pack 6). Plans and outlooks
// of others stay as they were issued: they hold nothing of one angler.
//
// What is cut off half way is gone from the records and not yet from the old
// fits; forgetting the same angler again then finishes it.
func (p *Privacy) Forget(ctx context.Context, angler string) (model.Erasure, error) {
	known, err := p.known(ctx, angler)
	if err != nil {
		return model.Erasure{}, err
	}
	if !known {
		return model.Erasure{}, model.NotFoundf("angler", "", "nothing is stored of an angler %q", angler)
	}
	receipt, err := p.Store.ForgetAngler(ctx, angler, p.Now())
	receipt.Demo = p.Demo
	if err != nil {
		return receipt, err
	}
	fits, err := p.Fit.Run(ctx)
	if err != nil {
		return receipt, err
	}
	keep := []string{fits.Public.ID}
	for _, own := range fits.Own {
		keep = append(keep, own.ID)
	}
	receipt.PublicFit = fits.Public.ID
	gone, err := p.Store.ForgetFits(ctx, angler, keep)
	if err != nil {
		return receipt, err
	}
	receipt.Fits = append(receipt.Fits, gone...)
	if receipt.Left, err = p.Store.Mentions(ctx, angler); err != nil {
		return receipt, err
	}
	return receipt.Sealed(angler)
}

// known says whether anything of an angler is to be forgotten, old fits that
// read their sessions included.
func (p *Privacy) known(ctx context.Context, angler string) (bool, error) {
	if _, err := p.records(ctx, angler); err == nil || model.CodeOf(err) != model.NotFound {
		return err == nil, err
	}
	left, err := p.Store.Mentions(ctx, angler)
	return left["fits"] > 0, err
}
