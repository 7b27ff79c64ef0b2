package jobs_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

// apart is a store whose plans one planner alone is given back.
type apart struct {
	*store.DB
	mu     sync.Mutex
	issued map[string]model.Plan
}

func newApart(db *store.DB) *apart { return &apart{DB: db, issued: map[string]model.Plan{}} }

func (s *apart) AddPlan(_ context.Context, p model.Plan) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.issued[p.ID] = p
	return nil
}

func (s *apart) Plan(_ context.Context, id string) (model.Plan, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	p, ok := s.issued[id]
	if !ok {
		return p, model.NotFoundf("plan", "", "there is no plan %q", id)
	}
	return p, nil
}

// busy is a club's store in which all kinds of things come and go.
type busy struct {
	*bench
	random *rand.Rand
	n      int // of things that came
}

var ottermere = model.Water{
	ID: "ottermere", Name: "Ottermere", LatDeg: 52.31, LonDeg: -0.82, ElevationM: 75, MeanDepthM: 5, Bank: "grass", Colour: "clear",
	Zone: "Europe/London", Groups: model.Groups(), Pegs: []model.Peg{{Number: "4"}},
}

func newBusy(t testing.TB, seed uint64) *busy {
	t.Helper()
	db, err := store.OpenSQLite(t.Context(), t.TempDir())
	done(t, err)
	t.Cleanup(func() { done(t, db.Close()) })
	b := &busy{bench: &bench{db: db, now: noon}, random: rand.New(rand.NewPCG(seed, 1))}
	done(t, errors.Join(db.PutWater(t.Context(), reedmere), db.PutWater(t.Context(), ottermere)))
	b.putWeather(t)
	var before []model.Observation
	for at := noon.Truncate(time.Hour).AddDate(0, 0, -70); at.Before(noon); at = at.Add(time.Hour) {
		before = append(before, report(at))
		if at.After(noon.Add(-60*time.Hour)) && b.random.IntN(5) > 0 {
			other := report(at.Add(20 * time.Minute))
			other.Station, other.WindMps = "BBBB", model.Known(model.MetresPerSecond(b.random.Float64()*8))
			before = append(before, other)
		}
	}
	_, err = db.PutObservations(t.Context(), before)
	done(t, errors.Join(err, db.PutStations(t.Context(), []model.Station{{ID: "BBBB", Source: "awc", LatDeg: 52.25, LonDeg: -1, ElevationM: model.Known[model.Metres](60)}})))
	for i := range 40 {
		s := entry(1+2*i, fmt.Sprintf("A%d", i%5), i%7)
		if i%3 == 0 {
			s.WaterTemp = model.Known(model.WaterReading{C: model.Celsius(4 + b.random.Float64()*3), Instrument: true})
		}
		done(t, db.AddSession(t.Context(), s))
	}
	b.settle(t)
	return b
}

// settle joins, fits and keeps the states of the waters.
func (b *busy) settle(t testing.TB) {
	t.Helper()
	_, err := (&jobs.Joiner{Store: b.db, Now: b.clock}).Run(t.Context())
	done(t, err)
	_, err = (&jobs.Fitter{Store: b.db, Now: b.clock}).Run(t.Context())
	done(t, err)
	b.keepStates(t)
}

func (b *busy) oneOf(names ...string) string { return names[b.random.IntN(len(names))] }

func (b *busy) within(longest time.Duration) time.Duration {
	return time.Duration(b.random.Int64N(int64(longest)))
}

