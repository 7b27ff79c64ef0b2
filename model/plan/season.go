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

// seasonStepC is how finely a month's range of water is gone through for its
// range of feed. Our choice.
const seasonStepC = 0.5

// SeasonInput is all that a season plan is made from.
type SeasonInput struct {
	Water   model.Water
	Now     time.Time
	Groups  []model.Group
	Hours   float64
	Fits    map[model.Group]activity.Fit
	FitID   string
	Past    []PastHour // the water's own, in any order; none when there is none
	Credits []string
}

// PastHour is an hour that is over at a water modelled from weather.
type PastHour struct {
	At                  time.Time // local
	WaterC, LowC, HighC float64   // near the surface, with its 80 % interval
	AirC, FeelsC        model.Maybe[model.Celsius]
	GustMps             model.Maybe[model.MetresPerSecond]
}

// Past lists the hours of a span that are over and were modelled from weather,
// corrected by readings.
func (h *History) Past(from, to time.Time) []PastHour {
	first, last := h.span(from, to)
	var out []PastHour
	for i := first; i < last; i++ {
		e, w := h.waterAt(i, h.corrected), h.hours[i]
		if e.Basis != water.Modelled || w.At.After(h.Now) || w.AirC.From.Kind == model.Forecasted {
			continue
		}
		p := PastHour{
			At: w.At.In(h.zone), WaterC: e.SurfaceC, LowC: e.LowC, HighC: e.HighC,
			AirC: known[model.Celsius](w.AirC), GustMps: known[model.MetresPerSecond](w.GustMps),
		}
		p.FeelsC, _ = feelsLike(model.ConditionHour{AirC: p.AirC, WindMps: known[model.MetresPerSecond](w.WindMps), RHPct: humidity(w)})
		out = append(out, p)
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
		Credits: in.Credits, Deferral: model.Deferral, Demo: in.Water.Demo,
	}
	middle := func(m time.Month) time.Time { return time.Date(in.Now.In(zone).Year(), m, 15, 12, 0, 0, 0, zone) }
	for m := time.January; m <= time.December; m++ {
		month, err := in.month(middle(m))
		if err != nil {
			return s, fmt.Errorf("season in %s: %w", m, err)
		}
		s.Months = append(s.Months, month)
	}
	addSpawning(s.Months)
	cold, warm := coldestAndWarmest(s.Months)
	s.Coldest, s.Warmest = cold.Month, warm.Month
	if s.Against, err = in.winterAgainstSummer(cold, warm, middle); err != nil {
		return s, err
	}
	s.Notes = in.notes(s.Months)
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
	m.Cautions = append(waterCautions(m.WaterC, middle, in.Water.LatDeg < 0), weatherCautions(in.Past, middle.Month())...)
	return m, nil
}

// waterOf is the tenth, the half and the nine tenths of the month's hours, or
// the climate's middle and its half width.
func (in SeasonInput) waterOf(middle time.Time) (model.SeasonWater, error) {
	var best, low, high []float64
	days := map[string]bool{}
	for _, p := range in.Past {
		if p.At.Month() == middle.Month() {
			best, low, high = append(best, p.WaterC), append(low, p.LowC), append(high, p.HighC)
			days[dayName(p.At)] = true
		}
	}
	if len(days) >= leastSeasonDays {
		return model.SeasonWater{
			Low: quantile(best, 0.1), Middle: quantile(best, 0.5), High: quantile(best, 0.9),
			MayFallTo: quantile(low, 0.1), MayReach: quantile(high, 0.9), Basis: model.ByHistory, Days: len(days),
		}, nil
	}
	e, err := water.ClimateEstimate(site(in.Water), middle)
	if err != nil {
		return model.SeasonWater{}, err
	}
	w := model.SeasonWater{Low: air.Round(e.LowC, 1), Middle: air.Round(e.SurfaceC, 1), High: air.Round(e.HighC, 1), Basis: model.ByClimate, Days: len(days)}
	w.MayFallTo, w.MayReach = w.Low, w.High
	return w, nil
}

// dayName is a day of the year, the same in every year.
func dayName(at time.Time) string { return at.Format("01-02") }

func quantile(values []float64, share float64) float64 {
	slices.Sort(values)
	return air.Round(values[int(math.Round(share*float64(len(values)-1)))], 1)
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
	for c := w.Low; c <= w.High; c += seasonStepC { // the caps make the rate fall again, so the ends do not bound it
		there, err := at(c)
		if err != nil {
			return model.SeasonGroup{}, err
		}
		low, high = math.Min(low, there.Feed.RateGH), math.Max(high, there.Feed.RateGH)
	}
	f, err := in.expect(g, middle, w.Middle)
	if err != nil {
		return model.SeasonGroup{}, err
	}
	return model.SeasonGroup{
		Group: g, Level: string(p.Feed.Level), RateGH: model.Span{Low: air.Round(low, 0), High: air.Round(high, 0)},
		Step: p.Feeder.Step, CapacityMl: p.Feeder.CapacityMl,
		SoakMin: model.Span{Low: p.Rhythm.SoakLowMin, High: p.Rhythm.SoakHighMin}, RecastMin: air.Round(p.Rhythm.RecastIntervalMin, 1),
		SoakStartMin: air.Round(p.Rhythm.SoakMin, 1), FillsPerH: air.Round(p.Rhythm.FillsPerH, 1),
		OpeningFills: p.Feed.OpeningFills, OpeningRelease: p.Feed.OpeningRelease,
		HookLengthCm: model.Span{Low: p.Hook.LengthLowCm, High: p.Hook.LengthHighCm}, Particles: p.Season.Particles,
		PatienceMin: model.Span{Low: p.Season.PatienceLowMin, High: p.Season.PatienceHighMin},
		BitesPerH:   rateRange(f.RatePerRodHour), Blank: air.Round(f.BlankProbability, 3), Activity: f.Step,
	}, nil
}

// ordinary is an ordinary day in the middle of the month, fed at the trade's own
// rate.
func (in SeasonInput) ordinary(g model.Group, middle time.Time, waterC float64) (activity.Covariates, error) {
	d := OrdinaryDay(in.Water, middle)
	d.WaterC = model.Known(model.Celsius(waterC))
	d.DayOfYear, d.MidHour = float64(middle.YearDay()), float64(middle.Hour())
	return Covariates(g, d)
}

// setting is the water, for an angler nobody knows.
func (in SeasonInput) setting() activity.Setting { return activity.Setting{Water: in.Water.ID} }

func (in SeasonInput) expect(g model.Group, middle time.Time, waterC float64) (activity.Forecast, error) {
	c, err := in.ordinary(g, middle, waterC)
	if err != nil {
		return activity.Forecast{}, err
	}
	f, err := in.Fits[g].Forecast(c, in.setting(), in.Hours)
	if err != nil {
		return f, fmt.Errorf("expect bites of %s: %w", g, err)
	}
	return f, nil
}
