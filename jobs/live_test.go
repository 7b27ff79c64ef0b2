package jobs_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/jobs"
	"osier/model"
)

func (b *bench) live() *jobs.Live {
	return &jobs.Live{Store: b.db, Recorder: b.recorder(), Now: b.clock}
}

// said is an event as a phone sends it, so many minutes before noon.
func said(id, kind string, minAgo float64, more string) string {
	at := noon.Add(-time.Duration(minAgo * float64(time.Minute)))
	return fmt.Sprintf(`{"id":%q,"kind":%q,"at":%q%s}`, id, kind, at.Format(time.RFC3339Nano), more)
}

func startOf(water string) string {
	return fmt.Sprintf(`,"start":{"water":%q,"angler":"VP","group":"bream","peg":"4","planned_rate_g_h":90}`, water)
}

// outing is a session of three casts that ended five minutes ago.
func outing() []string {
	return []string{
		said("st", "start", 70, startOf("reedmere")),
		said("c1", "cast", 60, ""), said("l1", "line_bite", 55, ""),
		said("c2", "cast", 48, ""), said("b2", "bite", 42, ""), said("k2", "fish", 40, `,"group":"bream","fish_g":1450`),
		said("c3", "cast", 35, ""), said("en", "end", 5, ""),
	}
}

func batchOf(sent time.Time, events ...string) model.EventBatch {
	b := model.EventBatch{SentAt: sent}
	for _, e := range events {
		b.Events = append(b.Events, json.RawMessage(e))
	}
	return b
}

func (b *bench) take(t *testing.T, events ...string) model.EventsTaken {
	t.Helper()
	taken, err := b.live().TakeEvents(t.Context(), "s-live", batchOf(b.now, events...))
	done(t, err)
	return taken
}

// outcomes are the statuses in short, with the field where one is refused.
func outcomes(taken model.EventsTaken) string {
	var words []string
	for _, o := range taken.Outcomes {
		words = append(words, strings.TrimSpace(fmt.Sprint(o.Status, " ", o.Field)))
	}
	return strings.Join(words, ", ")
}

func TestASessionIsToldEventByEvent(t *testing.T) {
	b := newBench(t)
	told := outing()
	taken := b.take(t, told[0])
	if taken.Session != nil || !strings.Contains(taken.Waiting, "no cast yet") || outcomes(taken) != "stored" {
		t.Errorf("after the start: %+v", taken)
	}
	_, err := b.live().LiveSession(t.Context(), "s-live")
	wantCode(t, err, model.NotFound)
	taken = b.take(t, told[1:5]...)
	if taken.Session == nil || taken.Session.Open == nil || !taken.Session.Open.Bitten || taken.Record != (model.LiveRecord{}) || taken.Waiting != "" {
		t.Errorf("with a bite: %+v", taken)
	}
	if len(b.sessions(t)) != 0 {
		t.Error("a session that goes on is a record already")
	}
	taken = b.take(t, told[5:]...)
	if taken.Record.ID != "s-live" || taken.Record.Problem != "" || !taken.Session.Ended {
		t.Errorf("after the end: %+v", taken.Record)
	}
	record, err := b.recorder().Session(t.Context(), "s-live")
	done(t, err)
	if record.Bites != model.Known(1) || record.LineBites != model.Known(1) || record.Fish[model.Bream] != 1 || len(record.Casts) != 3 || record.RodHours() != 55.0/60 {
		t.Errorf("the record is %+v", record)
	}
	live, err := b.live().LiveSession(t.Context(), "s-live")
	done(t, err)
	if diff := cmp.Diff(*taken.Session, live); diff != "" {
		t.Errorf("told at once (-) and asked later (+):\n%s", diff)
	}
}

