package jobs

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"
	"time"

	"osier/model"
	"osier/model/activity"
)

// FitZero names the prior alone, which always answers.
const FitZero = "fit-0"

// FitStore is what fitting reads, and where fits are kept. The angler of a
// public fit is empty.
type FitStore interface {
	Joined(ctx context.Context) ([]model.JoinedSession, error)
	PublicRows(ctx context.Context) ([]model.JoinedSession, error)
	LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error)
	AddFit(ctx context.Context, f model.FitRecord) error
	AddPublicFit(ctx context.Context, f model.FitRecord, read []model.JoinedSession, gone []string) error
}

// Fitter keeps the fits of the activity model: the public one, which anybody's
// plan may rest on, and for each angler their own, which adds their sessions to
// it (design, section 5 rule 8).
type Fitter struct {
	Store FitStore
	Now   func() time.Time
	// Progress, when set, hears what is being fitted.
	Progress func(what string)
}

// Fits are the fits in force after a run.
type Fits struct {
	Public model.FitRecord
	Own    []model.FitRecord // of the anglers who have one, by handle
	Made   int               // how many are new
	Kept   int               // renewals turned down because they forecast worse
}

// Counts sums a run up.
func (f Fits) Counts() map[string]int {
	return map[string]int{"sessions": f.Public.Sessions, "own fits": len(f.Own), "new fits": f.Made, "renewals turned down": f.Kept}
}

// Run brings the fits up to date and keeps those that changed.
func (f *Fitter) Run(ctx context.Context) (Fits, error) {
	sessions, before, err := f.sessions(ctx)
	if err != nil {
		return Fits{}, err
	}
	var out Fits
	public, err := f.public(ctx, sessions, before, &out)
	if err != nil {
		return out, fmt.Errorf("the public fit: %w", err)
	}
	admitted := admittedTo(out.Public)
	for angler, own := range notAdmitted(sessions, admitted) {
		if err := ctx.Err(); err != nil {
			return out, err
		}
		record, err := f.own(ctx, angler, readFor(sessions, public, angler), own, out.Public, &out)
		if err != nil {
			return out, fmt.Errorf("the fit of %s: %w", angler, err)
		}
		out.Own = append(out.Own, record)
	}
	return out, f.emptied(ctx, sessions, public, &out)
}

// sessions are those that fits read, by start, and, by name, what the public fit
// in force read of those that are joined otherwise now. A record that was changed
// and is not joined again yet is still what it was.
func (f *Fitter) sessions(ctx context.Context) (now []fitSession, before map[string]fitSession, err error) {
	joined, err := f.Store.Joined(ctx)
	if err != nil {
		return nil, nil, err
	}
	rows, err := f.Store.PublicRows(ctx)
	if err != nil {
		return nil, nil, err
	}
	are := map[string]bool{}
	for _, j := range joined {
		are[j.Session] = true
	}
	for _, j := range rows {
		if !are[j.Session] {
			joined = append(joined, j)
		}
	}
	if now, err = fitSessions(joined); err != nil {
		return nil, nil, err
	}
	read, err := fitSessions(rows)
	before = map[string]fitSession{}
	for _, s := range read {
		before[s.record.ID] = s
	}
	return now, before, err
}

// emptied takes back what was deleted of anglers whose other sessions are all in
// the public fit: their own fit, should it still hold more, is made anew of
// those. Of an angler with no session left no plan reads the fit.
func (f *Fitter) emptied(ctx context.Context, sessions, public []fitSession, out *Fits) error {
	anglers := map[string]bool{}
	for _, s := range sessions {
		anglers[s.record.Angler] = true
	}
	for _, own := range out.Own {
		delete(anglers, own.Angler)
	}
	for _, angler := range slices.Sorted(maps.Keys(anglers)) {
		old, held, err := f.latest(ctx, angler)
		if err == nil && held && old.Public == out.Public.ID {
			_, err = f.own(ctx, angler, readFor(sessions, public, angler), nil, out.Public, out)
		}
		if err != nil {
			return fmt.Errorf("the fit of %s: %w", angler, err)
		}
	}
	return nil
}

