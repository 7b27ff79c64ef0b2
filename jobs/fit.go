package jobs

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/plan"
)

// FitZero names the prior alone, which always answers.
const FitZero = "fit-0"

// FitStore is what fitting reads, and where fits are kept.
type FitStore interface {
	Joined(ctx context.Context) ([]model.JoinedSession, error)
	LatestFit(ctx context.Context, at time.Time) (model.FitRecord, error)
	AddFit(ctx context.Context, f model.FitRecord) error
}

// Fitter fits the activity model to the joined sessions.
type Fitter struct {
	Store FitStore
	Now   func() time.Time
}

// Run makes a fit and keeps it when it differs from the one in force.
func (f *Fitter) Run(ctx context.Context) (model.FitRecord, error) {
	joined, err := f.Store.Joined(ctx)
	if err != nil {
		return model.FitRecord{}, err
	}
	record, err := makeFit(joined, f.Now())
	if err != nil {
		return model.FitRecord{}, err
	}
	old, err := f.Store.LatestFit(ctx, f.Now())
	if err == nil && old.ID == record.ID {
		return old, nil
	}
	if err != nil && model.CodeOf(err) != model.NotFound {
		return model.FitRecord{}, err
	}
	return record, f.Store.AddFit(ctx, record)
}

// makeFit fits every group by itself: what bites say of carp says little of
// roach, and each has its own prior.
func makeFit(joined []model.JoinedSession, now time.Time) (model.FitRecord, error) {
	record := model.FitRecord{MadeAt: now, Converged: true}
	rows := map[model.Group][]activity.SessionRow{}
	anglers := map[string]bool{}
	for _, j := range joined {
		if !j.Use {
			continue
		}
		c, err := plan.Covariates(j.Group, j.Drivers)
		if err != nil {
			return record, fmt.Errorf("session %s: %w", j.Session, err)
		}
		rows[j.Group] = append(rows[j.Group], activity.SessionRow{Covariates: c, Bites: j.Bites.Value, RodHours: j.RodHours})
		record.Sessions++
		anglers[j.Angler] = true
		if !record.CutOff.Known || j.Start.After(record.CutOff.Value) {
			record.CutOff = model.Known(j.Start)
		}
	}
	record.Anglers = len(anglers)
	fits := map[model.Group]activity.Fit{}
	for _, g := range model.Groups() {
		fit, err := activity.FitBaseline(string(g), rows[g])
		if err != nil {
			return record, fmt.Errorf("fit %s: %w", g, err)
		}
		fits[g] = fit
	}
	body, err := json.Marshal(fits)
	if err != nil {
		return record, fmt.Errorf("keep the fit: %w", err)
	}
	record.Body = body
	if record.ID = FitZero; record.Sessions > 0 {
		sum := sha256.Sum256(body)
		record.ID = "fit-" + hex.EncodeToString(sum[:6])
	}
	return record, nil
}
