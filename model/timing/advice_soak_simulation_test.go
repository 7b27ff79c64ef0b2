package timing_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"osier/model/timing"
)

// The casts of the statistics pack's section 7: a session's luck G is
// Gamma(2.5)/2.5, a cast without a bite yet at t has survived with
// (1 + (t/14)^1.8)^-G, handling takes 1.5 minutes, a session 300; a session's
// limit is one of the soaks below, which are also the range that policies are
// held to. There a typical session's best soak, 32 minutes, lies beyond the
// longest, so a second truth has a scale of 5 minutes and its best inside.
const (
	castLuckShape             = 2.5
	castShape                 = 1.8
	castHandlingMin           = 1.5
	castSessionMin            = 300.0
	castShortest, castLongest = 5.0, 30.0

	// Trade pack 3.4: bream at 10 to 15 C.
	tradeSoakMin, tradeLowMin, tradeHighMin = 7.0, 4.0, 15.0
)

var castLimitsMin = []float64{5, 8, 10, 12, 15, 20, 25, 30}

func drawLuck(random *rand.Rand) float64 {
	return distuv.Gamma{Alpha: castLuckShape, Beta: castLuckShape, Src: random}.Rand()
}

// castLaw is a session's true law of waiting.
type castLaw struct{ luck, scaleMin float64 }

// wait is the time at which a cast's survival has fallen to u.
func (l castLaw) wait(u float64) float64 {
	return l.scaleMin * math.Pow(math.Expm1(-math.Log(u)/l.luck), 1/castShape)
}

func (l castLaw) survival(t float64) float64 {
	return math.Exp(-l.luck * math.Log1p(math.Pow(t/l.scaleMin, castShape)))
}

// playCasts fishes a session at one soak; casts of the same number share their
// uniform whatever the soak, so that policies are compared on the same luck.
func playCasts(law castLaw, soakMin float64, seed uint64) (bitesPerH float64) {
	random := rand.New(rand.NewPCG(seed, 77))
	bites, clock := 0, 0.0
	for clock < castSessionMin {
		wait := law.wait(random.Float64())
		if wait < soakMin {
			bites++
		}
		clock += min(wait, soakMin) + castHandlingMin
	}
	return 60 * float64(bites) / clock
}

// history is what an angler has recorded of past sessions, in whole minutes.
func history(t *testing.T, scaleMin float64, sessions int, random *rand.Rand) []timing.Wait {
	t.Helper()
	var waits []timing.Wait
	for i := range sessions {
		law, limit := castLaw{drawLuck(random), scaleMin}, castLimitsMin[random.IntN(len(castLimitsMin))]
		for clock := 0.0; clock < castSessionMin; {
			wait := law.wait(random.Float64())
			c := timing.CastRecord{Session: fmt.Sprint(i + 1), SoakMin: limit}
			if wait < limit {
				c = timing.CastRecord{Session: c.Session, TrueBite: true, BiteMin: math.Ceil(wait), Timing: timing.WholeMinute}
			}
			w, err := c.Wait()
			if err != nil {
				t.Fatal(err)
			}
			waits = append(waits, w)
			clock += min(wait, limit) + castHandlingMin
		}
	}
	return waits
}

