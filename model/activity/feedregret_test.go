package activity_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"osier/model/activity"
)

// anglersYears is one angler's invented run of sessions on one water under one
// policy: 40 of habit, then those that follow the policy. Bites show as a log
// rate with normal noise, so that the posterior of intercept and feed terms is
// exact: the test is of the choice, not of the fit.
type anglersYears struct {
	// habit is the angler's usual level as a share of the starting rate.
	habit     float64
	random    *rand.Rand
	tried     []activity.FeedTried
	precision *mat.SymDense
	weighted  *mat.VecDense
}

const (
	regretNoise    = 0.7 // sd of a session's log rate
	regretSessions = 200
	regretAnglers  = 6
)

// trueFeed is the planted effect of z at t: at 12 C the best level is 1.4 times
// the starting rate, in warm water more.
func trueFeed(z, t float64) float64 { return 0.35*z - 0.5*z*z + 0.25*z*t }

func newAnglersYears(seed uint64, habit float64) *anglersYears {
	y := &anglersYears{habit: habit, random: rand.New(rand.NewPCG(seed, 3)), precision: mat.NewSymDense(4, nil), weighted: mat.NewVecDense(4, nil)}
	// The model's prior: intercept and the three terms.
	for j, prior := range [][2]float64{{0, 0.8}, {0, 0.15}, {-0.4, 0.3}, {0, 0.1}} {
		y.precision.SetSym(j, j, 1/(prior[1]*prior[1]))
		y.weighted.SetVec(j, prior[0]/(prior[1]*prior[1]))
	}
	for range 40 {
		waterC, starting := y.season()
		y.fish(waterC, starting, starting*habit*math.Exp(0.35*y.random.NormFloat64()))
	}
	return y
}

// season draws a water temperature and the starting rate that goes with it.
func (y *anglersYears) season() (waterC, startingGH float64) {
	waterC = 8 + 12*y.random.Float64()
	return waterC, 90 * math.Exp(0.12*(waterC-8))
}

func (y *anglersYears) fish(waterC, startingGH, rateGH float64) {
	z, t := math.Log(rateGH/startingGH), (waterC-12)/5
	x := []float64{1, z, z * z, z * t}
	seen := trueFeed(z, t) + regretNoise*y.random.NormFloat64()
	for i, a := range x {
		y.weighted.SetVec(i, y.weighted.AtVec(i)+a*seen/(regretNoise*regretNoise))
		for j := i; j < 4; j++ {
			y.precision.SetSym(i, j, y.precision.At(i, j)+a*x[j]/(regretNoise*regretNoise))
		}
	}
	y.tried = append(y.tried, activity.FeedTried{Water: "mill", WaterC: waterC, LogRateGH: math.Log(rateGH)})
}

func (y *anglersYears) terms() (out activity.FeedTerms) {
	var factor mat.Cholesky
	factor.Factorize(y.precision)
	var mean mat.VecDense
	_ = factor.SolveVecTo(&mean, y.weighted)
	var covariance mat.SymDense
	_ = factor.InverseTo(&covariance)
	for i := range 3 {
		out.Mean[i] = mean.AtVec(i + 1)
		for j := range 3 {
			out.Covariance[i][j] = covariance.At(i+1, j+1)
		}
	}
	return out
}

// feedPolicy takes one of a trial's arms; expected is an arm's posterior mean.
type feedPolicy struct {
	name   string
	choose func(trial activity.FeedTrial, expected func(activity.FeedArm) float64, random *rand.Rand) activity.FeedArm
}

