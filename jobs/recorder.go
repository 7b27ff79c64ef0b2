package jobs

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"osier/model"
)

// RecordStore is what taking in records reads, and where they are kept.
type RecordStore interface {
	Weather
	WaterList
	Water(ctx context.Context, id string) (model.Water, error)
	Session(ctx context.Context, id string) (s model.Session, version int, err error)
	SessionByIdentity(ctx context.Context, identity string) (model.Session, error)
	Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error)
	AddSession(ctx context.Context, s model.Session) error
	ReplaceSession(ctx context.Context, s model.Session, version int) error
	DeleteSession(ctx context.Context, id string) error
	AddImport(ctx context.Context, sessions []model.Session, report model.Import) error
	Import(ctx context.Context, id string) (model.Import, error)
	AddMeterReading(ctx context.Context, m model.MeterReading) error
	MeterReading(ctx context.Context, id string) (model.MeterReading, error)
	NewestMeterReadings(ctx context.Context, water string, from, to time.Time, before string, limit int) ([]model.MeterReading, error)
}

// Recorder takes session records in: one at a time, or as a file.
type Recorder struct {
	Store RecordStore
	Now   func() time.Time
	Demo  bool
}

// Record checks a record, raises the doubts there are about it, and keeps it.
// The same record again is a duplicate and changes nothing; another record of
// the same session is a Conflict that names what differs.
func (r *Recorder) Record(ctx context.Context, s model.Session) (model.Session, model.RowStatus, error) {
	now := r.Now()
	s, err := s.Completed(model.Defaults{Now: now})
	if err != nil {
		return s, model.RowRefused, err
	}
	s.Demo = r.Demo
	stored, status, err := r.check(ctx, s, now, nil)
	if err != nil || status == model.RowDuplicate {
		return stored, status, err
	}
	return stored, status, r.Store.AddSession(ctx, stored)
}

// check validates a record against its water, recognises what is stored
// already, and raises queries. batch holds the records of the same file that
// came before it.
func (r *Recorder) check(ctx context.Context, s model.Session, now time.Time, batch []model.Session) (model.Session, model.RowStatus, error) {
	if s.Water == "" {
		return s, model.RowRefused, model.Invalidf("water", "name the water that was fished", "no water is named")
	}
	w, err := r.Store.Water(ctx, s.Water)
	if err != nil {
		return s, model.RowRefused, err
	}
	if err := s.ValidateAt(w, now); err != nil {
		return s, model.RowRefused, err
	}
	was, err := r.before(ctx, s, batch)
	if err != nil {
		return s, model.RowRefused, err
	}
	if was != nil {
		same, differs := model.Duplicate(*was, s)
		if same {
			return *was, model.RowDuplicate, nil
		}
		return s, model.RowRefused, &model.Error{
			Code: model.Conflict, Field: strings.Join(differs, ", "),
			Wrong: fmt.Sprintf("session %s is stored already and differs here", was.ID), Right: "change the stored record if this one is right",
		}
	}
	if s.Queries, err = r.queries(ctx, s, w, batch); err != nil {
		return s, model.RowRefused, err
	}
	if len(s.Queries) > 0 {
		return s, model.RowQueried, nil
	}
	return s, model.RowStored, nil
}

