package jobs

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"osier/model"
	"osier/model/plan"
	"osier/model/water"
)

// usualStretch is how far most runs go on from a state: sessions without a
// reading lie ten to seventeen days after it.
const usualStretch = 3 * week

// mostHistories is how many runs of the model a water's past holds. Our choice:
// sessions of a week go on from few places.
const mostHistories = 8

// past is the weather of one water for the sessions that are joined to it, which
// come by start. What it says of a session is what a plan asked for at the first
// cast would read, with the weather as it came: it rests on the session, the
// reports and the readings alone, and not on which others are joined with it.
//
// Reports are read once, weeks laid out once, and the model of the water run once
// for all sessions that go on from the same week.
type past struct {
	water model.Water
	name  string // of the water as it is
	now   time.Time
	store *heldReports
	read  *heldReadings

	laid      *laidOut
	states    map[time.Time]pastState // by week
	lines     map[lineOn]water.Line
	histories map[plan.Before]stretch
	moved     int // when their hours were laid out: see laidOut
}

// pastState is where the model stood at the end of a week, if the weather behind
// it is long enough, and whether it was observed throughout.
type pastState struct {
	plan.SpunUp
	ok, observed bool
}

// lineOn names a line: whose readings, those of everybody when empty, and up to
// when.
type lineOn struct {
	angler string
	at     time.Time
}

// stretch is a run of the model through some hours.
type stretch struct {
	history *plan.History
	hours   []model.WeatherHour
}

func pastOf(s Weather, w model.Water, now time.Time) (*past, error) {
	document, err := json.Marshal(w)
	if err != nil {
		return nil, fmt.Errorf("name the water %s: %w", w.ID, err)
	}
	reports := holdReports(s, now)
	return &past{
		water: w, name: nameOf(document), now: now, store: reports, read: holdReadings(s, w),
		laid:   &laidOut{store: reports, water: w, now: now},
		states: map[time.Time]pastState{}, lines: map[lineOn]water.Line{}, histories: map[plan.Before]stretch{},
	}, nil
}

// of is the weather that ruled a session, with the water as its angler could
// know it at the first cast, and what names the angler's own readings in that.
func (p *past) of(ctx context.Context, s model.Session) (weather loaded, readings string, err error) {
	known, err := p.known(ctx, s)
	if err != nil {
		return weather, "", err
	}
	state, err := p.state(ctx, known.begin)
	if err != nil {
		return weather, "", err
	}
	through, err := p.through(ctx, s, known, state)
	if err != nil {
		return weather, "", err
	}
	if len(known.readings) > 0 {
		if through.history, err = through.history.With(known.readings); err != nil {
			return weather, "", err
		}
	}
	readings, err = known.ownName()
	return loaded{history: through.history, hours: through.hours}, readings, err
}

// foreseen is the weather as a plan asked for at the first cast read it.
func (p *past) foreseen(ctx context.Context, s model.Session) (loaded, error) {
	known, err := p.known(ctx, s)
	if err != nil {
		return loaded{}, err
	}
	return weatherFrom(ctx, p.store, p.water, known.begin, known.line, known.readings, s.Start, s.End.Add(time.Hour), s.Start)
}

// knownWater is what a session's angler could know of the water's temperature at
// the first cast.
type knownWater struct {
	readings []model.MeterReading // by which the model is moved
	begin    time.Time            // the end of the week from which the model runs
	line     water.Line           // what the readings of the years before that say
	own      []model.MeterReading // of all these, those that nobody else may see
}

// ownName names the readings that are the angler's own; empty without any.
func (k knownWater) ownName() (string, error) {
	if len(k.own) == 0 {
		return "", nil
	}
	document, err := json.Marshal(k.own)
	if err != nil {
		return "", fmt.Errorf("name the readings of %s: %w", k.own[0].By, err)
	}
	return nameOf(document), nil
}

func (p *past) known(ctx context.Context, s model.Session) (k knownWater, err error) {
	if err := p.read.upTo(ctx, s.Start); err != nil {
		return k, fmt.Errorf("readings at %s: %w", p.water.ID, err)
	}
	own := p.read.ownOf(s.Angler, s.Start.Add(-runIn), s.Start)
	k.readings = append(p.read.postedIn(s.Start.Add(-runIn), s.Start), own...)
	k.begin = beginning(s.Start, k.readings)
	line, ownInLine, err := p.lineBefore(ctx, s.Angler, k.begin)
	if k.line = line; line.Readings > 0 {
		own = append(ownInLine, own...)
	}
	k.own = calibrating(own)
	return k, err
}

// lineBefore is the line of the readings of years, as an answer of that time
// would have had it, and which of the readings are the angler's own.
func (p *past) lineBefore(ctx context.Context, angler string, at time.Time) (line water.Line, own []model.MeterReading, err error) {
	until := at.Add(time.Second) // one of the very instant counts
	own = p.read.ownOf(angler, at.Add(-lineBack), until)
	if len(own) == 0 {
		angler = ""
	}
	on := lineOn{angler, at}
	line, done := p.lines[on]
	if done {
		return line, own, nil
	}
	readings := calibrating(append(p.read.postedIn(at.Add(-lineBack), until), own...))
	if len(readings) >= water.LineReadings {
		if line, err = lineOf(p.water, readings, func(end time.Time) (plan.SpunUp, bool, error) {
			s, err := p.state(ctx, end)
			return s.SpunUp, s.ok && s.observed, err
		}); err != nil {
			return line, own, err
		}
	}
	p.lines[on] = line
	return line, own, nil
}

// state is where the model stood at the end of a week.
func (p *past) state(ctx context.Context, at time.Time) (pastState, error) {
	s, done := p.states[at]
	if done {
		return s, nil
	}
	hours, reported, err := p.laid.hours(ctx, at.Add(time.Hour-spinUp), at)
	if err != nil {
		return s, err
	}
	up, ok, err := spin(p.water, hours, reported, p.now)
	if err != nil {
		return s, err
	}
	s = pastState{up, ok, observed(hours)}
	p.states[at] = s
	return s, nil
}

// through runs the model through a session's hours, on from the state or, where
// the weather is too short for one, anew. A run that goes on is shared by the
// sessions that go on from the same; it goes on to the end of a week, which bears
// on no hour before.
func (p *past) through(ctx context.Context, s model.Session, known knownWater, from pastState) (stretch, error) {
	to := s.End.Add(time.Hour)
	before := plan.Before{Line: known.line}
	if !from.ok {
		return p.run(ctx, before, s.Start.Add(-runIn), to)
	}
	before.State = model.Known(from.State)
	done, held := p.histories[before]
	if held && p.moved == p.laid.moved && !done.hours[len(done.hours)-1].At.Before(to) {
		return done, nil
	}
	until := known.begin.Add(usualStretch)
	if until.Before(to) {
		until = weekEnd(to)
	}
	done, err := p.run(ctx, before, known.begin.Add(time.Hour), until)
	if err != nil {
		return done, err
	}
	if len(p.histories) == mostHistories || p.moved != p.laid.moved {
		clear(p.histories)
		p.moved = p.laid.moved
	}
	p.histories[before] = done
	return done, nil
}

func (p *past) run(ctx context.Context, before plan.Before, from, to time.Time) (stretch, error) {
	hours, _, err := p.laid.hours(ctx, from, to)
	if err != nil {
		return stretch{}, err
	}
	history, err := plan.ContinueHistory(p.water, before, hours, nil, p.now)
	return stretch{history, hours}, err
}
