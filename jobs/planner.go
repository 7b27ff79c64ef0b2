package jobs

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"time"

	"osier/model"
	"osier/model/caution"
	"osier/model/plan"
)

// PlanStore is what planning reads, and where plans are kept as issued.
type PlanStore interface {
	Weather
	OfficialWarnings
	Water(ctx context.Context, id string) (model.Water, error)
	Kit(ctx context.Context, angler string) (model.Kit, error)
	Reports(ctx context.Context, water string, from, to time.Time) ([]model.Report, error)
	Restrictions(ctx context.Context, water string, from, to time.Time) ([]model.Restriction, error)
	Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error)
	Joined(ctx context.Context) ([]model.JoinedSession, error)
	PublicRows(ctx context.Context) ([]model.JoinedSession, error)
	LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error)
	AddPlan(ctx context.Context, p model.Plan) error
	Plan(ctx context.Context, id string) (model.Plan, error)
}

// Planner answers what the weather means at a water, and issues plans.
type Planner struct {
	Store PlanStore
	Now   func() time.Time
	// Officer tells of advice to close a water in Conditions. Plans, which others
	// may see, never carry it.
	Officer bool
}

// Figures of a plan's setting; all our choice but the first.
const (
	sessionsToKnow  = 3                   // of this angler at a water that counts as known (trade pack 3.5)
	reportsBack     = 14 * 24 * time.Hour // how far back reports are handed to the cautions
	pastAllowed     = time.Hour           // a session that began within the hour is still planned as one to come
	usualDays       = 45                  // either side of the day: this season
	usualSessions   = 5                   // at least, before records say what is usual
	similarC        = 3.0                 // water temperatures that count as alike
	pegEffortWindow = 7 * 24 * time.Hour
	mostPegEffort   = 1000 // rod-hours in that window; the model reads no more
)

// Conditions says what the weather means at a water between two instants, from
// what everybody may see.
func (p *Planner) Conditions(ctx context.Context, water string, from, to time.Time) (model.Conditions, error) {
	return p.ConditionsFor(ctx, "", water, from, to)
}

// ConditionsForOfficers says the same to officers of a club that has the water:
// with where closing it should be considered.
func (p *Planner) ConditionsForOfficers(ctx context.Context, water string, from, to time.Time) (model.Conditions, error) {
	told := *p
	told.Officer = true
	return told.Conditions(ctx, water, from, to)
}

// ConditionsFor says the same to one angler, whose own records of the water's
// temperature correct it as well.
func (p *Planner) ConditionsFor(ctx context.Context, angler, water string, from, to time.Time) (model.Conditions, error) {
	p, err := p.reading(ctx)
	if err != nil {
		return model.Conditions{}, err
	}
	w, err := p.Store.Water(ctx, water)
	if err != nil {
		return model.Conditions{}, err
	}
	now := p.Now()
	weather, err := p.weather(ctx, w, angler, from, to.Add(afterwards), now)
	if err != nil {
		return model.Conditions{}, err
	}
	around, err := p.surroundings(ctx, w, weather, from, to, now)
	if err != nil {
		return model.Conditions{}, err
	}
	around.Officer = p.Officer
	return weather.history.Conditions(from, to, around)
}

// afterwards is how much weather after the hours asked for the cautions want to
// see: thunder on its way.
const afterwards = 5 * time.Hour

// weather is that of a water over a span.
func (p *Planner) weather(ctx context.Context, w model.Water, angler string, from, to, now time.Time) (loaded, error) {
	if held, ok := p.Store.(*heldReads); ok {
		return held.weather(ctx, w, angler, from, to, now)
	}
	return loadWeather(ctx, p.Store, w, angler, from, to, now)
}

func (p *Planner) surroundings(ctx context.Context, w model.Water, weather loaded, from, until, now time.Time) (plan.Surroundings, error) {
	reports, err := p.Store.Reports(ctx, w.ID, now.Add(-reportsBack), now)
	if err != nil {
		return plan.Surroundings{}, err
	}
	meter, err := oxygenReadings(ctx, p.Store, w.ID, now)
	if err != nil {
		return plan.Surroundings{}, err
	}
	restrictions, err := restrictionsIn(ctx, p.Store, w.ID, from, until)
	if err != nil {
		return plan.Surroundings{}, err
	}
	warned, err := officialWarnings(ctx, p.warnings(now), w, now)
	around := caution.Around{Reports: reports, Restrictions: restrictions, Meter: meter, Warnings: warned.warnings, WarningsKnown: warned.known}
	return plan.Surroundings{Around: around, Credits: append(weather.credits, warned.credits...), Version: weather.version, Demo: w.Demo}, err
}

