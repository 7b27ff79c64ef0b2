package jobs_test

import (
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
)

func (b *bench) recorder() *jobs.Recorder { return &jobs.Recorder{Store: b.db, Now: b.clock} }

func (b *bench) sessions(t *testing.T) []model.Session {
	t.Helper()
	list, err := b.db.Sessions(t.Context(), "", "", noon.AddDate(-1, 0, 0), noon)
	done(t, err)
	return list
}

func TestARecordIsKeptOnce(t *testing.T) {
	b := newBench(t)
	sent := record(1, "VP", 6)
	sent.ID = ""
	kept, status, err := b.recorder().Record(t.Context(), sent)
	done(t, err)
	if status != model.RowStored || kept.ID != record(1, "VP", 6).ID || !kept.EnteredAt.Equal(noon) {
		t.Errorf("status %q, identifier %q, entered %v", status, kept.ID, kept.EnteredAt)
	}
	before := b.revision(t)
	b.now = noon.Add(time.Hour)
	again, status, err := b.recorder().Record(t.Context(), sent)
	done(t, err)
	if status != model.RowDuplicate || !cmp.Equal(kept, again) || b.revision(t) != before {
		t.Errorf("sent again: status %q, and %s", status, cmp.Diff(kept, again))
	}
	if len(b.sessions(t)) != 1 {
		t.Errorf("%d sessions kept, want 1", len(b.sessions(t)))
	}
}

func TestAnotherRecordOfTheSameSessionIsAConflict(t *testing.T) {
	b := newBench(t)
	first, _, err := b.recorder().Record(t.Context(), record(1, "VP", 6))
	done(t, err)
	other := record(1, "VP", 6)
	other.Bites, other.Notes = model.Known(9), "not the same"
	_, status, err := b.recorder().Record(t.Context(), other)
	wantCode(t, err, model.Conflict)
	if status != model.RowRefused || !strings.Contains(err.Error(), "bites, notes: session "+first.ID+" is stored already and differs here") {
		t.Errorf("status %q, error %q, want it to name what differs", status, err)
	}
	if list := b.sessions(t); len(list) != 1 || list[0].Bites.Value != 6 {
		t.Errorf("sessions %+v, want the first as it was", list)
	}
}

func TestARecordThatCannotBeIsRefusedAndNotKept(t *testing.T) {
	b := newBench(t)
	for _, c := range []struct {
		name  string
		spoil func(s *model.Session)
		code  model.Code
		says  string
	}{
		{"no such water", func(s *model.Session) { s.Water, s.ID = "nowhere", "" }, model.NotFound, "nowhere"},
		{"to come", func(s *model.Session) { s.Start, s.End = noon.Add(time.Hour), noon.Add(2*time.Hour) }, model.Invalid, "start: "},
		{"backwards", func(s *model.Session) { s.End = s.Start.Add(-time.Hour) }, model.Invalid, "end: "},
		{"no handle", func(s *model.Session) { s.Angler = "" }, model.Invalid, "angler: "},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := record(1, "VP", 6)
			c.spoil(&s)
			_, status, err := b.recorder().Record(t.Context(), s)
			wantCode(t, err, c.code)
			if status != model.RowRefused || !strings.Contains(err.Error(), c.says) {
				t.Errorf("status %q, error %q, want it to say %q", status, err, c.says)
			}
		})
	}
	if len(b.sessions(t)) != 0 {
		t.Errorf("sessions %+v, want none", b.sessions(t))
	}
}

func TestDoubtsAreRaisedAndTheRecordKept(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	_, _, err := b.recorder().Record(t.Context(), record(1, "VP", 6))
	done(t, err)
	for _, c := range []struct {
		name  string
		doubt func(s *model.Session)
		field string
	}{
		{"two places at once", func(s *model.Session) {
			s.Start = s.Start.AddDate(0, 0, 1).Add(time.Hour)
			s.End = s.End.AddDate(0, 0, 1)
		}, "start"},
		{"a peg of another water", func(s *model.Session) { s.Peg = "99" }, "peg"},
		{"water as warm as in summer", func(s *model.Session) {
			s.WaterTemp = model.Known(model.WaterReading{C: 24, Instrument: true})
		}, "water_temp"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := record(2, "VP", 6)
			c.doubt(&s)
			s.ID = ""
			kept, status, err := b.recorder().Record(t.Context(), s)
			done(t, err)
			if status != model.RowQueried || len(kept.Queries) == 0 || kept.Queries[0].Field != c.field {
				t.Errorf("status %q, queries %+v, want one about %s", status, kept.Queries, c.field)
			}
			done(t, b.recorder().Delete(t.Context(), kept.ID))
		})
	}
}