func (f *Fitter) tell(format string, args ...any) {
	if f.Progress != nil {
		f.Progress(fmt.Sprintf(format, args...))
	}
}

// latest is the fit in force, false where there is none yet.
func (f *Fitter) latest(ctx context.Context, angler string) (model.FitRecord, bool, error) {
	record, err := f.Store.LatestFit(ctx, angler, f.Now())
	if model.CodeOf(err) == model.NotFound {
		return record, false, nil
	}
	return record, err == nil, err
}

// made names a fit by what it is.
func (f *Fitter) made(record model.FitRecord, fits groupFits) (model.FitRecord, error) {
	body, err := json.Marshal(fits)
	if err != nil {
		return record, fmt.Errorf("keep the fit: %w", err)
	}
	record.Body, record.MadeAt, record.Converged = body, f.Now(), true
	if record.ID = FitZero; record.Sessions > 0 {
		sum := sha256.New()
		io.WriteString(sum, record.Angler+"|"+record.Public+"|"+record.Data+"|")
		sum.Write(body)
		record.ID = "fit-" + hex.EncodeToString(sum.Sum(nil)[:6])
	}
	return record, nil
}

// groupFits are the fits of one record. Every group is fitted by itself: what
// bites say of carp says little of roach, and each has its own prior.
type groupFits map[model.Group]activity.Fit

// readFits reads the fits out of a record. They are worthless where the model
// has other columns now: ok is then false.
func readFits(record model.FitRecord) (fits groupFits, ok bool) {
	if json.Unmarshal(record.Body, &fits) != nil {
		return nil, false
	}
	for _, g := range model.Groups() {
		fit, held := fits[g]
		if !held || fit.Check() != nil {
			return nil, false
		}
	}
	return fits, true
}

// stillRead says whether this version can read a fit. That of no session is the
// prior, which is not read back.
func stillRead(record model.FitRecord) bool {
	_, ok := readFits(record)
	return ok || record.Sessions == 0
}

// describe fills in what a record says of its sessions.
func describe(record model.FitRecord, sessions []fitSession) model.FitRecord {
	anglers := map[string]bool{}
	record.CutOff, record.Sessions = model.Maybe[time.Time]{}, len(sessions)
	sum, records := sha256.New(), sha256.New()
	for _, s := range sessions {
		anglers[s.record.Angler] = true
		if s.asForecast {
			record.AsForecast++
		}
		if !record.CutOff.Known || s.start.After(record.CutOff.Value) {
			record.CutOff = model.Known(s.start)
		}
		io.WriteString(sum, s.record.ID+":"+s.digest+"\n")
		io.WriteString(records, s.record.ID+":"+s.recordDigest+"\n")
	}
	record.Records = hex.EncodeToString(records.Sum(nil)[:12])
	record.Anglers, record.Data = len(anglers), hex.EncodeToString(sum.Sum(nil)[:12])
	return record
}

// admittedTo are the sessions that a public fit read.
func admittedTo(public model.FitRecord) map[string]bool {
	in := map[string]bool{}
	for _, id := range public.Admitted {
		in[id] = true
	}
	return in
}

// readFor are the sessions that an angler's own fit reads, by start: all of
// their own, and other people's as the public fit in force read them. One that
// followed a correction at once would tell the angler, by the next plan, what
// that one person changed (statistics pack, section 6).
func readFor(sessions, public []fitSession, angler string) []fitSession {
	var out []fitSession
	for _, s := range public {
		if s.record.Angler != angler {
			out = append(out, s)
		}
	}
	for _, s := range sessions {
		if s.record.Angler == angler {
			out = append(out, s)
		}
	}
	slices.SortFunc(out, fitSession.compare)
	return out
}
