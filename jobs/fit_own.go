package jobs

import (
	"context"

	"osier/model"
)

// own brings an angler's own fit up to date: the public sessions and all of
// theirs. It is made anew where any of them, or the public fit, changed.
func (f *Fitter) own(ctx context.Context, angler string, read, own []fitSession, public model.FitRecord, out *Fits) (model.FitRecord, error) {
	old, held, err := f.latest(ctx, angler)
	if err != nil {
		return old, err
	}
	record := describe(model.FitRecord{Angler: angler, Public: public.ID}, read)
	if held && record.Data == old.Data && old.Public == public.ID && stillRead(old) {
		return old, nil
	}
	f.tell("the fit of %s: %d sessions of their own beside the public ones", angler, len(own))
	if !held {
		// The spread of the public fit is the best start there is.
		old.Body, old.RenewedAt, old.RenewedSessions = public.Body, public.RenewedAt, public.RenewedSessions
		held = public.Sessions > 0
	}
	if record, err = f.renewOrUpdate(old, held, record, read, out); err != nil {
		return record, err
	}
	return record, f.Store.AddFit(ctx, record)
}
