package caution

import (
	"math"
	"strconv"
	"time"

	"osier/model"
	"osier/model/air"
)

// Around is what is known of an outing besides the water and its weather.
type Around struct {
	Peg     *model.Peg           // nil when none was named
	Reports []model.Report       // those of other waters are passed over
	Meter   []model.MeterReading // of oxygen, recent
	Alone   bool
	Keepnet bool // one is to be used
	Officer bool // of the club: is told of advice to close, nobody else is

	// Warnings are official ones for the place. WarningsKnown says whether a feed
	// of them was asked lately, and answered.
	Warnings      []model.OfficialWarning
	WarningsKnown bool

	// Restrictions are what clubs decided about the water for any part of the
	// hours; those of other waters are passed over.
	Restrictions []model.Restriction

	// LastElsewhere is when and where the angler last fished another water; not
	// known when they did not lately, or, where the angler is not known either,
	// when nobody could say.
	AnglerKnown        bool
	LastElsewhere      model.Maybe[time.Time]
	LastElsewhereWater string
}

// Input is all that the cautions rest on.
type Input struct {
	Around
	Water       model.Water
	Zone        *time.Location // of the water; looked up where it is nil
	From, Until time.Time      // the hours planned

	// Hours is the hourly weather and water, whole hours, one entry each. To
	// clear everything it must reach from 8 days before From (a dry spell before
	// yesterday's thunder) to 3 h after Until (thunder): what is not there is not
	// checked.
	Hours []model.ConditionHour

	// Now parts the hours for which thunder can have been observed from those
	// for which it can only be forecast.
	Now          time.Time
	ForecastAgeH model.Maybe[float64] // not known counts as old
}

// oldForecastH is the age beyond which a forecast clears nothing; cautions
// pack, section 1, our choice.
const oldForecastH = 6

// outing is the input made ready for the checks.
type outing struct {
	Input
	loc    *time.Location
	layout string
	byHour map[int64]int // index in Hours by the Unix time of its hour; nil where each follows the one before

	planned []model.ConditionHour // the whole hours that the outing touches

	noon   time.Time // of the last day whose night was asked for,
	nightH float64   // and its length
}

func newOuting(in Input) *outing {
	o := &outing{Input: in, layout: "15:04"}
	loc, err := in.Zone, error(nil)
	if loc == nil {
		loc, err = in.Water.Location()
	}
	if err != nil {
		// A water without a zone still gets its warnings, in a named zone.
		loc, o.layout = time.UTC, "15:04 MST"
	}
	o.loc = loc
	// A day is named only where the hour alone would not say which.
	if first, last := in.From.In(loc), in.Until.In(loc).Add(-1); first.YearDay() != last.YearDay() || first.Year() != last.Year() {
		o.layout = "Mon " + o.layout
	}
	for i := range in.Hours {
		if o.byHour == nil && !in.Hours[i].At.Equal(in.Hours[0].At.Add(time.Duration(i)*time.Hour)) {
			o.byHour = hoursByTime(in.Hours)
		}
	}
	for at := o.From.Truncate(time.Hour); at.Before(o.Until); at = at.Add(time.Hour) {
		o.planned = append(o.planned, o.hour(at))
	}
	return o
}

// hour gives the readings of the whole hour that starts at the time; where
// there are none, an hour in which nothing is known.
func (o *outing) hour(at time.Time) model.ConditionHour {
	if i, ok := o.place(at.Unix()); ok {
		return o.Hours[i]
	}
	return model.ConditionHour{At: at, Weather: model.Missing}
}

// place is that in Hours of the hour that begins at a Unix time.
func (o *outing) place(at int64) (int, bool) {
	const hour = 60 * 60
	if o.byHour != nil || len(o.Hours) == 0 {
		i, ok := o.byHour[at]
		return i, ok
	}
	since := at - o.Hours[0].At.Unix()
	return int(since / hour), since >= 0 && since%hour == 0 && since/hour < int64(len(o.Hours))
}

func hoursByTime(hours []model.ConditionHour) map[int64]int {
	places := make(map[int64]int, len(hours))
	for i := range hours {
		places[hours[i].At.Unix()] = i
	}
	return places
}

// all is the whole outing, for what does not change by the hour.
func (o *outing) all(f finding) finding {
	f.from, f.until = o.From, o.Until
	return f
}

// outdated says whether something is known only from a forecast too old to
// clear anything.
func (o *outing) outdated(kind model.Kind) bool {
	ageH, known := finite(o.ForecastAgeH)
	return kind == model.Forecasted && (!known || ageH > oldForecastH)
}

// outdatedHours marks the hours that an old forecast must not clear. The mark
// is of the lowest level, so that it shows only where nothing was raised.
func (o *outing) outdatedHours(subject string, kind func(model.ConditionHour) model.Kind) []finding {
	why := "the age of the forecast is not known"
	if ageH, known := finite(o.ForecastAgeH); known {
		why = "the forecast is " + figure(ageH) + " h old and clears nothing"
	}
	var marks []finding
	for _, h := range o.planned {
		if o.outdated(kind(h)) {
			marks = append(marks, hourly(h, notChecked(note, subject, why, "a forecast at most 6 h old")))
		}
	}
	return marks
}

// weatherKind is how the weather of an hour as a whole came to be.
func weatherKind(h model.ConditionHour) model.Kind { return h.Weather }

// finite reads a value that may not be known. One that is no finite number is
// not known either.
func finite[T ~float64](m model.Maybe[T]) (float64, bool) {
	v := float64(m.Value)
	if !m.Known || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, false
	}
	return v, true
}

// put enters a figure under a name with its unit, where it is known.
func put[T ~float64](figures map[string]float64, name string, m model.Maybe[T]) {
	if v, ok := finite(m); ok {
		figures[name] = v
	}
}

// figure prints a number to one decimal at most.
func figure(x float64) string { return strconv.FormatFloat(air.Round(x, 1), 'f', -1, 64) }