var feedPolicies = []feedPolicy{
	{"usual", func(trial activity.FeedTrial, _ func(activity.FeedArm) float64, _ *rand.Rand) activity.FeedArm {
		return nearestTo(trial.Arms, 0)
	}},
	{"uniform", func(trial activity.FeedTrial, _ func(activity.FeedArm) float64, random *rand.Rand) activity.FeedArm {
		return trial.Arms[random.IntN(len(trial.Arms))]
	}},
	{"greedy", func(trial activity.FeedTrial, expected func(activity.FeedArm) float64, _ *rand.Rand) activity.FeedArm {
		best := trial.Arms[0]
		for _, arm := range trial.Arms {
			if expected(arm) > expected(best) {
				best = arm
			}
		}
		return best
	}},
	{"Thompson", func(trial activity.FeedTrial, _ func(activity.FeedArm) float64, _ *rand.Rand) activity.FeedArm {
		return trial.Suggested
	}},
}

// Regret by policy against the best of the five levels within a step of the
// usual one, on offer or not: what is on offer depends on what the policy tried,
// so only that yardstick is the same for all. Figures come out with -v, in bites
// per hour where the starting rate brings one.
func TestFeedTrialRegret(t *testing.T) {
	for _, truth := range []struct {
		name  string
		habit float64
	}{{"a habit too light", 0.75}, {"a habit about right", 1.4}} {
		total := map[string]float64{}
		for _, policy := range feedPolicies {
			regret, worse := make([]float64, regretSessions), 0
			for seed := range uint64(regretAnglers) {
				worse += newAnglersYears(seed, truth.habit).follow(t, policy, rand.New(rand.NewPCG(seed, 4)), regret)
			}
			total[policy.name] = regret[regretSessions-1]
			t.Logf("%s, %-8s regret %.2f at 20, %.2f at 50, %.2f at 100, %.2f at 200; %.1f %% of sessions worse than usual by a fifth",
				truth.name, policy.name, regret[19], regret[49], regret[99], regret[199], 100*float64(worse)/(regretAnglers*regretSessions))
		}
		if !(total["Thompson"] < total["uniform"]) || !(total["Thompson"] > 0) {
			t.Errorf("%s: Thompson's regret after %d sessions is %.3f, uniform's %.3f", truth.name, regretSessions, total["Thompson"], total["uniform"])
		}
	}
}

// follow fishes by a policy, adds the cumulative regret of each session to
// regret and counts the sessions worse than usual by more than a fifth.
func (y *anglersYears) follow(t *testing.T, policy feedPolicy, random *rand.Rand, regret []float64) (worse int) {
	history := activity.NewFeedHistory(y.tried)
	var sum float64
	for n := range regret {
		if n%25 == 24 {
			history = activity.NewFeedHistory(y.tried)
		}
		waterC, starting := y.season()
		warmth := (waterC - 12) / 5
		q := activity.FeedQuestion{Terms: y.terms(), Tried: history, Water: "mill", WaterC: waterC, StartingGH: starting, UsualGH: starting * y.habit, Seed: random.Uint64()}
		trial, err := activity.TryFeed(q)
		if err != nil {
			t.Fatal(err)
		}
		rate := q.UsualGH
		if trial.OK {
			rate = policy.choose(trial, func(arm activity.FeedArm) float64 {
				z := math.Log(arm.RateGH / starting)
				return q.Terms.Mean[0]*z + q.Terms.Mean[1]*z*z + q.Terms.Mean[2]*z*warmth
			}, random).RateGH
		}
		truth := func(rateGH float64) float64 { return math.Exp(trueFeed(math.Log(rateGH/starting), warmth)) }
		best := 0.0
		for step := -2; step <= 2; step++ {
			best = max(best, truth(q.UsualGH*math.Pow(2, float64(step)/2)))
		}
		sum += best - truth(rate)
		regret[n] += sum / regretAnglers
		if truth(rate) < 0.8*truth(q.UsualGH) {
			worse++
		}
		y.fish(waterC, starting, rate)
	}
	return worse
}

// nearestTo is the arm the fewest half steps from the given one.
func nearestTo(arms []activity.FeedArm, halfSteps int) activity.FeedArm {
	best := arms[0]
	for _, arm := range arms {
		if abs(arm.HalfSteps-halfSteps) < abs(best.HalfSteps-halfSteps) {
			best = arm
		}
	}
	return best
}

func abs(n int) int { return max(n, -n) }
