package main

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"osier/model/water"
)

// lakeRecord is a lake of the shared folder, read.
type lakeRecord struct {
	name  string
	site  water.Site
	hours []lakeHour
}

// misdated is the lake whose weather is dated late, by misdatedDays whole days at
// the least.
const misdated, misdatedDays = "crystal-bog", 2

// sharedRecords are the lakes as they are recorded, and the misdated one with its
// weather moved as well.
func sharedRecords(t *testing.T) []lakeRecord {
	t.Helper()
	const folder = "../../../shared/data/water"
	if _, err := os.Stat(folder); err != nil {
		t.Skip("the lakes are not here: " + folder)
	}
	files := os.DirFS(folder)
	lakes, err := waterLakes(files)
	if err != nil {
		t.Fatal(err)
	}
	var out []lakeRecord
	for _, l := range lakes {
		site, hours, err := l.record(files)
		if err != nil {
			t.Fatal(err)
		}
		name := strings.TrimSuffix(l.File, ".csv")
		out = append(out, lakeRecord{name, site, hours})
		if name == misdated {
			out = append(out, lakeRecord{name + ", weather " + fmt.Sprint(misdatedDays) + " days earlier", site, earlierWeather(hours, misdatedDays)})
		}
	}
	return out
}

// earlierWeather dates the weather of a record some days earlier than it is, and
// leaves the water where it stands.
func earlierWeather(hours []lakeHour, days int) []lakeHour {
	out := slices.Clone(hours[:len(hours)-24*days])
	for i := range out {
		at := out[i].weather.At
		out[i].weather = hours[i+24*days].weather
		out[i].weather.At = at
	}
	return out
}

// No water warms before the sun shines. At the lake that is hardest to meet it
// does, by two days, in each of its ten years: its weather, taken from another
// source than its water, is dated late. That, and not its shelter or its stain, is
// most of its error and of what its 80 % interval misses, and no interval may be
// widened by it. The pack's figures to beat rest on the record as it is.
func TestOneLakesWeatherIsDatedLate(t *testing.T) {
	for _, lake := range sharedRecords(t) {
		lead := sunAfterWarming(lake.hours)
		days, err := lakeDays(lake.site, lake.hours)
		if err != nil {
			t.Fatal(err)
		}
		s := scoreOwn(t, days)
		covered := coverOf(days[len(days)/2:], 1)
		t.Logf("%-40s warms most %d days before its sun; %v, 80 %% interval holds %.2f", lake.name, lead, s, covered)
		if late := lake.name == misdated; late != (lead >= misdatedDays) {
			t.Errorf("%s warms most %d days before its sun", lake.name, lead)
		} else if late != (covered < 0.75) || late != (s.zeroC > 1.6) {
			t.Errorf("%s: the 80 %% interval holds %.2f of the days, RMSE %.2f C", lake.name, covered, s.zeroC)
		}
	}
}

// sunAfterWarming is how many days after a day the sunlight lies that goes best
// with the warming of the water about that day; 0 where the record is right.
func sunAfterWarming(hours []lakeHour) (days int) {
	sun := meanOfDays(hours, func(h lakeHour) water.Reading { return h.weather.ShortwaveWm2 })
	waterC := meanOfDays(hours, func(h lakeHour) water.Reading { return h.waterC })
	best := math.Inf(-1)
	for ahead := -4; ahead <= 4; ahead++ {
		var xs, ys []float64
		for day := range waterC {
			before, known := waterC[day-1]
			after, knownAfter := waterC[day+1]
			unusual, ok := besideWeeks(sun, day+ahead)
			if ok && known && knownAfter {
				xs = append(xs, unusual)
				ys = append(ys, after-before)
			}
		}
		if c := correlationOf(xs, ys); c > best {
			best, days = c, ahead
		}
	}
	return days
}