func TestChangingARecord(t *testing.T) {
	b := newBench(t)
	r := b.recorder()
	kept, _, err := r.Record(t.Context(), record(1, "VP", 6))
	done(t, err)
	set := func(change func(s *model.Session)) func(model.Session) (model.Session, error) {
		return func(s model.Session) (model.Session, error) {
			change(&s)
			return s, nil
		}
	}
	b.now = noon.Add(time.Hour)
	changed, err := r.Change(t.Context(), kept.ID, set(func(s *model.Session) { s.Bites, s.Demo = model.Known(7), true }))
	done(t, err)
	if changed.Bites.Value != 7 || changed.Demo || !changed.EnteredAt.Equal(noon) {
		t.Errorf("changed %+v, want 7 bites, and what says how it came here as it was", changed)
	}
	for _, c := range []struct {
		name   string
		change func(model.Session) (model.Session, error)
		code   model.Code
	}{
		{"another identifier", set(func(s *model.Session) { s.ID = "s-other" }), model.Invalid},
		{"what cannot be", set(func(s *model.Session) { s.End = s.Start }), model.Invalid},
		{"of another water", set(func(s *model.Session) { s.Water = "nowhere" }), model.NotFound},
		{"overtaken by another", func(s model.Session) (model.Session, error) {
			other := s
			other.Bites = model.Known(8)
			done(t, b.db.ReplaceSession(t.Context(), other, 2))
			s.Bites = model.Known(9)
			return s, nil
		}, model.Conflict},
	} {
		_, err := r.Change(t.Context(), kept.ID, c.change)
		if model.CodeOf(err) != c.code {
			t.Errorf("%s: error %v, want code %s", c.name, err, c.code)
		}
	}
	s, err := r.Session(t.Context(), kept.ID)
	done(t, err)
	if s.Bites.Value != 8 {
		t.Errorf("%d bites, want the 8 of the change that came first", s.Bites.Value)
	}
	_, err = r.Change(t.Context(), "s-none", set(func(*model.Session) {}))
	wantCode(t, err, model.NotFound)
}

// file is five records: one good, the same again, one that contradicts it, one
// that cannot be, and one with a doubt.
func file(t *testing.T) []byte {
	t.Helper()
	good, differs, bad, doubtful := record(1, "VP", 6), record(1, "VP", 9), record(2, "VP", 1), record(3, "VP", 2)
	bad.End = bad.Start.Add(-time.Hour)
	doubtful.Peg = "99"
	body, err := json.Marshal(map[string]any{"sessions": []model.Session{good, good, differs, bad, doubtful}})
	done(t, err)
	return body
}

func TestAnImportAccountsForEveryRecord(t *testing.T) {
	b := newBench(t)
	report, err := b.recorder().Import(t.Context(), "some/where/records.json", "", "", file(t))
	done(t, err)
	if report.File != "records.json" || report.Stored != 2 || report.Queried != 1 || report.Duplicates != 1 || report.Refused != 2 {
		t.Errorf("report %+v, want 2 stored, 1 of them queried, 1 duplicate, 2 refused", report)
	}
	want := []model.RowStatus{model.RowStored, model.RowDuplicate, model.RowRefused, model.RowRefused, model.RowQueried}
	for i, row := range report.Rows {
		if row.Row != i+1 || row.Status != want[i] || (len(row.Problems) == 0) != (i < 2) {
			t.Errorf("row %+v, want number %d, %q, and a problem named where there is one", row, i+1, want[i])
		}
	}
	if len(report.Rows) != 5 || len(b.sessions(t)) != 2 {
		t.Errorf("%d rows and %d sessions, want 5 and 2", len(report.Rows), len(b.sessions(t)))
	}
	kept, err := b.recorder().ImportReport(t.Context(), report.ID)
	done(t, err)
	if diff := cmp.Diff(report, kept); diff != "" {
		t.Errorf("the report kept is another (-returned +kept):\n%s", diff)
	}
	again, err := b.recorder().Import(t.Context(), "records.json", "", "", file(t))
	done(t, err)
	if again.ID != report.ID || again.Stored != 0 || again.Duplicates != 2 || again.Refused != 2 || len(b.sessions(t)) != 2 {
		t.Errorf("the same file again: %+v, want nothing new: two sessions known, two records refused", again)
	}
}

// full is a store that fails while it keeps an import.
type full struct{ jobs.RecordStore }

func (full) AddImport(context.Context, []model.Session, model.Import) error {
	return &model.Error{Code: model.Unavailable, Wrong: "the disk is full"}
}

func TestAnImportThatCannotBeKeptKeepsNothing(t *testing.T) {
	b := newBench(t)
	_, err := (&jobs.Recorder{Store: full{b.db}, Now: b.clock}).Import(t.Context(), "records.json", "", "", file(t))
	if !strings.Contains(err.Error(), "the disk is full") || len(b.sessions(t)) != 0 {
		t.Errorf("error %v with %d sessions kept, want none", err, len(b.sessions(t)))
	}
}

func TestAFileThatIsNoneIsRefusedWhole(t *testing.T) {
	b := newBench(t)
	for name, body := range map[string]string{"records.json": "{", "records.csv": "no,such,columns\n1,2,3\n"} {
		_, err := b.recorder().Import(t.Context(), name, "reedmere", "VP", []byte(body))
		wantCode(t, err, model.Invalid)
		var e *model.Error
		if !errors.As(err, &e) || e.Right == "" {
			t.Errorf("%s: error %v does not say what would be right", name, err)
		}
	}
	_, err := b.recorder().Import(t.Context(), "records.csv", "nowhere", "VP", []byte("start\n"))
	wantCode(t, err, model.NotFound)
}
