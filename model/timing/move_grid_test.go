package timing_test

import (
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"osier/model/timing"
)

// sharedGrid is the grid for a 4 h session, built once for all tests.
var sharedGrid = sync.OnceValues(func() (*timing.MoveGrid, error) { return timing.NewMoveGrid(0.9, 10, 20, 240) })

func mustGrid(t testing.TB) *timing.MoveGrid {
	t.Helper()
	g, err := sharedGrid()
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// On a node the grid is the table, but that the table takes every bite for a
// true one in the rate, which with false bites lets its values drift up by some
// 0.1 %; what matters, their ratio, is the same.
func TestGridIsExactOnItsNodes(t *testing.T) {
	g := mustGrid(t)
	fresh := timing.Belief{Feeding: 0.9, Rate: timing.Rate{Shape: 0.2 * math.Pow(32, 4.0/7), Hours: math.Pow(1024, 3.0/7) / 16}}
	table := mustTable(t, timing.MoveRule{Fresh: fresh, StepMin: 10, LostMin: 20, Moves: 1, FalseBitesH: timing.FalseBitesH, CarryOver: timing.MoveCarryOver}, 240)
	for here := 0.0; here <= 220; here += 20 {
		for _, bites := range []int{0, 1, 4, 20} {
			got, ok := g.At(fresh, 240-here, here, bites)
			want, okWant := table.At(240-here, here, bites, 1)
			if !ok || !okWant || got.CanMove != want.CanMove {
				t.Fatalf("%g minutes here: %+v, want %+v", here, got, want)
			}
			near(t, "staying", got.StayBites, want.StayBites, 3e-3)
			if want.CanMove {
				near(t, "moving", got.MoveBites, want.MoveBites, 3e-3)
				near(t, "moving over staying", got.MoveBites/got.StayBites, want.MoveBites/want.StayBites, 1e-6)
			}
		}
	}
}

// Between nodes the first blank minute to move may differ from the table's own
// by little: of 60 random priors none by more than 20 minutes, and the bites
// lost by going by the grid stay under 2 %.
func TestGridIsCloseBetweenItsNodes(t *testing.T) {
	g := mustGrid(t)
	random := rand.New(rand.NewPCG(5, 6))
	same, within10, worst, worstLoss := 0, 0, 0.0, 0.0
	const priors = 60
	for range priors {
		shape, mean := math.Exp(random.Float64()*math.Log(12)+math.Log(0.4)), math.Exp(random.Float64()*math.Log(40)+math.Log(0.2))
		fresh := timing.Belief{Feeding: 0.9, Rate: mustRate(t, shape, 0.9*shape/mean)}
		table := mustTable(t, timing.MoveRule{Fresh: fresh, StepMin: 10, LostMin: 20, Moves: 1, FalseBitesH: timing.FalseBitesH, CarryOver: timing.MoveCarryOver}, 240)
		want := firstMove(table, 240, 0)
		got := -1.0
		for minute := 10.0; minute < 240; minute += 10 {
			c, ok := g.At(fresh, 240-minute, minute, 0)
			if !ok {
				t.Fatal("not in the grid")
			}
			exact, _ := table.At(240-minute, minute, 0, 1)
			if c.Move() != exact.Move() {
				worstLoss = max(worstLoss, math.Abs(exact.MoveBites-exact.StayBites)/max(exact.MoveBites, exact.StayBites))
			}
			if c.Move() && got < 0 {
				got = minute
			}
		}
		apart := math.Abs(got - want)
		if got < 0 || want < 0 {
			if got != want {
				apart = 10 // never against the last minutes: worstLoss judges it
			}
		}
		if apart == 0 {
			same++
		}
		if apart <= 10 {
			within10++
		}
		worst = max(worst, apart)
	}
	t.Logf("of %d priors the first blank minute to move is the same in %d, within 10 min in %d, at worst %g min apart; a decision that differs costs at most %.2f %% of the bites left", priors, same, within10, worst, 100*worstLoss)
	if worst > 20 || worstLoss > 0.02 {
		t.Errorf("worst %g min apart, %.2f %% lost", worst, 100*worstLoss)
	}
}

func TestGridRefusesWhatItDoesNotHold(t *testing.T) {
	g := mustGrid(t)
	good := timing.Belief{Feeding: 0.9, Rate: mustRate(t, 1.8, 0.9)}
	if _, ok := g.At(good, 250, 0, 0); ok {
		t.Error("beyond the horizon")
	}
	if _, ok := g.At(timing.Belief{Feeding: 0.7, Rate: good.Rate}, 100, 10, 0); ok {
		t.Error("another chance of feeding")
	}
	if _, ok := g.At(timing.Belief{Feeding: 0.9}, 100, 10, 0); ok {
		t.Error("no rate")
	}
	if _, ok := (*timing.MoveGrid)(nil).At(good, 100, 10, 0); ok {
		t.Error("no grid")
	}
	if c, ok := g.At(good, 100, 10, 75); !ok || c.Move() {
		t.Errorf("with 75 bites: %+v, %v", c, ok)
	}
	for _, rate := range []timing.Rate{{Shape: 0.01, Hours: 0.001}, {Shape: 1000, Hours: 1000}} {
		c, ok := g.At(timing.Belief{Feeding: 0.9, Rate: rate}, 120, 60, 0)
		if !ok || !(c.StayBites >= 0) || !(c.MoveBites >= 0) {
			t.Errorf("beyond the edge: %+v, %v", c, ok)
		}
	}
	if _, err := timing.NewMoveGrid(0, 10, 20, 240); err == nil {
		t.Error("a grid of fish that never feed is made")
	}
	if _, err := timing.NewMoveGrid(0.9, 10, 500, 240); err != nil {
		t.Errorf("moves that cost more than the day: %v", err)
	}
}

// The tables' cost, once per length of day: 8 x 8 priors, one move ahead.
func BenchmarkMoveGrid(b *testing.B) {
	for _, hours := range []float64{4, 8} {
		b.Run(map[float64]string{4: "4h", 8: "8h"}[hours], func(b *testing.B) {
			for b.Loop() {
				g, err := timing.NewMoveGrid(0.9, 10, 20, 60*hours)
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(g.Bytes())/(1<<20), "MiB")
			}
		})
	}
}