// comes are the kinds of things that may come between two plans.
var comes = []struct {
	name string
	put  func(t testing.TB, b *busy) error
}{
	{"nothing", func(testing.TB, *busy) error { return nil }},
	{"a report", func(t testing.TB, b *busy) error {
		o := report(b.now.Truncate(time.Minute))
		o.Station = b.oneOf("AAAA", "BBBB")
		_, err := b.db.PutObservations(t.Context(), []model.Observation{o})
		return err
	}},
	{"a report of a clock ahead of ours", func(t testing.TB, b *busy) error {
		o := report(b.now.Truncate(time.Minute).Add(b.within(20 * time.Minute).Truncate(time.Minute)))
		o.AirC = model.Known[model.Celsius](11)
		_, err := b.db.PutObservations(t.Context(), []model.Observation{o})
		return err
	}},
	{"a correction", func(t testing.TB, b *busy) error {
		o := report(b.now.Add(-b.within(40 * time.Hour)).Truncate(time.Hour))
		o.AirC, o.Corrected = model.Known[model.Celsius](2), true
		_, err := b.db.PutObservations(t.Context(), []model.Observation{o})
		return err
	}},
	{"a station", func(t testing.TB, b *busy) error {
		return b.db.PutStations(t.Context(), []model.Station{{ID: "BBBB", Source: "awc", LatDeg: 52.25, LonDeg: -1 + 0.01*float64(b.n), ElevationM: model.Known[model.Metres](60)}})
	}},
	{"a forecast", func(t testing.TB, b *busy) error {
		issued := b.now.Add(-b.within(2 * time.Hour)).Truncate(time.Hour)
		f := model.Forecast{Source: b.oneOf("locationforecast", "openmeteo"), LatDeg: 52.2, LonDeg: -0.9, IssuedAt: issued, FetchedAt: b.now.Add(b.within(10*time.Minute) - 5*time.Minute)}
		f.ConfirmedAt = f.FetchedAt
		for h := range 60 {
			f.Hours = append(f.Hours, model.ForecastHour{At: issued.Add(time.Duration(h) * time.Hour), StepH: 1, AirC: model.Known(model.Celsius(b.random.Float64() * 12)), WindMps: model.Known[model.MetresPerSecond](4)})
		}
		return b.db.PutForecast(t.Context(), f)
	}},
	{"a forecast that stands", func(t testing.TB, b *busy) error {
		return b.db.ConfirmForecast(t.Context(), "locationforecast", 52.2, -0.9, b.now.Add(b.within(4*time.Minute)-time.Minute))
	}},
	{"warnings", func(t testing.TB, b *busy) error {
		w := model.OfficialWarning{ID: fmt.Sprint("w-", b.n), From: b.now, Until: model.Known(b.now.Add(9 * time.Hour)), Event: "Wind"}
		return b.db.PutWarnings(t.Context(), model.WarningsAnswer{Source: "nws_alerts", LatDeg: 52.2, LonDeg: -0.9, AskedAt: b.now, Warnings: []model.OfficialWarning{w}})
	}},
	{"warnings that stand", func(t testing.TB, b *busy) error {
		return b.db.ConfirmWarnings(t.Context(), "nws_alerts", 52.2, -0.9, b.now)
	}},
	{"a reading", func(t testing.TB, b *busy) error {
		at := b.now.Add(-b.within(30 * time.Hour))
		return b.db.AddMeterReading(t.Context(), model.MeterReading{ID: fmt.Sprint("m-", b.n), Water: b.oneOf("reedmere", "ottermere"), At: at.Truncate(time.Second), WaterC: model.Known(model.Celsius(3 + b.random.Float64()*4)), Instrument: true, OxygenMgL: model.Known(6.0)})
	}},
	{"a session with a reading", func(t testing.TB, b *busy) error {
		s := b.session(4 * time.Hour)
		s.WaterTemp = model.Known(model.WaterReading{C: model.Celsius(4 + b.random.Float64()*3), Instrument: true})
		return b.db.AddSession(t.Context(), s)
	}},
	{"a session that is not over", func(t testing.TB, b *busy) error {
		if err := b.db.AddSession(t.Context(), b.session(time.Hour)); err != nil {
			return err
		}
		_, err := (&jobs.Joiner{Store: b.db, Now: b.clock}).Run(t.Context())
		return err
	}},
	{"a session is gone", func(t testing.TB, b *busy) error {
		joined, err := b.db.Joined(t.Context())
		if err != nil {
			return err
		}
		return b.db.DeleteSession(t.Context(), joined[b.random.IntN(len(joined))].Session)
	}},
	{"fits", func(t testing.TB, b *busy) error { b.settle(t); return nil }},
	{"states of the waters", func(t testing.TB, b *busy) error { b.keepStates(t); return nil }},
	{"a kit", func(t testing.TB, b *busy) error {
		return b.db.PutKit(t.Context(), model.Kit{Angler: b.oneOf("A0", "A1", "XX"), Feeders: []model.OwnFeeder{{Type: "window", CapacityMl: model.Millilitres(30 + b.n), WeightG: 45}}})
	}},
	{"something seen", func(t testing.TB, b *busy) error {
		kind := []model.ReportKind{model.SawIce, model.HeardThunder, model.SawInvasive}[b.random.IntN(3)]
		return b.db.PutReport(t.Context(), model.Report{ID: fmt.Sprint("r-", b.n), Water: b.oneOf("reedmere", "ottermere"), Kind: kind, At: b.now.Add(-b.within(50 * time.Hour)).Truncate(time.Second)})
	}},
	{"a restriction", func(t testing.TB, b *busy) error {
		from := b.now.Add(b.within(30 * time.Hour)).Truncate(time.Second)
		return b.db.PutRestriction(t.Context(), model.Restriction{ID: fmt.Sprint("x-", b.n), Club: "club", Water: "reedmere", Kind: model.FeedLimit, FeedLimitDryG: model.Known[model.Grams](300), From: from, Until: model.Known(from.Add(5 * time.Hour)), MadeAt: b.now, DecidedBy: "secretary", Reason: "weed"})
	}},
	{"another water", func(t testing.TB, b *busy) error {
		w := reedmere
		w.MeanDepthM += model.Metres(b.n) / 100
		return b.db.PutWater(t.Context(), w)
	}},
}

