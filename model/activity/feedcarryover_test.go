package activity_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"osier/model/activity"
)

// spells are sessions on two waters whose mood lasts from one to the next with
// the given strength and moves the plan with the other.
func spells(seed uint64, n int, lasts, moves float64) []activity.FeedResidual {
	random := rand.New(rand.NewPCG(seed, 6))
	var out []activity.FeedResidual
	before := map[string]float64{}
	for i := range n {
		water := []string{"mill", "quarry"}[random.IntN(2)]
		s := activity.FeedResidual{Water: water, StartH: float64(24 * i)}
		s.Residual = lasts*before[water] + random.NormFloat64()
		s.LogPlanResidual = moves*before[water] + 0.3*random.NormFloat64()
		before[water] = s.Residual
		out = append(out, s)
	}
	return out
}

func TestFeedCarryOverFindsSpells(t *testing.T) {
	for _, row := range []struct {
		name         string
		lasts, moves float64
		both         bool
	}{
		{"spells that last and move the plan", 0.5, 0.2, true},
		{"spells that last alone", 0.5, 0, false},
		{"plans that follow alone", 0, 0.2, false},
		{"neither", 0, 0, false},
		{"a plan cut after a good day", 0.5, -0.2, true},
	} {
		found := 0
		for seed := range uint64(8) {
			got, err := activity.CarryOver(spells(seed, 150, row.lasts, row.moves))
			if err != nil {
				t.Fatal(err)
			}
			if !got.Known || got.Pairs != 148 || !feedNear(got.PlanSlope, row.moves, 5*got.PlanSE) || !feedNear(got.ResidualSlope, row.lasts, 5*got.ResidualSE) {
				t.Errorf("%s: %+v", row.name, got)
			}
			if got.Both {
				found++
			}
		}
		// One slope of 0 is clear of it once in twenty.
		if row.both && found != 8 || !row.both && found > 3 {
			t.Errorf("%s: found in %d of 8", row.name, found)
		}
	}
}

func TestFeedCarryOverPairsByHand(t *testing.T) {
	// One water; each plan is twice the residual before, plus or minus one.
	var sessions []activity.FeedResidual
	var sx, sxx, sxy, syy, n float64
	before := 0.0
	for i := range 21 {
		residual := math.Mod(float64(i*7), 5)
		plan := 2*before + float64(i%2*2-1)
		sessions = append(sessions, activity.FeedResidual{Water: "mill", StartH: float64(i), LogPlanResidual: plan, Residual: residual})
		if i > 0 {
			n, sx, sxx, sxy, syy = n+1, sx+before, sxx+before*before, sxy+before*plan, syy+plan
		}
		before = residual
	}
	got, err := activity.CarryOver(sessions)
	if err != nil {
		t.Fatal(err)
	}
	slope := (n*sxy - sx*syy) / (n*sxx - sx*sx)
	if got.Pairs != 20 || !got.Known || !feedNear(got.PlanSlope, slope, 1e-12) {
		t.Errorf("%+v, want slope %v from 20 pairs", got, slope)
	}
	// Two that start together before the last: it follows their mean.
	sessions = append(sessions, sessions[19])
	sessions[21].Residual += 4
	both, err := activity.CarryOver(sessions)
	if err != nil || both.Pairs != 21 || both.PlanSlope == got.PlanSlope {
		t.Errorf("a second session at the same start: %+v, %v", both, err)
	}
	rapid.Check(t, func(t *rapid.T) {
		again, err := activity.CarryOver(rapid.Permutation(sessions).Draw(t, "order"))
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(both, again); diff != "" {
			t.Fatalf("the order of sessions changed the check:\n%s", diff)
		}
	})
}

func TestFeedCarryOverWithTooLittle(t *testing.T) {
	short, flat := spells(1, 20, 0.5, 0.2), spells(2, 60, 0, 0)
	for i := range flat {
		flat[i].Residual = 0.25
	}
	for name, sessions := range map[string][]activity.FeedResidual{"none": nil, "18 pairs": short, "residuals that never change": flat} {
		if got, err := activity.CarryOver(sessions); err != nil || got.Known || got.Both || got.PlanSlope != 0 {
			t.Errorf("%s: %+v, %v; want nothing known", name, got, err)
		}
	}
	short[3].Residual = math.NaN()
	if _, err := activity.CarryOver(short); err == nil {
		t.Error("a residual that is no number passed")
	}
}
