package plan

import (
	"fmt"
	"math"
	"slices"
	"time"

	"osier/model"
	"osier/model/activity"
	"osier/model/air"
	"osier/model/feeder"
	"osier/model/solar"
	"osier/model/water"
)

// leastSeasonDays is how many days of modelled water a month must have behind it
// to be told from the water's own history. Our choice.
const leastSeasonDays = 20

// warmestFedC is the warmest water that the trade's tables are asked about; they
// are flat from 22 C on.
const warmestFedC = 40.0

// SeasonInput is all that a season plan is made from.
type SeasonInput struct {
	Water  model.Water
	Now    time.Time
	Groups []model.Group
	Hours  float64
	Fits   map[model.Group]activity.Fit
	FitID  string
	Past   []WaterAt // the water's own, in any order; none when there is none
}

// WaterAt is the modelled temperature of a water in one hour that is over.
type WaterAt struct {
	At time.Time
	C  float64
}

// Modelled lists the hours of a span that are over and were modelled from
// weather, with the temperature near the surface, corrected by readings.
func (h *History) Modelled(from, to time.Time) []WaterAt {
	first, last := h.span(from, to)
	var out []WaterAt
	for i := first; i < last; i++ {
		e := h.waterAt(i, h.corrected)
		if e.Basis == water.Modelled && !h.hours[i].At.After(h.Now) && h.hours[i].AirC.From.Kind != model.Forecasted {
			out = append(out, WaterAt{At: h.hours[i].At.In(h.zone), C: e.SurfaceC})
		}
	}
	return out
}

// Season lays a water's year out month by month: its water from its own history,
// or from its climate where that is too short, and the trade's way of fishing
// such water (trade pack, sections 3 and 5.1).
func Season(in SeasonInput) (model.SeasonPlan, error) {
	zone, err := in.Water.Location()
	if err != nil {
		return model.SeasonPlan{}, err
	}
	s := model.SeasonPlan{
		Water: in.Water.ID, WaterName: in.Water.Name, AskedAt: in.Now, Zone: in.Water.Zone, Fit: in.FitID, Hours: in.Hours,
		Deferral: model.Deferral, Demo: in.Water.Demo,
	}
	year := in.Now.In(zone).Year()
	for m := time.January; m <= time.December; m++ {
		month, err := in.month(time.Date(year, m, 15, 12, 0, 0, 0, zone))
		if err != nil {
			return s, fmt.Errorf("season in %s: %w", m, err)
		}
		s.Months = append(s.Months, month)
	}
	addSpawning(s.Months)
	s.Against = winterAgainstSummer(s.Months)
	s.Notes = seasonNotes(s.Months)
	return s, nil
}

func (in SeasonInput) month(middle time.Time) (model.SeasonMonth, error) {
	m := model.SeasonMonth{Month: int(middle.Month()), Name: middle.Month().String(), Groups: []model.SeasonGroup{}}
	var err error
	if m.WaterC, err = in.waterOf(middle); err != nil {
		return m, err
	}
	m.Band, _ = feeder.SeasonBand(m.WaterC.Middle)
	if m.Light, err = in.lightOf(middle, m.WaterC.Middle); err != nil {
		return m, err
	}
	for _, g := range in.Groups {
		group, err := in.group(g, middle, m.WaterC)
		if err != nil {
			return m, err
		}
		m.Groups = append(m.Groups, group)
	}
	m.Cautions = seasonCautions(m.WaterC, middle, in.Water.LatDeg < 0)
	return m, nil
}

// waterOf is the tenth, the half and the nine tenths of the month's hours, or
// the climate's middle and its half width.
func (in SeasonInput) waterOf(middle time.Time) (model.SeasonWater, error) {
	var all []float64
	days := map[string]bool{}
	for _, p := range in.Past {
		if p.At.Month() == middle.Month() {
			all = append(all, p.C)
			days[p.At.Format(time.DateOnly)] = true
		}
	}
	if len(days) >= leastSeasonDays {
		slices.Sort(all)
		at := func(share float64) float64 { return air.Round(all[int(math.Round(share*float64(len(all)-1)))], 1) }
		return model.SeasonWater{Low: at(0.1), Middle: at(0.5), High: at(0.9), Basis: "history", Days: len(days)}, nil
	}
	e, err := water.ClimateEstimate(site(in.Water), middle)
	if err != nil {
		return model.SeasonWater{}, err
	}
	return model.SeasonWater{
		Low: air.Round(e.LowC, 1), Middle: air.Round(e.SurfaceC, 1), High: air.Round(e.HighC, 1), Basis: "climate", Days: len(days),
	}, nil
}

