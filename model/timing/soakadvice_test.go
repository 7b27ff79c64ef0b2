package timing_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/model/timing"
)

// record draws casts of sessions of 300 min. The hazard of a session is Weibull's
// with the scale and shape, times a Gamma(gamma)/gamma of its own; limits are
// drawn for each cast from the list.
type record struct {
	sessions     int
	scale, shape float64
	gamma        float64
	limits       []float64
	handlingMin  float64
	mostCasts    int // 0: all
}

func (r record) draw(seed uint64) []timing.Wait {
	random := rand.New(rand.NewPCG(seed, 5))
	var out []timing.Wait
	for s := range r.sessions {
		luck := gammaDraw(random, r.gamma) / r.gamma
		for left := 300.0; left > 0; {
			limit := min(left, r.limits[random.IntN(len(r.limits))])
			bite := r.scale * math.Pow(random.ExpFloat64()/luck, 1/r.shape)
			waited := min(bite, limit)
			left -= waited + r.handlingMin
			out = append(out, timing.Wait{Session: strconv.Itoa(s), Bite: bite <= limit, AfterMin: waited, ByMin: waited})
			if len(out) == r.mostCasts {
				return out
			}
		}
	}
	return out
}

// gammaDraw is Marsaglia & Tsang's method (2000) for shapes of 1 or more.
func gammaDraw(random *rand.Rand, shape float64) float64 {
	d := shape - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := random.NormFloat64()
		v := math.Pow(1+c*x, 3)
		if v > 0 && math.Log(random.Float64()) < x*x/2+d-d*v+d*math.Log(v) {
			return d * v
		}
	}
}

var allLimits = []float64{5, 8, 10, 12, 15, 20, 25, 30}