// session is one that started so long ago, at most.
func (b *busy) session(ago time.Duration) model.Session {
	s := entry(0, b.oneOf("A0", "A1", "A7"), b.random.IntN(6))
	s.Start = b.now.Add(-b.within(ago)).Truncate(time.Second)
	s.End = s.Start.Add(3 * time.Hour)
	s.Water, s.EnteredAt = b.oneOf("reedmere", "ottermere"), s.End
	s.ID = s.DerivedID()
	return s
}

func (b *busy) question() model.Question {
	q := model.Question{
		Water: b.oneOf("reedmere", "reedmere", "ottermere"), Start: b.now.Add(b.within(50*time.Hour) - 30*time.Minute), Hours: 0.5 + 5*b.random.Float64(),
		Group: model.Groups()[b.random.IntN(len(model.Groups()))], Angler: b.oneOf("A0", "A1", "A2", "A7", "XX", ""), Peg: b.oneOf("", "4"),
	}
	if b.random.IntN(12) == 0 {
		q.Start = b.now.Add(-b.within(300 * time.Hour)) // past
	}
	q.Start = q.Start.Truncate(time.Second)
	return q
}

// written is an answer, or its refusal, as everybody gets it.
func written(t testing.TB, answer any, err error) string {
	t.Helper()
	if err != nil {
		return err.Error()
	}
	body, err := json.Marshal(answer)
	done(t, err)
	return string(body)
}

// Whatever is held, and whatever came before, a plan is that of the store to the
// byte, as are conditions.
func TestWhatIsHeldChangesNoAnswer(t *testing.T) {
	b := newBusy(t, 1)
	bare := &jobs.Planner{Store: newApart(b.db), Now: b.clock}
	held := &jobs.Planner{Store: jobs.KeepReads(newApart(b.db)), Now: b.clock}
	answered := 0
	for b.n = range 2 * len(comes) {
		it := comes[b.n%len(comes)]
		done(t, it.put(t, b))
		for range 3 {
			q := b.question()
			want, wrong := bare.Plan(t.Context(), q)
			got, err := held.Plan(t.Context(), q)
			if got, want := written(t, got, err), written(t, want, wrong); got != want {
				t.Fatalf("after %d: %s: %+v\n got %s\nwant %s", b.n, it.name, q, got, want)
			}
			if err == nil {
				answered++
			}
			conditions, wrong := bare.ConditionsFor(t.Context(), q.Angler, q.Water, q.Start, q.End())
			again, err := held.ConditionsFor(t.Context(), q.Angler, q.Water, q.Start, q.End())
			if got, want := written(t, again, err), written(t, conditions, wrong); got != want {
				t.Fatalf("after %d: %s: conditions for %+v\n got %s\nwant %s", b.n, it.name, q, got, want)
			}
			b.now = b.now.Add(b.within([]time.Duration{time.Second, time.Minute, 10 * time.Minute, time.Hour, 5 * time.Hour}[b.random.IntN(5)]))
		}
	}
	if all := 3 * 2 * len(comes); answered < all*2/3 {
		t.Errorf("%d of %d questions were answered with a plan", answered, all)
	}
}

// Many ask at once while the store changes, and each change is seen by whoever asks
// after it.
func TestManyAskAtOnceOfWhatIsHeld(t *testing.T) {
	b := newBusy(t, 2)
	bare := &jobs.Planner{Store: newApart(b.db), Now: b.clock}
	held := &jobs.Planner{Store: jobs.KeepReads(newApart(b.db)), Now: b.clock}
	for round := range 4 {
		b.n = round
		questions := make([]model.Question, 12)
		for i := range questions {
			questions[i] = b.question()
			questions[i].Start = questions[i].Start.Add(time.Hour)
		}
		var asked sync.WaitGroup
		for i := range questions {
			asked.Go(func() {
				if _, err := held.Plan(t.Context(), questions[i]); err != nil {
					t.Errorf("%+v: %v", questions[i], err)
				}
			})
		}
		done(t, b.db.PutKit(t.Context(), model.Kit{Angler: "A0", Feeders: []model.OwnFeeder{{Type: "window", CapacityMl: model.Millilitres(30 + round), WeightG: 45}}}))
		asked.Wait()
		for i := range questions {
			asked.Go(func() {
				want, wrong := bare.Plan(t.Context(), questions[i])
				got, err := held.Plan(t.Context(), questions[i])
				if got, want := written(t, got, err), written(t, want, wrong); got != want {
					t.Errorf("%+v\n got %s\nwant %s", questions[i], got, want)
				}
			})
		}
		asked.Wait()
	}
}

// A plan given when it is issued is the one that is kept, to the byte.
func TestAPlanIsGivenAsItIsKept(t *testing.T) {
	b := newBusy(t, 3)
	planner := b.planner()
	for range 10 {
		q := b.question()
		issued, err := planner.Plan(t.Context(), q)
		if err != nil {
			continue
		}
		kept, err := b.db.Plan(t.Context(), issued.ID)
		if got, want := written(t, issued, nil), written(t, kept, err); got != want {
			t.Fatalf("%+v\n got %s\nkept %s", q, got, want)
		}
	}
}
