package jobs_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

// foretell keeps a forecast of two days of wind and air, issued and fetched an
// hour before a session.
func (b *bench) foretell(t *testing.T, s model.Session, windMps model.MetresPerSecond, before time.Duration) {
	t.Helper()
	at := s.Start.Add(-before)
	f := model.Forecast{Source: "locationforecast", LatDeg: 52.2, LonDeg: -0.9, IssuedAt: at, FetchedAt: at, ConfirmedAt: at}
	for h := range 49 {
		f.Hours = append(f.Hours, model.ForecastHour{
			At: at.Truncate(time.Hour).Add(time.Duration(h) * time.Hour), StepH: 1, AirC: model.Known[model.Celsius](2), DewC: model.Known[model.Celsius](1),
			WindMps: model.Known(windMps), SeaLevelHPa: model.Known[model.Hectopascals](1009), CloudFraction: model.Known(1.0), Rain: model.Known(model.Rain{Mm: 1, OverH: 1}),
		})
	}
	done(t, b.db.PutForecast(t.Context(), f))
}

// regressors are what a fit reads of each session, whole and by the hour.
func (b *bench) regressors(t *testing.T) map[string][]model.Drivers {
	t.Helper()
	out := map[string][]model.Drivers{}
	for _, j := range b.joined(t) {
		out[j.Session] = append(out[j.Session], j.Regressors())
		for _, i := range j.Intervals {
			out[j.Session] = append(out[j.Session], i.Regressors())
		}
	}
	return out
}

// Trap 15 of the statistics pack: testing, and learning, on observed weather
// that was a forecast at the time.
func TestFitsReadTheWeatherAsItWasForecast(t *testing.T) {
	b := newBench(t)
	b.putWeather(t) // its own forecast is of noon on the 6th, after every session
	sessions := b.addRecords(t, 3, 5, 0)
	b.foretell(t, sessions[0], 9, time.Hour)
	b.foretell(t, sessions[0], 12, -time.Hour) // an hour into it: nobody had that before the first cast
	counts := b.join(t)
	if counts["as forecast"] != 1 || counts["joined"] != 3 {
		t.Errorf("counts %v, want one session of three by a forecast", counts)
	}
	for _, j := range b.joined(t) {
		if j.Session != sessions[0].ID {
			if j.Basis != model.AsObserved || j.Foreseen != nil || j.Regressors() != j.Drivers {
				t.Errorf("basis %q of a session without a forecast", j.Basis)
			}
			continue
		}
		r := j.Regressors()
		// The hour of 8 o'clock had been reported by then, those of 9, 10 and 11 were forecast.
		if want := model.MetresPerSecond(3+3*9) / 4; r.WindMps.Value != want || j.Drivers.WindMps.Value != 3 || r.RainMm.Value != 4 {
			t.Errorf("wind %v read and %v on record, rain %v; want %v, 3 and 4", r.WindMps.Value, j.Drivers.WindMps.Value, r.RainMm.Value, want)
		}
		if j.Basis != model.AsForecast || j.ForeseenWeather == "" || j.ForeseenWeather == j.Weather {
			t.Errorf("basis %q by weather %q; the weather on record is %q", j.Basis, j.ForeseenWeather, j.Weather)
		}
		if r.PlannedGH != j.Drivers.PlannedGH || r.DayOfYear != j.Drivers.DayOfYear {
			t.Errorf("regressors %+v differ from the record in more than the weather", r)
		}
	}
	if again := b.join(t); again["joined"] != 0 || again["as forecast"] != 1 {
		t.Errorf("joining again did %v", again)
	}
}

func TestWhatWasObservedAfterTheFirstCastChangesNoRegressor(t *testing.T) {
	b := newBench(t)
	b.putWeather(t)
	sessions := b.addRecords(t, 3, 5)
	tally := record(3, "VP", 4)
	tally.Style = model.Hourly
	for h := range 4 {
		at := tally.Start.Add(time.Duration(h) * time.Hour)
		tally.Intervals = append(tally.Intervals, model.Interval{Start: at, End: at.Add(time.Hour), Bites: model.Known(1), Fish: model.Known(0)})
	}
	done(t, b.db.AddSession(t.Context(), tally))
	for _, s := range append(sessions, tally) {
		b.foretell(t, s, 9, 2*time.Hour)
	}
	b.join(t)
	before := b.regressors(t)
	if len(before[tally.ID]) != 5 {
		t.Fatalf("%d rows of the tally, want it and four hours", len(before[tally.ID]))
	}
	var storm []model.Observation
	for _, s := range append(sessions, tally) {
		for h := range 5 {
			o := report(s.Start.Add(time.Duration(h+1) * time.Hour))
			o.AirC, o.WindMps, o.QNHHPa, o.CloudOktas = model.Known[model.Celsius](20), model.Known[model.MetresPerSecond](15), model.Known[model.Hectopascals](980), model.Known(0)
			o.Corrected, o.Raw = true, o.Raw+" COR"
			storm = append(storm, o)
		}
	}
	_, err := b.db.PutObservations(t.Context(), storm)
	done(t, err)
	// The record tells of the storm, and no fit does.
	b.join(t)
	if diff := cmp.Diff(before, b.regressors(t)); diff != "" {
		t.Errorf("a storm nobody foresaw is read by fits (-before +after):\n%s", diff)
	}
	for _, j := range b.joined(t) {
		if j.Drivers.WindMps.Value < 10 {
			t.Errorf("the record of %s tells of %v m/s, want the storm", j.Session, j.Drivers.WindMps.Value)
		}
	}
	// Nor where the row is made anew: the tally is the earliest, so that all of
	// the storm came after it began.
	done(t, b.db.ReplaceSession(t.Context(), tally, 1))
	b.join(t)
	if diff := cmp.Diff(before[tally.ID], b.regressors(t)[tally.ID]); diff != "" {
		t.Errorf("joined anew, a storm nobody foresaw is read by fits (-before +after):\n%s", diff)
	}
}