func adviceOf(t *testing.T, waits []timing.Wait, q timing.SoakQuestion) timing.SoakAdvice {
	t.Helper()
	a, err := fitOf(t, waits).AdviseSoak(q)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// breamAt12C is the trade's soak for bream at 10 to 15 C.
func breamAt12C() timing.SoakQuestion {
	return timing.SoakQuestion{Handling: even(2), TradeStartMin: 7, Trade: timing.SoakRange{LowMin: 4, HighMin: 15}, Seed: 1}
}

// The trap: sessions of constant hazard, Gamma(2, 30 min) over sessions. Pooled
// they ask for a recast at 13.1 min; the truth is never.
func TestSessionsThatDifferAreNoReasonToRecast(t *testing.T) {
	const records = 30
	var pooled float64
	found := 0
	for seed := range uint64(records) {
		waits := record{sessions: 60, scale: 15, shape: 1, gamma: 2, limits: allLimits, handlingMin: 2}.draw(seed)
		if adviceOf(t, waits, breamAt12C()).Verdict == timing.SoakFound {
			found++
		}
		soak, _, _ := curveOf(t, first(timing.WholeMinutes(waits)), bitesOf(waits)).PooledSoak(even(2))
		pooled += soak / records
	}
	t.Logf("pooled casts ask for a recast at %.1f min on average; a best soak was named in %d of %d records", pooled, found, records)
	if math.Abs(pooled-13.1) > 2.5 {
		t.Errorf("the pooled soak is %g min on average; the trap should show near 13", pooled)
	}
	if found > records/10 {
		t.Errorf("a best soak was named in %d of %d records where there is none", found, records)
	}
}

func first(minutes []float64, _ []bool) []float64 { return minutes }

func bitesOf(waits []timing.Wait) []bool {
	_, bites := timing.WholeMinutes(waits)
	return bites
}

// With a hazard that truly falls in every session the best soak, 5.2 min, is found.
func TestAHazardThatFallsHasItsSoakFound(t *testing.T) {
	const records = 20
	found := 0
	for seed := range uint64(records) {
		a := adviceOf(t, record{sessions: 30, scale: 20, shape: 0.7, gamma: 2.5, limits: allLimits, handlingMin: 2}.draw(seed), breamAt12C())
		if a.Verdict != timing.SoakFound {
			continue
		}
		found++
		// The hazard may change at 3, 6 and 10 min.
		if a.SoakMin < 3 || a.SoakMin > 10 || a.Interval == nil || a.Interval.Low90 > a.Interval.MedianMin || a.Interval.MedianMin > a.Interval.High90 {
			t.Errorf("record %d: %+v, %+v", seed, a, a.Interval)
		}
	}
	t.Logf("found in %d of %d records", found, records)
	if found < records*8/10 {
		t.Errorf("the soak was found in %d of %d records", found, records)
	}
}

func TestWhoseRangeBinds(t *testing.T) {
	falls := record{sessions: 30, scale: 20, shape: 0.7, gamma: 2.5, limits: allLimits, handlingMin: 2}
	cold := timing.SoakQuestion{Handling: even(2), TradeStartMin: 12, Trade: timing.SoakRange{LowMin: 8, HighMin: 25}, Seed: 1}
	short := falls
	short.limits, short.mostCasts = []float64{3, 5}, 40
	few := falls
	few.mostCasts = 49
	enough := falls
	enough.mostCasts = 50
	for _, row := range []struct {
		name      string
		waits     []timing.Wait
		binds     string
		low, high float64
		verdict   timing.SoakVerdict // empty: either
	}{
		{"49 casts keep the trade's range", few.draw(2), timing.TradeBinds, 8, 25, ""},
		{"50 casts keep the range tried", enough.draw(2), timing.TriedBinds, 0, 30, ""},
		{"soaks all shorter than the trade's", short.draw(2), timing.TradeBinds, 8, 25, timing.SoakFromTrade},
		{"three bites", falls.draw(2)[:6], timing.TradeBinds, 8, 25, timing.SoakFromTrade},
	} {
		a := adviceOf(t, row.waits, cold)
		if a.Binds != row.binds || a.Binding.LowMin < row.low || a.Binding.HighMin > row.high || (row.verdict != "" && a.Verdict != row.verdict) {
			t.Errorf("%s: got %+v", row.name, a)
		}
		if a.SoakMin < a.Binding.LowMin || a.SoakMin > a.Binding.HighMin || a.NearlyAsGood.LowMin < a.Binding.LowMin || a.NearlyAsGood.HighMin > a.Binding.HighMin {
			t.Errorf("%s: %+v leaves the range that binds", row.name, a)
		}
		if row.verdict == timing.SoakFromTrade && (a.SoakMin != 12 || a.NearlyAsGood != cold.Trade || !strings.Contains(a.Text, "8 to 25 min, the trade's usual range")) {
			t.Errorf("%s: got %+v", row.name, a)
		}
	}
}

func TestNoAdvicePassesTheLongestSoakTried(t *testing.T) {
	rising := record{sessions: 20, scale: 15, shape: 1.6, gamma: 2.5, limits: []float64{6, 9, 11}, handlingMin: 2}
	for _, casts := range []int{40, 0} {
		rising.mostCasts = casts
		a := adviceOf(t, rising.draw(4), breamAt12C())
		if a.Verdict != timing.SoakNone || a.SoakMin > 11 || a.NearlyAsGood.HighMin > 11 || a.Interval != nil {
			t.Errorf("got %+v, want no best soak and nothing past 11 min", a)
		}
		if !strings.HasPrefix(a.Text, "No best soak in these casts") || !strings.Contains(a.Text, "11 min, the longest soak tried") {
			t.Errorf("the text is %q", a.Text)
		}
	}
}

func TestTheSameSeedGivesTheSameAdvice(t *testing.T) {
	waits := record{sessions: 20, scale: 20, shape: 0.7, gamma: 2.5, limits: allLimits, handlingMin: 2}.draw(9)
	a := adviceOf(t, waits, breamAt12C())
	if diff := cmp.Diff(a, adviceOf(t, waits, breamAt12C())); diff != "" {
		t.Error(diff)
	}
}

func TestASoakQuestionOutOfRangeIsRefused(t *testing.T) {
	fit := fitOf(t, record{sessions: 5, scale: 20, shape: 0.7, gamma: 2.5, limits: allLimits, handlingMin: 2}.draw(1))
	for name, change := range map[string]func(*timing.SoakQuestion){
		"handling":     func(q *timing.SoakQuestion) { q.Handling.BlankMin = 0 },
		"start":        func(q *timing.SoakQuestion) { q.TradeStartMin = 30 },
		"range":        func(q *timing.SoakQuestion) { q.Trade = timing.SoakRange{LowMin: 9, HighMin: 4} },
		"not a number": func(q *timing.SoakQuestion) { q.Trade.LowMin = math.NaN() },
	} {
		q := breamAt12C()
		change(&q)
		if a, err := fit.AdviseSoak(q); err == nil {
			t.Errorf("%s: got %+v", name, a)
		}
	}
}

// The interval by draws of the posterior is that by resampling sessions, since
// the fit has an effect of each.
func TestDrawsOfASoakAgreeWithTheBootstrapOfSessions(t *testing.T) {
	waits := record{sessions: 40, scale: 12, shape: 0.85, gamma: 2.5, limits: allLimits, handlingMin: 2}.draw(52)
	bySession := map[string][]timing.Wait{}
	for _, w := range waits {
		bySession[w.Session] = append(bySession[w.Session], w)
	}
	random := rand.New(rand.NewPCG(1, 2))
	const resamples = 150
	var soaks []float64
	for range resamples {
		var again []timing.Wait
		for i := range len(bySession) {
			for _, w := range bySession[strconv.Itoa(random.IntN(len(bySession)))] {
				w.Session = strconv.Itoa(i)
				again = append(again, w)
			}
		}
		best, err := typicalOf(t, fitOf(t, again), "", "").BestSoak(even(2))
		if err != nil {
			t.Fatal(err)
		}
		if best.Interior {
			soaks = append(soaks, best.SoakMin)
		}
	}
	slices.Sort(soaks)
	without := 1 - float64(len(soaks))/resamples
	a := adviceOf(t, waits, breamAt12C())
	if a.Interval == nil {
		t.Fatalf("no interval: %+v", a)
	}
	t.Logf("draws: %+v, without %.2f; bootstrap: median %g, %g to %g, without %.2f", *a.Interval, a.WithoutShare, soaks[len(soaks)/2], soaks[len(soaks)/20], soaks[len(soaks)*19/20], without)
	if math.Abs(without-a.WithoutShare) > 0.12 || soaks[len(soaks)/2] != a.Interval.MedianMin {
		t.Errorf("draws: %+v, without %g; bootstrap: median %g, without %g", *a.Interval, a.WithoutShare, soaks[len(soaks)/2], without)
	}
}
