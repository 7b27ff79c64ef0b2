package jobs

import (
	"context"
	"fmt"
	"time"

	"osier/model"
	"osier/model/activity"
)

// inForce is the fit that plans for somebody go by.
type inForce struct {
	id       string
	public   string // the public fit of the day
	fits     groupFits
	admitted map[string]bool // the sessions that the public fit read
	records  string          // names their records as it read them
}

// fitInForce is the angler's own fit where they have one that adds to the public
// fit of the day and sessions still on record, else that one, else the prior.
func fitInForce(ctx context.Context, s interface {
	LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error)
	Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error)
}, angler string, now time.Time,
) (inForce, error) {
	public, err := s.LatestFit(ctx, "", now)
	if model.CodeOf(err) == model.NotFound {
		public, err = model.FitRecord{ID: FitZero}, nil
	}
	if err != nil {
		return inForce{}, err
	}
	record := public
	if angler != "" {
		own, err := s.LatestFit(ctx, angler, now)
		switch {
		case err == nil && own.Public == public.ID:
			sessions, err := s.Sessions(ctx, "", angler, time.Unix(0, 0), now)
			if err != nil {
				return inForce{}, err
			}
			if len(sessions) > 0 {
				record = own
			}
		case err != nil && model.CodeOf(err) != model.NotFound:
			return inForce{}, err
		}
	}
	read := readFit
	if holds, ok := s.(interface {
		readFit(record model.FitRecord) fitRead
	}); ok {
		read = holds.readFit
	}
	used := read(record)
	out := inForce{id: record.ID, public: public.ID, fits: used.fits, admitted: used.admitted, records: public.Records}
	if record.ID != public.ID {
		out.admitted = read(public).admitted
	}
	return out, used.fault
}

// fitRead is what plans want of a fit.
type fitRead struct {
	fits     groupFits
	fault    error           // why there are none
	admitted map[string]bool // the sessions it read, of a public one
}

func readFit(record model.FitRecord) fitRead {
	out := fitRead{admitted: admittedTo(record)}
	if record.ID == FitZero {
		out.fits, out.fault = priorFits()
		return out
	}
	var ok bool
	if out.fits, ok = readFits(record); !ok {
		out.fault = fmt.Errorf("fit %s cannot be read by this version; run osier fit", record.ID)
	}
	return out
}

func priorFits() (groupFits, error) {
	out := groupFits{}
	for _, g := range model.Groups() {
		fit, err := activity.PriorFit(string(g))
		if err != nil {
			return nil, err
		}
		out[g] = fit
	}
	return out, nil
}
