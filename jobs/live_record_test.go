package jobs_test

import (
	"strings"
	"testing"
	"time"

	"osier/model"
)

func TestCorrectionsChangeTheRecordAndNothingElseDoes(t *testing.T) {
	b := newBench(t)
	b.take(t, outing()...)
	before := b.revision(t)
	if taken := b.take(t, outing()...); !strings.HasPrefix(outcomes(taken), "duplicate, duplicate") || b.revision(t) != before {
		t.Errorf("sent again: %s, and the revision is %d, was %d", outcomes(taken), b.revision(t), before)
	}
	_, err := b.recorder().Change(t.Context(), "s-live", func(s model.Session) (model.Session, error) {
		s.Notes, s.Groundbait = "wind got up", "brown crumb"
		return s, nil
	})
	done(t, err)
	b.take(t, said("k3", "fish", 40, `,"group":"silver","fish_g":150,"replaces":"k2"`))
	record, err := b.recorder().Session(t.Context(), "s-live")
	done(t, err)
	if record.Fish[model.Silver] != 1 || record.Fish[model.Bream] != 0 || record.Notes != "wind got up" || record.Groundbait != "brown crumb" {
		t.Errorf("corrected: %+v", record)
	}
	taken := b.take(t, said("w9", "withdraw", 1, `,"replaces":"en"`))
	if taken.Session.Ended || !strings.Contains(taken.Record.Problem, "taken back") {
		t.Errorf("the end taken back: %+v", taken.Record)
	}
	b.now = noon.Add(time.Hour)
	taken = b.take(t, said("c4", "cast", -10, ""), said("e2", "end", -30, ""))
	record, err = b.recorder().Session(t.Context(), "s-live")
	done(t, err)
	if len(record.Casts) != 4 || !record.End.Equal(noon.Add(30*time.Minute)) || !record.EnteredAt.Equal(noon) {
		t.Errorf("ended again: %+v, %+v", taken.Record, record)
	}
}

func TestWhatContradictsStandsInTheRecord(t *testing.T) {
	b := newBench(t)
	taken := b.take(t, append(outing(), said("k9", "fish", 39, ""))...)
	record, err := b.recorder().Session(t.Context(), "s-live")
	done(t, err)
	if taken.Record.Status != model.RowQueried || len(record.Queries) == 0 || record.Queries[0].Field != "events" || !strings.Contains(record.Queries[0].Text, "landed already") {
		t.Errorf("%+v with queries %+v", taken.Record, record.Queries)
	}
}

// A record that is refused is told, and its events stay to be corrected.
func TestARefusedRecordKeepsItsEvents(t *testing.T) {
	b := newBench(t)
	told := outing()
	told[1] = said("c1", "cast", 30*60, "")
	told[0] = said("st", "start", 31*60, startOf("reedmere"))
	taken := b.take(t, told...)
	if taken.Record.Status != model.RowRefused || !strings.Contains(taken.Record.Problem, "24 h at most") || taken.Session == nil {
		t.Errorf("a session of 30 h: %+v", taken.Record)
	}
	if len(b.sessions(t)) != 0 {
		t.Error("it is stored all the same")
	}
	taken = b.take(t, said("w1", "withdraw", 1, `,"replaces":"c1"`))
	if taken.Record.Problem != "" || len(b.sessions(t)) != 1 {
		t.Errorf("corrected: %+v", taken.Record)
	}
}

func TestTheSameSessionRecordedAnotherWay(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*model.Session)
		want   model.RowStatus
	}{
		{"the same", func(*model.Session) {}, model.RowDuplicate},
		{"other bites", func(s *model.Session) { s.Casts, s.Style, s.Bites = nil, model.Summary, model.Known(7) }, model.RowRefused},
	} {
		t.Run(c.name, func(t *testing.T) {
			elsewhere := newBench(t)
			elsewhere.take(t, outing()...)
			s, err := elsewhere.recorder().Session(t.Context(), "s-live")
			done(t, err)
			s.ID = "s-paper"
			c.change(&s)
			b := newBench(t)
			_, _, err = b.recorder().Record(t.Context(), s)
			done(t, err)
			taken := b.take(t, outing()...)
			if taken.Record.Status != c.want || len(b.sessions(t)) != 1 {
				t.Errorf("%+v, %d records", taken.Record, len(b.sessions(t)))
			}
		})
	}
}

// A thermometer read in a live session corrects the water as one in any record.
func TestAReadingInALiveSessionCorrectsTheWater(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	b.take(t, append(outing(), said("r1", "reading", 65, `,"temp_c":6.5,"depth_m":0.3`))...)
	with, err := b.db.SessionsWithReading(t.Context(), "reedmere", noon.Add(-24*time.Hour), noon)
	done(t, err)
	if len(with) != 1 || with[0].WaterTemp.Value.C != 6.5 || !with[0].MeterReading().Known {
		t.Errorf("records with a reading: %+v", with)
	}
}

func TestADeletedLiveSessionIsGone(t *testing.T) {
	b := newBench(t)
	b.take(t, outing()...)
	done(t, b.recorder().Delete(t.Context(), "s-live"))
	_, err := b.live().LiveSession(t.Context(), "s-live")
	wantCode(t, err, model.NotFound)
}