// Plan issues a plan. The same question, asked in the same hour with nothing
// changed that the plan rests on, gets the plan that was issued first.
func (p *Planner) Plan(ctx context.Context, q model.Question) (model.Plan, error) {
	now := p.Now()
	if err := q.Validate(now); err != nil {
		return model.Plan{}, err
	}
	p, err := p.reading(ctx)
	if err != nil {
		return model.Plan{}, err
	}
	fit, err := fitInForce(ctx, p.Store, q.Angler, fitAsOf(q.Start, now))
	if err != nil {
		return model.Plan{}, err
	}
	in, err := p.gather(ctx, q, fit, now)
	if err != nil {
		return model.Plan{}, err
	}
	id, err := planID(in, now)
	if err != nil {
		return model.Plan{}, err
	}
	if issued, err := p.Store.Plan(ctx, id); err == nil || model.CodeOf(err) != model.NotFound {
		return issued, err
	}
	made, err := plan.Build(in)
	if err != nil {
		return model.Plan{}, err
	}
	made.ID = id
	if err := p.Store.AddPlan(ctx, made); model.CodeOf(err) == model.Conflict {
		return p.Store.Plan(ctx, id) // somebody else was quicker
	} else if err != nil {
		return model.Plan{}, err
	}
	return made, nil
}

// planID names a plan by everything that made it, so that a report, a kit or a
// change of the water that came in since makes another plan.
func planID(in plan.Input, now time.Time) (string, error) {
	made, err := json.Marshal(struct {
		Question model.Question
		Water    model.Water
		Around   plan.Surroundings
		Kit      *model.Kit
		Known    bool
		Fit      string
		Evidence model.Evidence
		Effort   model.Maybe[float64]
		Usual    model.Drivers
		UsualZ   model.Maybe[float64]
		Readings []model.MeterReading
		Hour     int64
	}{in.Question, in.History.Water, in.Around, in.Kit, in.KnownWater, in.FitID, in.Evidence, in.PegEffortH, in.Usual, in.UsualFeedZ, in.History.Readings(), now.Truncate(time.Hour).Unix()})
	if err != nil {
		return "", fmt.Errorf("name the plan: %w", err)
	}
	sum := sha256.Sum256(made)
	return "p-" + hex.EncodeToString(sum[:8]), nil
}

// gather reads everything that a plan is made from, beside the fit.
func (p *Planner) gather(ctx context.Context, q model.Question, fit inForce, now time.Time) (plan.Input, error) {
	var in plan.Input
	p, err := p.reading(ctx)
	if err != nil {
		return in, err
	}
	w, err := p.Store.Water(ctx, q.Water)
	if err != nil {
		return in, err
	}
	zone, err := p.zone(w)
	if err != nil {
		return in, err
	}
	q = q.Plainly(zone)
	in.Question = q
	weather, err := p.weather(ctx, w, q.Angler, q.Start, q.End().Add(afterwards), now)
	if err != nil {
		return in, err
	}
	if err := inReach(q, weather.hours, now); err != nil {
		return in, err
	}
	in.History = weather.history
	if in.Around, err = p.surroundings(ctx, w, weather, q.Start, q.End(), now); err != nil {
		return in, err
	}
	in.Around.Alone, in.Around.Keepnet = q.Alone, q.Keepnet
	if err := p.elsewhere(ctx, &in.Around, q, now); err != nil {
		return in, err
	}
	if q.Peg != "" {
		peg, err := w.Peg(q.Peg)
		if err != nil {
			return in, err
		}
		in.Around.Peg = &peg
	}
	if in.Kit, err = p.kit(ctx, q.Angler); err != nil {
		return in, err
	}
	in.FitID, in.Fit, in.FeedSeed = fit.id, fit.fits[q.Group], feedSeed(q)
	return p.gatherRecords(ctx, in, fit, now)
}

// feedSeed draws once for an angler, a water, a group and a day: asking again
// gets no other draw, and nothing that bears on bites enters.
func feedSeed(q model.Question) uint64 {
	sum := sha256.Sum256([]byte(q.Water + "|" + q.Angler + "|" + string(q.Group) + "|" + q.Start.Format(time.DateOnly)))
	return binary.BigEndian.Uint64(sum[:8])
}

// elsewhereBack is how far back another water fished is asked about (cautions
// pack, section 3, biosecurity).
const elsewhereBack = 14 * 24 * time.Hour