// adviseSoak is the soak that the product would advise from such a history, and
// the range that it calls as good.
func adviseSoak(t *testing.T, waits []timing.Wait, seed uint64) timing.SoakAdvice {
	t.Helper()
	fit, err := timing.FitHazard(waits, timing.UsualHazardPrior(2.5))
	if err != nil {
		t.Fatal(err)
	}
	a, err := fit.AdviseSoak(timing.SoakQuestion{
		Handling: timing.Handling{BlankMin: castHandlingMin, BiteMin: castHandlingMin}, Seed: seed,
		TradeStartMin: tradeSoakMin, Trade: timing.SoakRange{LowMin: tradeLowMin, HighMin: tradeHighMin},
	})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// lawStepMin is the grid of the trapezium sums over a law.
const lawStepMin = 0.05

// ratesH are the long-run bites an hour at soaks of 0, 0.05, 0.1 ... minutes.
func (l castLaw) ratesH() []float64 {
	rates, soaked := []float64{0}, 0.0
	for i := 1; float64(i)*lawStepMin <= castLongest+lawStepMin/2; i++ {
		t := float64(i) * lawStepMin
		soaked += lawStepMin * (l.survival(t-lawStepMin) + l.survival(t)) / 2
		rates = append(rates, 60*(1-l.survival(t))/(soaked+castHandlingMin))
	}
	return rates
}

func lawStep(soakMin float64) int { return int(math.Round(soakMin / lawStepMin)) }

// bestSoak is the soak with the most bites an hour when the luck is known.
func (l castLaw) bestSoak() float64 {
	rates := l.ratesH()
	best := lawStep(castShortest)
	for i := best; i < len(rates); i++ {
		if rates[i] > rates[best] {
			best = i
		}
	}
	return float64(best) * lawStepMin
}

// soakPolicies are the soaks that do not hang on a session's luck.
type soakPolicies struct {
	adviceMin, lowEndMin []float64 // by history
	none                 int       // histories without a best soak
}

// soakRun is one session's bites an hour by policy.
type soakRun struct{ advice, lowEnd, trade, fixed, known float64 }

// regretOf is 1 - policy/reference over the sessions, and its standard error by
// linearising the ratio; histories are the unit, since their sessions share the
// advice.
func regretOf(runs [][]soakRun, policy, reference func(soakRun) float64) (mine, other, regret, se float64) {
	n := 0.0
	for _, history := range runs {
		for _, r := range history {
			mine += policy(r)
			other += reference(r)
			n++
		}
	}
	ratio := mine / other
	var squares float64
	for _, history := range runs {
		var apart float64
		for _, r := range history {
			apart += policy(r) - ratio*reference(r)
		}
		squares += apart * apart
	}
	h := float64(len(runs))
	return mine / n, other / n, 1 - ratio, math.Sqrt(squares*h/(h-1)) / other
}

// The soak that the advice names against the best fixed soak known in
// hindsight, the trade's cold-start table and a policy that knows the session's
// luck: 500 sessions a case, an equal share for each of some histories. Beside
// the sessions as played, the same policies by the law itself, without the luck
// of the casts, and there also the shortest soak that the advice calls nearly as
// good.
func TestAdvisedSoakAgainstTheBestKnowable(t *testing.T) {
	histories, perHistory := 10, 50
	recorded := []int{30}
	if isLong() {
		histories, perHistory = 50, 10
		recorded = []int{3, 10, 30, 100}
	}
	for _, scaleMin := range []float64{14, 5} {
		for _, sessions := range recorded {
			t.Logf("scale %g min, %d sessions recorded, %d histories, %d sessions fished:", scaleMin, sessions, histories, histories*perHistory)
			soakCase(t, scaleMin, sessions, histories, perHistory)
		}
	}
}

func soakCase(t *testing.T, scaleMin float64, sessions, histories, perHistory int) {
	random := rand.New(rand.NewPCG(20250301, uint64(sessions)))
	var p soakPolicies
	for h := range histories {
		a := adviseSoak(t, history(t, scaleMin, sessions, random), uint64(h))
		p.adviceMin, p.lowEndMin = append(p.adviceMin, a.SoakMin), append(p.lowEndMin, a.NearlyAsGood.LowMin)
		if a.Verdict == timing.SoakNone {
			p.none++
		}
		if a.NearlyAsGood.LowMin < castShortest || a.NearlyAsGood.HighMin > castLongest {
			t.Errorf("a history of %d sessions advises %+v, outside what was tried", sessions, a.NearlyAsGood)
		}
	}
	var laws []castLaw
	var seeds []uint64
	for range histories * perHistory {
		laws, seeds = append(laws, castLaw{drawLuck(random), scaleMin}), append(seeds, random.Uint64())
	}
	t.Logf("  soaks advised %.3g, low ends %.3g; no best soak found in %d histories", p.adviceMin, p.lowEndMin, p.none)
	played := func(i int, soakMin float64) float64 { return playCasts(laws[i], soakMin, seeds[i]) }
	p.report(t, "played", laws, played, sessions)
	p.report(t, "by the law", laws, lawRates(laws), sessions)
}

// lawRates looks the long-run rate of a session at a soak up.
func lawRates(laws []castLaw) func(int, float64) float64 {
	rates := make([][]float64, len(laws))
	for i, law := range laws {
		rates[i] = law.ratesH()
	}
	return func(i int, soakMin float64) float64 { return rates[i][lawStep(soakMin)] }
}

// bestFixed is the one soak that would have given the sessions the most bites.
func bestFixed(sessions int, rate func(int, float64) float64) (soakMin float64) {
	top := 0.0
	for soak := castShortest; soak <= castLongest; soak += 0.5 {
		var sum float64
		for i := range sessions {
			sum += rate(i, soak)
		}
		if sum > top {
			top, soakMin = sum, soak
		}
	}
	return soakMin
}

// report sets the policies side by side, in the sessions' rates as given.
func (p soakPolicies) report(t *testing.T, how string, laws []castLaw, rate func(int, float64) float64, sessions int) {
	t.Helper()
	fixedMin := bestFixed(len(laws), rate)
	runs := make([][]soakRun, len(p.adviceMin))
	for i, law := range laws {
		h := i * len(runs) / len(laws)
		runs[h] = append(runs[h], soakRun{
			advice: rate(i, p.adviceMin[h]), lowEnd: rate(i, p.lowEndMin[h]), trade: rate(i, tradeSoakMin),
			fixed: rate(i, fixedMin), known: rate(i, law.bestSoak()),
		})
	}
	t.Logf("  %s, best fixed soak %g min:", how, fixedMin)
	advice := func(r soakRun) float64 { return r.advice }
	for _, c := range []struct {
		name       string
		policy, of func(soakRun) float64
		atMost     float64
	}{
		{"the advice against the best fixed soak", advice, func(r soakRun) float64 { return r.fixed }, 0.03},
		{"the advice against the luck known", advice, func(r soakRun) float64 { return r.known }, 0.05},
		{"the advice against the trade's table", advice, func(r soakRun) float64 { return r.trade }, 0},
		{"its low end against the best fixed soak", func(r soakRun) float64 { return r.lowEnd }, func(r soakRun) float64 { return r.fixed }, 0.06},
	} {
		mine, other, regret, se := regretOf(runs, c.policy, c.of)
		t.Logf("    %s: %.3f and %.3f bites an hour, regret %.2f %% (95 %% interval %.2f to %.2f)", c.name, mine, other, 100*regret, 100*(regret-1.96*se), 100*(regret+1.96*se))
		if sessions >= 10 && regret > c.atMost {
			t.Errorf("%d sessions recorded, %s: regret %.2f %%, want at most %.2f %%", sessions, c.name, 100*regret, 100*c.atMost)
		}
	}
}