// meanOfDays is the mean of a value over each day on which it is known; days are
// counted from 1970 on the lake's own clock.
func meanOfDays(hours []lakeHour, get func(lakeHour) water.Reading) map[int]float64 {
	sums, n := map[string]float64{}, map[string]float64{}
	for _, h := range hours {
		if r := get(h); r.Known {
			sums[h.day] += r.Value
			n[h.day]++
		}
	}
	means := map[int]float64{}
	for day, sum := range sums {
		if at, err := time.Parse(time.DateOnly, day); err == nil {
			means[int(at.Unix()/secondsADay)] = sum / n[day]
		}
	}
	return means
}

const secondsADay = 24 * 60 * 60

// besideWeeks is the sunlight of a day less the mean of the fortnight about it.
func besideWeeks(sun map[int]float64, day int) (float64, bool) {
	mean := 0.0
	for near := day - 7; near <= day+7; near++ {
		s, ok := sun[near]
		if !ok {
			return 0, false
		}
		mean += s / 15
	}
	return sun[day] - mean, true
}

func correlationOf(xs, ys []float64) float64 {
	n, x, y, xx, yy, xy := float64(len(xs)), 0.0, 0.0, 0.0, 0.0, 0.0
	for i := range xs {
		x, y = x+xs[i]/n, y+ys[i]/n
	}
	for i := range xs {
		xx += (xs[i] - x) * (xs[i] - x)
		yy += (ys[i] - y) * (ys[i] - y)
		xy += (xs[i] - x) * (ys[i] - y)
	}
	return xy / math.Sqrt(xx*yy)
}

// A wider interval for sheltered or stained water was looked for. Each lake's own
// width is asked of the others, by what their first halves need for 80 %, and held
// against its second half: the others ask for a narrower one throughout. One lake
// of five is known to be sheltered and stained, and with its dates put right it
// needs no more than it has, so that nothing is added.
func TestNoOtherLakeAsksForAWiderInterval(t *testing.T) {
	records := sharedRecords(t)
	days := map[string][]lakeDay{}
	for _, lake := range records {
		var err error
		if days[lake.name], err = lakeDays(lake.site, lake.hours); err != nil {
			t.Fatal(err)
		}
	}
	for _, lake := range records {
		mine := days[lake.name]
		own := widthFor80(mine[:len(mine)/2])
		var others []float64
		for _, o := range records {
			if theirs := days[o.name]; o.name != misdated && !strings.HasPrefix(lake.name, strings.Split(o.name, ",")[0]) {
				others = append(others, widthFor80(theirs[:len(theirs)/2]))
			}
		}
		widest := slices.Max(others)
		second := mine[len(mine)/2:]
		t.Logf("%-40s holds %.2f as it is; its first half asks for x%.2f (%.2f), the others for x%.2f at most (%.2f)",
			lake.name, coverOf(second, 1), own, coverOf(second, own), widest, coverOf(second, widest))
		if widest > 1 {
			t.Errorf("without %s the widest interval asked for is x%.2f", lake.name, widest)
		}
	}
}

// coverOf is the share of days within the interval made wider by a factor.
func coverOf(days []lakeDay, factor float64) float64 {
	held := 0.0
	for _, d := range days {
		if lacking(d) <= factor {
			held++
		}
	}
	return held / float64(len(days))
}

// lacking is by what factor the interval of a day would just hold the water.
func lacking(d lakeDay) float64 {
	above := (d.waterC - d.estimate.SurfaceC) / (d.estimate.HighC - d.estimate.SurfaceC)
	below := (d.estimate.SurfaceC - d.waterC) / (d.estimate.SurfaceC - d.estimate.LowC)
	return math.Max(above, below)
}

// widthFor80 is the factor by which the intervals of the days hold 80 % of them.
func widthFor80(days []lakeDay) float64 {
	factors := make([]float64, len(days))
	for i, d := range days {
		factors[i] = lacking(d)
	}
	slices.Sort(factors)
	return factors[len(factors)*8/10]
}