// elsewhere adds where the angler last fished another water, with what was
// reported there.
func (p *Planner) elsewhere(ctx context.Context, around *plan.Surroundings, q model.Question, now time.Time) error {
	if q.Angler == "" {
		return nil
	}
	around.AnglerKnown = true
	sessions, err := p.Store.Sessions(ctx, "", q.Angler, q.Start.Add(-elsewhereBack-24*time.Hour), now)
	if err != nil {
		return err
	}
	for _, s := range sessions {
		if s.Water != q.Water && !s.End.After(q.Start) && !s.End.Before(around.LastElsewhere.Value) {
			around.LastElsewhere, around.LastElsewhereWater = model.Known(s.End), s.Water
		}
	}
	if !around.LastElsewhere.Known {
		return nil
	}
	reports, err := p.Store.Reports(ctx, around.LastElsewhereWater, now.Add(-reportsBack), now)
	around.Reports = append(around.Reports, reports...)
	return err
}

// inReach refuses a start in the past for which there is no weather: nothing
// could be said about it.
func inReach(q model.Question, hours []model.WeatherHour, now time.Time) error {
	if !q.Start.Before(now.Add(-pastAllowed)) {
		return nil
	}
	for _, h := range hours {
		if h.AirC.Known && !h.At.Before(q.Start.Truncate(time.Hour)) && h.At.Before(q.End()) {
			return nil
		}
	}
	return model.Invalidf("start", "give a start from now on, or pull that time's weather first", "%s is past, and no weather is stored for it", q.Start.Format(time.RFC3339))
}

func (p *Planner) kit(ctx context.Context, angler string) (*model.Kit, error) {
	if angler == "" {
		return nil, nil
	}
	kit, err := p.Store.Kit(ctx, angler)
	if model.CodeOf(err) == model.NotFound {
		return nil, nil
	}
	return &kit, err
}

// gatherRecords adds what the records say: whether the water is known, the
// evidence, the effort on the peg, and what is usual here. Other people's
// sessions count as far as the public fit has read them, and in the first and
// the third not at all.
func (p *Planner) gatherRecords(ctx context.Context, in plan.Input, fit inForce, now time.Time) (plan.Input, error) {
	q := in.Question
	var own []model.Session
	if q.Angler != "" {
		var err error
		if own, err = p.Store.Sessions(ctx, q.Water, q.Angler, time.Unix(0, 0), now); err != nil {
			return in, err
		}
		own = endedBy(own, earlier(q.Start, now))
		in.PegEffortH = pegEffort(own, q.Peg, q.Start)
	}
	in.KnownWater = q.KnownWater.Or(len(own) >= sessionsToKnow)
	rests, err := p.grounds(ctx, q, fit, now)
	if err != nil {
		return in, err
	}
	day := in.History.Drivers(plan.Outing{Start: q.Start, End: q.End(), Group: q.Group})
	in.Evidence = evidence(rests, q, day, in.Fit)
	in.Usual = usual(rests, q, day, in.History.Water)
	in.UsualFeedZ = usualFeedZ(rests, q.Angler, day)
	return in, nil
}

// endedBy are those of some sessions that were over by an instant.
func endedBy(sessions []model.Session, at time.Time) []model.Session {
	for i := range sessions {
		if sessions[i].End.After(at) {
			return slices.DeleteFunc(slices.Clone(sessions), func(s model.Session) bool { return s.End.After(at) })
		}
	}
	return sessions
}

// fitAsOf is when the fit must have been in force: one made after a session of
// the past may have read it.
func fitAsOf(start, now time.Time) time.Time {
	if start.Before(now.Add(-pastAllowed)) {
		return start
	}
	return now
}

func earlier(start, now time.Time) time.Time {
	if start.Before(now) {
		return start
	}
	return now
}

// pegEffort is the rod-hours that these sessions, the asker's own, spent on a
// peg in the seven days before, as fits read it; missing when no peg is named.
func pegEffort(sessions []model.Session, peg string, before time.Time) model.Maybe[float64] {
	if peg == "" {
		return model.Maybe[float64]{}
	}
	total := 0.0
	for _, s := range sessions {
		if s.Peg == peg && s.End.After(before.Add(-pegEffortWindow)) && !s.End.After(before) {
			total += s.RodHours()
		}
	}
	return model.Known(min(total, mostPegEffort))
}

// daysApart counts round the turn of the year.
func daysApart(a, b float64) float64 {
	d := math.Abs(a - b)
	return math.Min(d, 365-d)
}