func (in SeasonInput) lightOf(middle time.Time, waterC float64) (model.SeasonLight, error) {
	t, ok := solar.SunTimes(in.Water.LatDeg, in.Water.LonDeg, middle)
	if !ok {
		return model.SeasonLight{}, fmt.Errorf("the sun is not computed for %s", middle.Format(time.DateOnly))
	}
	l := model.SeasonLight{DayLengthH: air.Round(t.DayLengthH(), 1)}
	if !t.Rise.IsZero() {
		l.Rise = model.Known(t.Rise.In(middle.Location()).Truncate(time.Minute))
	}
	if !t.Set.IsZero() {
		l.Set = model.Known(t.Set.In(middle.Location()).Truncate(time.Minute))
	}
	if s, ok := feeder.SeasonFor(feeder.Silver, waterC); ok { // the same for every group
		l.WorthFishing = s.Hours
	}
	return l, nil
}

// group is the trade's plan at the month's middle water, with the rates of its
// colder and warmer ends, and what ordinary weather would bring.
func (in SeasonInput) group(g model.Group, middle time.Time, w model.SeasonWater) (model.SeasonGroup, error) {
	at := func(waterC float64) (feeder.Plan, error) {
		waterC = math.Min(waterC, warmestFedC)
		return feeder.ColdStart(feeder.Input{
			Group: feeder.Group(g), WaterC: waterC, WaterLowC: waterC, WaterHighC: waterC,
			DistanceM: usualDistanceM, DepthM: float64(in.Water.MeanDepthM), Hours: in.Hours, KnownWater: true,
			DryLimitG: float64(in.Water.FeedLimitDryG.Or(0)),
		})
	}
	p, err := at(w.Middle)
	if err != nil {
		return model.SeasonGroup{}, err
	}
	low, high := p.Feed.RateGH, p.Feed.RateGH
	for _, c := range []float64{w.Low, w.High} {
		end, err := at(c)
		if err != nil {
			return model.SeasonGroup{}, err
		}
		low, high = math.Min(low, end.Feed.RateGH), math.Max(high, end.Feed.RateGH)
	}
	f, err := in.expect(g, middle, w.Middle)
	if err != nil {
		return model.SeasonGroup{}, err
	}
	return model.SeasonGroup{
		Group: g, Level: string(p.Feed.Level), RateGH: model.Span{Low: air.Round(low, 0), High: air.Round(high, 0)},
		Step: p.Feeder.Step, CapacityMl: p.Feeder.CapacityMl,
		SoakMin: model.Span{Low: p.Rhythm.SoakLowMin, High: p.Rhythm.SoakHighMin}, RecastMin: air.Round(p.Rhythm.RecastIntervalMin, 1),
		OpeningFills: p.Feed.OpeningFills, OpeningRelease: p.Feed.OpeningRelease,
		HookLengthCm: model.Span{Low: p.Hook.LengthLowCm, High: p.Hook.LengthHighCm}, Particles: p.Season.Particles,
		PatienceMin: model.Span{Low: p.Season.PatienceLowMin, High: p.Season.PatienceHighMin},
		BitesPerH:   rateRange(f.RatePerRodHour), Blank: air.Round(f.BlankProbability, 3), Activity: f.Step,
	}, nil
}

// expect asks the fit about an ordinary day in the middle of the month, fed at
// the trade's own rate.
func (in SeasonInput) expect(g model.Group, middle time.Time, waterC float64) (activity.Forecast, error) {
	d := OrdinaryDay(in.Water, middle)
	d.WaterC = model.Known(model.Celsius(waterC))
	d.DayOfYear, d.MidHour = float64(middle.YearDay()), float64(middle.Hour())
	c, err := Covariates(g, d)
	if err != nil {
		return activity.Forecast{}, err
	}
	f, err := in.Fits[g].Forecast(c, in.Hours)
	if err != nil {
		return f, fmt.Errorf("expect bites of %s: %w", g, err)
	}
	return f, nil
}
