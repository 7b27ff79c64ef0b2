package main

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"osier/model/water"
)

// ownFigures are what a water's readings may choose for it, as multiples of what
// the model takes for every water: the share of the wind, and the depth with the
// bed.
type ownFigures struct{ wind, depth float64 }

var (
	asGiven  = ownFigures{1, 1}
	ownTried = []ownFigures{
		asGiven, {0.6, 1}, {0.8, 1}, {1.25, 1}, {1, 0.7}, {1, 0.85}, {1, 1.3}, {0.8, 0.7}, {0.8, 0.85},
	}
)

// ownSd is the prior of the logarithm of either figure, and ownReadingC the
// scatter of a reading about the water, as of the ridge line.
const ownSd, ownReadingC = 0.3, 1.5

// ownRuns are the measured days of a lake under each of the figures.
type ownRuns map[ownFigures][]lakeDay

func runsOf(t *testing.T, site water.Site, hours []lakeHour) ownRuns {
	t.Helper()
	runs := ownRuns{}
	for _, f := range ownTried {
		own, blown := site, slices.Clone(hours)
		own.MeanDepthM = (site.MeanDepthM+0.5)*f.depth - 0.5
		own.Shelter = site.Shelter * f.wind
		for i := range blown {
			if h := &blown[i].weather; h.WindAtWater {
				h.WindMps.Value *= f.wind
			}
		}
		var err error
		if runs[f], err = lakeDays(own, blown); err != nil {
			t.Fatal(err)
		}
	}
	return runs
}

// learn chooses the figures under which the readings, by their days, are met
// best, held towards those given.
func (r ownRuns) learn(readings []int, may func(ownFigures) bool) ownFigures {
	best, least := asGiven, math.Inf(1)
	for _, f := range ownTried {
		if !may(f) {
			continue
		}
		cost := (math.Pow(math.Log(f.wind), 2) + math.Pow(math.Log(f.depth), 2)) / (ownSd * ownSd)
		for _, i := range readings {
			d := r[f][i]
			cost += math.Pow((d.waterC-d.estimate.SurfaceC)/ownReadingC, 2)
		}
		if cost < least {
			best, least = f, cost
		}
	}
	return best
}

// A water's own share of the wind, its own effective depth, and a figure near the
// surface that follows the sun, as a stained water's would, were tried on the
// shared lakes: learnt from readings of the first half, scored on the second, with
// and without a weekly reading there (the ridge line has its table beside this
// one). None wins without harm to another lake, so that none is in the model; the
// test prints the table (-v) and says when that changes. An effective depth comes
// nearest: it is worth 0.05 C at one lake, and takes nearly as much from another.
func TestLearntFiguresOfAWaterDoNotWin(t *testing.T) {
	if testing.Short() {
		t.Skip("some fifty runs of years of weather take seconds")
	}
	worse := map[string]float64{} // than as given, at the lake where it is most so
	for _, lake := range sharedRecords(t) {
		runs := runsOf(t, lake.site, lake.hours)
		given := scoreOwn(t, runs[asGiven])
		t.Logf("%s: %v as given", lake.name, given)
		for _, with := range readingSets(runs[asGiven]) {
			tell := func(kind string, days []lakeDay, learnt string) {
				s := scoreOwn(t, days)
				t.Logf("  %-15s %v, %s", kind+", "+with.name, s, learnt)
				worse[kind+", "+with.name] = max(worse[kind+", "+with.name], s.zeroC-given.zeroC, s.weeklyC-given.weeklyC)
			}
			for _, kind := range ownKinds {
				f := runs.learn(with.days, kind.may)
				tell(kind.name, runs[f], fmt.Sprintf("wind x%.2f, depth x%.2f", f.wind, f.depth))
			}
			days, gainC := withSun(runs[asGiven], lake.hours, with.days)
			tell("sun", days, fmt.Sprintf("%+.2f C for 100 W/m2", gainC))
		}
	}
	for name, harmC := range worse {
		if harmC < ownHarmC {
			t.Errorf("%s now harms no lake by %v C: see whether the model should learn it", name, ownHarmC)
		}
	}
}

var ownKinds = []struct {
	name string
	may  func(ownFigures) bool
}{
	{"wind", func(f ownFigures) bool { return f.depth == 1 }},
	{"depth", func(f ownFigures) bool { return f.wind == 1 }},
	{"both", func(ownFigures) bool { return true }},
}

// ownHarmC is by how much a lake's error may grow before it counts as harmed: the
// pack's figures are printed to half of it.
const ownHarmC = 0.01

// ownScore is the error in C over the second half, and that with weekly readings.
type ownScore struct{ zeroC, biasC, weeklyC float64 }

func (s ownScore) String() string {
	return fmt.Sprintf("RMSE %.2f bias %+.2f, weekly %.2f", s.zeroC, s.biasC, s.weeklyC)
}

func scoreOwn(t *testing.T, days []lakeDay) ownScore {
	t.Helper()
	half := len(days) / 2
	var zero, weekly errorSum
	for _, d := range days[half:] {
		zero.add(d.estimate, d.waterC)
	}
	for phase := range daysAWeek {
		if err := weekly.addWeekly(days, half, phase); err != nil {
			t.Fatal(err)
		}
	}
	return ownScore{zero.rmse(), zero.sumC / zero.n, weekly.rmse()}
}

// readingSet names days by their place.
type readingSet struct {
	name string
	days []int
}

// readingSets are days of the first half with a reading: one a week, and thirty
// in the first half year.
func readingSets(days []lakeDay) []readingSet {
	var weekly, first, thirty []int
	for i, d := range days[:len(days)/2] {
		if d.estimate.Ice {
			continue
		}
		if i%daysAWeek == 0 {
			weekly = append(weekly, i)
		}
		if d.estimate.At.Sub(days[0].estimate.At) < 183*24*time.Hour {
			first = append(first, i)
		}
	}
	for k := range 30 {
		thirty = append(thirty, first[k*len(first)/30])
	}
	return []readingSet{{"weekly", weekly}, {"thirty", thirty}}
}

// usualSunWm2 is the sunlight, as a mean of the day, at which a figure that
// follows the sun is as it was.
const usualSunWm2 = 150

// withSun adds a share of the day's sunlight, learnt from the readings by ridge,
// and says how much 100 W/m2 are worth.
func withSun(days []lakeDay, hours []lakeHour, readings []int) (out []lakeDay, gainC float64) {
	sun := meanOfDays(hours, func(h lakeHour) water.Reading { return h.weather.ShortwaveWm2 })
	excess := func(d lakeDay) float64 {
		at, _ := time.Parse(time.DateOnly, d.day)
		return (sun[int(at.Unix()/secondsADay)] - usualSunWm2) / 100
	}
	products, squares := 0.0, ownReadingC*ownReadingC/(ownSd*ownSd)
	for _, i := range readings {
		products += excess(days[i]) * (days[i].waterC - days[i].estimate.SurfaceC)
		squares += excess(days[i]) * excess(days[i])
	}
	gainC = products / squares
	for _, d := range days {
		d.estimate.SurfaceC = math.Max(0, d.estimate.SurfaceC+gainC*excess(d))
		out = append(out, d)
	}
	return out, gainC
}