// before finds the same session in the file or in the store.
func (r *Recorder) before(ctx context.Context, s model.Session, batch []model.Session) (*model.Session, error) {
	for i := range batch {
		if batch[i].IdentityKey() == s.IdentityKey() {
			return &batch[i], nil
		}
	}
	was, err := r.Store.SessionByIdentity(ctx, s.IdentityKey())
	if model.CodeOf(err) == model.NotFound {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return &was, nil
}

// near is how far apart sessions of one angler are held against each other.
const near = 36 * time.Hour

func (r *Recorder) queries(ctx context.Context, s model.Session, w model.Water, batch []model.Session) ([]model.Query, error) {
	zone, err := w.Location()
	if err != nil {
		return nil, err
	}
	others, err := r.Store.Sessions(ctx, "", s.Angler, s.Start.Add(-near), s.End.Add(near))
	if err != nil {
		return nil, err
	}
	for _, o := range batch {
		if o.Angler == s.Angler && o.Start.After(s.Start.Add(-near)) && o.Start.Before(s.End.Add(near)) {
			others = append(others, o)
		}
	}
	around := model.Surroundings{Zone: zone, Others: withoutSelf(others, s)}
	if s.WaterTemp.Known {
		weather, err := loadWeather(ctx, r.Store, w, s.Angler, s.Start, s.End, r.Now())
		if err != nil {
			return nil, err
		}
		around.WaterC, around.AirC = weather.history.Between(s.Start, s.End, s.WaterTemp.Value.DepthM)
	}
	return model.Guards(s, w, around), nil
}

func withoutSelf(others []model.Session, s model.Session) []model.Session {
	var out []model.Session
	for _, o := range others {
		if o.ID != s.ID {
			out = append(out, o)
		}
	}
	return out
}

// Session finds one record.
func (r *Recorder) Session(ctx context.Context, id string) (model.Session, error) {
	s, _, err := r.Store.Session(ctx, id)
	return s, err
}

// Change reads a record, applies a change and keeps the outcome, checked like a
// new record. A change made meanwhile is a Conflict.
func (r *Recorder) Change(ctx context.Context, id string, change func(model.Session) (model.Session, error)) (model.Session, error) {
	old, version, err := r.Store.Session(ctx, id)
	if err != nil {
		return old, err
	}
	s, err := change(old)
	if err != nil {
		return old, err
	}
	if s.ID != id {
		return old, model.Invalidf("id", "leave the identifier as it is", "it would change from %q", id)
	}
	now := r.Now()
	if s, err = s.Completed(model.Defaults{Now: now}); err != nil {
		return old, err
	}
	s.Demo, s.EnteredAt = old.Demo, old.EnteredAt
	w, err := r.Store.Water(ctx, s.Water)
	if err != nil {
		return old, err
	}
	if err := s.ValidateAt(w, now); err != nil {
		return old, err
	}
	if s.Queries, err = r.queries(ctx, s, w, nil); err != nil {
		return old, err
	}
	return s, r.Store.ReplaceSession(ctx, s, version)
}

// Delete removes a record.
func (r *Recorder) Delete(ctx context.Context, id string) error {
	return r.Store.DeleteSession(ctx, id)
}

// ImportReport finds the report of an imported file.
func (r *Recorder) ImportReport(ctx context.Context, id string) (model.Import, error) {
	return r.Store.Import(ctx, id)
}

// Import takes in a file of records, CSV by its name's ending or else JSON, and
// reports on every row. Good records are kept and bad ones refused, each saying
// so; the kept records and the report are written together. The same file again
// stores nothing new.
func (r *Recorder) Import(ctx context.Context, name, water, angler string, body []byte) (model.Import, error) {
	return r.takeIn(ctx, name, water, angler, "", body)
}

// ImportOwn is Import for an angler who brings a file of their own: a record that
// names another is refused.
func (r *Recorder) ImportOwn(ctx context.Context, name, water, angler string, body []byte) (model.Import, error) {
	return r.takeIn(ctx, name, water, angler, angler, body)
}

// takeIn imports a file; owner is whose every record must be, empty for anybody's.
func (r *Recorder) takeIn(ctx context.Context, name, water, angler, owner string, body []byte) (model.Import, error) {
	now := r.Now()
	about := water + "|" + angler + "|" + strings.ToLower(filepath.Ext(name)) + "|"
	if owner != "" { // another report than the same file's that an administrator brings
		about = "own|" + about
	}
	sum := sha256.Sum256(append([]byte(about), body...))
	report := model.Import{
		Angler: owner,
		ID:     "i-" + hex.EncodeToString(sum[:8]), File: filepath.Base(name), Digest: hex.EncodeToString(sum[:]), At: now, Demo: r.Demo,
	}
	defaults := model.Defaults{Water: water, Angler: angler, Now: now}
	if water != "" {
		if _, err := r.Store.Water(ctx, water); err != nil {
			return report, err
		}
	}
	var err error
	if defaults.Zones, err = r.zones(ctx); err != nil {
		return report, err
	}
	read := model.ReadSessionsJSON
	if strings.EqualFold(filepath.Ext(name), ".csv") {
		read = model.ReadSessionsCSV
	}
	parsed, rows, err := read(bytes.NewReader(body), defaults)
	if err != nil {
		return report, err
	}
	if owner != "" {
		parsed, rows = ownOnly(parsed, rows, owner)
	}
	kept, rows, err := r.checkAll(ctx, parsed, rows, now)
	if err != nil {
		return report, err
	}
	report.Rows = rows
	count(&report)
	return report, r.Store.AddImport(ctx, kept, report)
}

// ownOnly refuses records of other anglers than one, and drops identifiers that
// could be another's: the answer would say whether that one is stored.
func ownOnly(parsed []model.ParsedSession, rows []model.RowReport, owner string) ([]model.ParsedSession, []model.RowReport) {
	own := make([]model.ParsedSession, 0, len(parsed))
	for _, p := range parsed {
		if p.Session.Angler == "" || p.Session.Angler == owner {
			p.Session = p.Session.UnderOwnName()
			own = append(own, p)
			continue
		}
		for i := range rows {
			if slices.Contains(p.Rows, rows[i].Row) {
				rows[i].Status = model.RowRefused
				rows[i].Problems = append(rows[i].Problems, "angler: it names another angler than "+owner+"; bring your own records, or leave the name out")
			}
		}
	}
	return own, rows
}

// zones is the time zone of every water, for records with local times.
func (r *Recorder) zones(ctx context.Context) (map[string]*time.Location, error) {
	waters, err := AllWaters(ctx, r.Store)
	if err != nil {
		return nil, err
	}
	zones := map[string]*time.Location{}
	for _, w := range waters {
		if zones[w.ID], err = w.Location(); err != nil {
			return nil, fmt.Errorf("zone of %s: %w", w.ID, err)
		}
	}
	return zones, nil
}

// checkAll checks the records of a file in their order, each against those
// before it. Only a store that fails ends it; a record that fails is a row.
func (r *Recorder) checkAll(ctx context.Context, parsed []model.ParsedSession, rows []model.RowReport, now time.Time) ([]model.Session, []model.RowReport, error) {
	at := map[int]int{}
	for i, row := range rows {
		at[row.Row] = i
	}
	var kept []model.Session
	for _, p := range parsed {
		p.Session.Demo = r.Demo
		s, status, err := r.check(ctx, p.Session, now, kept)
		if code := model.CodeOf(err); err != nil && (code == model.Unavailable || code == model.Internal) {
			return nil, rows, err
		}
		if status == model.RowStored || status == model.RowQueried {
			kept = append(kept, s)
		}
		for _, row := range p.Rows {
			i, ok := at[row]
			if !ok {
				continue
			}
			rows[i].Session, rows[i].Status = s.ID, status
			if err != nil {
				rows[i].Problems = append(rows[i].Problems, err.Error())
			}
			for _, q := range s.Queries {
				rows[i].Problems = append(rows[i].Problems, q.Field+": "+q.Text)
			}
		}
	}
	return kept, rows, nil
}

// count sums up sessions, not rows: the hours of a tally are one session.
func count(report *model.Import) {
	seen := map[string]bool{}
	for _, row := range report.Rows {
		key := fmt.Sprint(row.Session, row.Status)
		if row.Session != "" && seen[key] {
			continue
		}
		seen[key] = true
		switch row.Status {
		case model.RowStored:
			report.Stored++
		case model.RowQueried:
			report.Stored++
			report.Queried++
		case model.RowDuplicate:
			report.Duplicates++
		case model.RowRefused:
			report.Refused++
		}
	}
}