func TestOneBadEventDoesNotLoseTheOthers(t *testing.T) {
	for _, c := range []struct {
		name  string
		bad   string
		field string
		says  string
	}{
		{"no JSON object", `7`, "events[2]", "cannot be a number"},
		{"a misspelt field", said("x", "fish", 30, `,"weight_g":3`), "events[2].weight_g", "no such field"},
		{"no time", `{"id":"x","kind":"cast","at":"noon"}`, "events[2].at", `"noon" is no time`},
		{"a kind that is none", said("x", "splash", 30, ""), "events[2].kind", "not known here"},
		{"in the future", said("x", "cast", -30, ""), "events[2].at", "in the future"},
		{"long past", said("x", "cast", 60*24*60, ""), "events[2].at", "too long ago"},
		{"a fish of 90 kg", said("x", "fish", 30, `,"fish_g":90000`), "events[2].fish_g", "out of range"},
		{"at a water nobody knows", said("x", "start", 30, startOf("nowhere")), "events[2].start.water", `no water "nowhere"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			told := outing()
			taken := b.take(t, told[0], told[1], c.bad, told[3])
			if want := "stored, stored, refused " + c.field + ", stored"; outcomes(taken) != want {
				t.Errorf("%s, want %s", outcomes(taken), want)
			}
			if o := taken.Outcomes[2]; !strings.Contains(o.Wrong, c.says) {
				t.Errorf("it says %q, want %q", o.Wrong, c.says)
			}
			if taken.Session == nil || len(taken.Session.Soaks) != 2 {
				t.Errorf("the others tell %+v", taken.Session)
			}
		})
	}
}

func TestSameNamesInABatch(t *testing.T) {
	light, heavy := said("k2", "fish", 40, `,"fish_g":1000`), said("k2", "fish", 40, `,"fish_g":2000`)
	begun := []string{outing()[0], outing()[3], outing()[7]} // start, cast, end
	for _, c := range []struct {
		name    string
		batches [][]string
		want    string // of the last batch
		g       string
	}{
		{"the same twice", [][]string{append(begun[:3:3], light, light)}, "stored, stored, stored, stored, duplicate", "1000"},
		{"two that contradict", [][]string{append(begun[:3:3], light, heavy)}, "stored, stored, stored, refused events[3].id, refused events[4].id", "null"},
		{"in the other order", [][]string{append(begun[:3:3], heavy, light)}, "stored, stored, stored, refused events[3].id, refused events[4].id", "null"},
		{"two of three the same", [][]string{append(begun[:3:3], light, heavy, light)}, "stored, stored, stored, refused events[3].id, refused events[4].id, refused events[5].id", "null"},
		{"one that contradicts what is stored", [][]string{append(begun[:3:3], light), {heavy}}, "refused events[0].id", "1000"},
		{"both, and one is stored", [][]string{append(begun[:3:3], light), {heavy, light}}, "refused events[0].id, duplicate", "1000"},
		{"a correction", [][]string{append(begun[:3:3], light), {said("k3", "fish", 40, `,"fish_g":2000,"replaces":"k2"`)}}, "stored", "2000"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			var taken model.EventsTaken
			for _, batch := range c.batches {
				taken = b.take(t, batch...)
			}
			if outcomes(taken) != c.want {
				t.Errorf("%s, want %s", outcomes(taken), c.want)
			}
			if g, _ := json.Marshal(taken.Session.Session.Casts[0].FishG); string(g) != c.g {
				t.Errorf("the fish weighs %s, want %s", g, c.g)
			}
		})
	}
}

// In whatever order and batches the events come, and however often, the record
// is the same to the byte.
func TestOrderBatchesAndRepeatsChangeNothing(t *testing.T) {
	told := append(outing(), said("k3", "fish", 39, `,"group":"bream","fish_g":1500,"replaces":"k2"`), said("w1", "withdraw", 20, `,"replaces":"l1"`),
		said("zz", "fish", 39, `,"fish_g":1`), said("zz", "fish", 39, `,"fish_g":2`))
	var want string
	random := rand.New(rand.NewPCG(1, 2))
	for trial := range 12 {
		b := newBench(t)
		sent := append([]string(nil), told[:len(told)-2]...)
		if trial > 0 {
			random.Shuffle(len(sent), func(i, j int) { sent[i], sent[j] = sent[j], sent[i] })
		}
		b.take(t, told[len(told)-2:]...) // contradict each other, so neither counts
		for from := 0; from < len(sent); {
			to := min(len(sent), from+1+random.IntN(5))
			b.take(t, sent[from:to]...)
			if random.IntN(2) == 0 {
				b.take(t, sent[random.IntN(to):to]...) // and again
			}
			from = to
		}
		record, err := b.recorder().Session(t.Context(), "s-live")
		done(t, err)
		text, err := json.Marshal(record)
		done(t, err)
		if want == "" {
			want = string(text)
		}
		if string(text) != want {
			t.Fatalf("trial %d, sent %v:\n%s\nwant\n%s", trial, sent, text, want)
		}
	}
	if !strings.Contains(want, `"fish_g":1500`) || !strings.Contains(want, `"line_bites":0`) {
		t.Errorf("the corrections are not in the record: %s", want)
	}
}

func TestBatchesAtOnceMakeOneWholeRecord(t *testing.T) {
	b := newBench(t)
	told := outing()
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			live := b.live()
			part := append([]string{told[0], told[1], told[7]}, told[2+i%5]) // start, first cast, end, and one more
			if _, err := live.TakeEvents(t.Context(), "s-live", batchOf(noon, part...)); err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	record, err := b.recorder().Session(t.Context(), "s-live")
	done(t, err)
	live, err := b.live().LiveSession(t.Context(), "s-live")
	done(t, err)
	if same, differs := model.Duplicate(record, live.Session); !same {
		t.Errorf("the record differs from its events in %v", differs)
	}
	if len(record.Casts) != 3 || record.Fish[model.Bream] != 1 {
		t.Errorf("the record is %+v", record)
	}
}

func TestARecordOfAnotherKindIsNotWrittenOver(t *testing.T) {
	b := newBench(t)
	s := b.addRecords(t, 4)[0]
	_, err := b.live().TakeEvents(t.Context(), s.ID, batchOf(noon, outing()...))
	wantCode(t, err, model.Conflict)
	list, err := b.db.Events(t.Context(), s.ID)
	done(t, err)
	if len(list) != 0 {
		t.Errorf("%d events were kept", len(list))
	}
}

// The clock of a phone that is an hour behind, and the way once took a minute.
func TestAPhonesClockIsPutRight(t *testing.T) {
	b := newBench(t)
	behind := func(minAgo float64) float64 { return minAgo + 60 }
	_, err := b.live().TakeEvents(t.Context(), "s-live", batchOf(noon.Add(-time.Hour-time.Minute),
		said("st", "start", behind(30), startOf("reedmere")), said("c1", "cast", behind(20), "")))
	done(t, err)
	taken, err := b.live().TakeEvents(t.Context(), "s-live", batchOf(noon.Add(-time.Hour), said("en", "end", behind(2), ""), said("c2", "cast", 10, "")))
	done(t, err)
	if outcomes(taken) != "stored, refused events[1].at" {
		t.Errorf("%s: an event after the clock of its own phone was taken", outcomes(taken))
	}
	if start := taken.Session.Session.Start; !start.Equal(noon.Add(-20 * time.Minute)) {
		t.Errorf("the first cast was at %v, want 20 min before noon", start)
	}
}

func TestBatchesRefusedAsAWhole(t *testing.T) {
	b := newBench(t)
	many := make([]string, model.MostEvents+1)
	for i := range many {
		many[i] = said(fmt.Sprint("e", i), "line_bite", 10, "")
	}
	for _, c := range []struct {
		name    string
		session string
		batch   model.EventBatch
		code    model.Code
		field   string
	}{
		{"no session", "S 1", batchOf(noon, outing()...), model.Invalid, "session"},
		{"no events", "s-1", batchOf(noon), model.Invalid, "events"},
		{"too many", "s-1", batchOf(noon, many...), model.TooLarge, "events"},
		{"no clock", "s-1", batchOf(time.Time{}, outing()...), model.Invalid, "sent_at"},
		{"a clock of another year", "s-1", batchOf(noon.AddDate(-1, 0, 0), outing()...), model.Invalid, "sent_at"},
	} {
		_, err := b.live().TakeEvents(t.Context(), c.session, c.batch)
		wantCode(t, err, c.code)
		if !strings.HasPrefix(err.Error(), c.field+":") {
			t.Errorf("%s: %v, want it to name %s", c.name, err, c.field)
		}
	}
	for from := 0; from < model.MostLogged; from += model.MostEvents {
		events := make([]string, model.MostEvents)
		for i := range events {
			events[i] = said(fmt.Sprint("e", from+i), "line_bite", 10, "")
		}
		_, err := b.live().TakeEvents(t.Context(), "s-full", batchOf(noon, events...))
		done(t, err)
	}
	_, err := b.live().TakeEvents(t.Context(), "s-full", batchOf(noon, said("one-more", "bite", 5, "")))
	wantCode(t, err, model.TooLarge)
	again, err := b.live().TakeEvents(t.Context(), "s-full", batchOf(noon, said("e7", "line_bite", 10, "")))
	done(t, err)
	if outcomes(again) != "duplicate" {
		t.Errorf("one of them again: %s", outcomes(again))
	}
}

// A phone whose clock was put an hour forward between two casts, without a
// signal: what the old clock told and what the new one told come in one batch.
func TestTimesToldByAClockThatWasSet(t *testing.T) {
	b := newBench(t)
	b.take(t, said("st", "start", 70, startOf("reedmere")), said("c1", "cast", 60, ""))
	batch := batchOf(b.now.Add(time.Hour),
		said("c2", "cast", 40, ""),
		said("c3", "cast", 20-60, `,"clock_set_s":3600`), said("b3", "bite", 15-60, `,"clock_set_s":3600`))
	batch.ClockSetS = 3600
	taken, err := b.live().TakeEvents(t.Context(), "s-live", batch)
	done(t, err)
	if outcomes(taken) != "stored, stored, stored" {
		t.Fatalf("%+v", taken.Outcomes)
	}
	var from []float64
	for _, s := range taken.Session.Soaks {
		from = append(from, b.now.Sub(s.From).Minutes())
	}
	if diff := cmp.Diff([]float64{60, 40, 20}, from); diff != "" {
		t.Errorf("casts so many minutes ago (-want +got):\n%s", diff)
	}
	if q := fmt.Sprint(taken.Session.Session.Queries); !strings.Contains(q, "was set while it logged (right, then 60 min ahead)") {
		t.Errorf("queries %s", q)
	}
	again, err := b.live().TakeEvents(t.Context(), "s-live", batch)
	done(t, err)
	if outcomes(again) != "duplicate, duplicate, duplicate" {
		t.Errorf("again: %+v", again.Outcomes)
	}
	late := batchOf(b.now.Add(time.Hour), said("c4", "cast", -60-10, `,"clock_set_s":3600`), said("c5", "cast", -10, ""))
	late.ClockSetS = 3600
	taken, err = b.live().TakeEvents(t.Context(), "s-live", late)
	done(t, err)
	if outcomes(taken) != "refused events[0].at, refused events[1].at" {
		t.Errorf("in the future by the clock that told them: %+v", taken.Outcomes)
	}
	late.ClockSetS = 1e11
	_, err = b.live().TakeEvents(t.Context(), "s-live", late)
	wantCode(t, err, model.Invalid)
}
