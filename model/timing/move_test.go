package timing_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"osier/model/timing"
)

// ruleOf is a question as updating.json puts it: lines have nothing in common
// and every bite is a true one.
func ruleOf(t testing.TB, feeding, shape, rateMin, lostMin float64) timing.MoveRule {
	return timing.MoveRule{Fresh: timing.Belief{Feeding: feeding, Rate: mustRate(t, shape, rateMin/60)}, StepMin: 10, LostMin: lostMin, Moves: 1}
}

func mustTable(t testing.TB, rule timing.MoveRule, horizonMin float64) *timing.MoveTable {
	t.Helper()
	table, err := timing.NewMoveTable(rule, horizonMin)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

// Figures: updating.json; minutes are exact, -1 is never.
func TestMoveTable(t *testing.T) {
	for _, c := range []struct {
		feeding, shape, rateMin, lostMin float64
		value, never                     float64
		first                            map[int]float64
	}{
		{0.7, 1.8, 54, 20, 6.9699870430879365, 5.599993287686478, map[int]float64{0: 40, 1: 110, 2: -1, 3: -1, 5: -1}},
		{0.7, 1.8, 54, 40, 6.695506356117388, 5.599993287686478, map[int]float64{0: 50, 1: -1, 2: -1, 3: -1, 5: -1}},
		{0.95, 1.8, 108, 20, 4.199640705811979, 3.799999999788596, map[int]float64{0: 60, 1: 130, 2: -1, 3: -1, 5: -1}},
	} {
		table := mustTable(t, ruleOf(t, c.feeding, c.shape, c.rateMin, c.lostMin), 240)
		start, ok := table.At(240, 0, 0, 1)
		if !ok {
			t.Fatal("the start is not in the table")
		}
		near(t, "value", start.StayBites, c.value, 1e-10)
		never, _ := table.At(240, 0, 0, 0)
		near(t, "value without moving", never.StayBites, c.never, 1e-10)
		for bites, want := range c.first {
			if got := firstMove(table, 240, bites); got != want {
				t.Errorf("with %d bites the first minute to move is %g, want %g", bites, got, want)
			}
		}
	}
}

func firstMove(table *timing.MoveTable, horizonMin float64, bites int) float64 {
	for minute := 10.0; minute < horizonMin; minute += 10 {
		if choice, ok := table.At(horizonMin-minute, minute, bites, 1); ok && choice.Move() {
			return minute
		}
	}
	return -1
}

// The myopic rule would leave after 10 blank minutes (statistics pack 4.3: 4.09
// bites against 4.90), where the table waits 40.
func TestTheTableIsNotTheMyopicRule(t *testing.T) {
	rule := ruleOf(t, 0.7, 1.8, 54, 20)
	now, err := rule.Fresh.After(0, 10.0/60, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "staying, myopically", now.MeanH()*230/60, 4.09, 0.005)
	near(t, "moving, myopically", rule.Fresh.MeanH()*210/60, 4.90, 1e-9)
	choice, _ := mustTable(t, rule, 240).At(230, 10, 0, 1)
	if choice.Move() {
		t.Errorf("the table moves after 10 blank minutes: %+v", choice)
	}
}

func TestValueNeverFallsWithTimeLeftNorWithAnotherMove(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rule := timing.MoveRule{
			Fresh:   timing.Belief{Feeding: rapid.Float64Range(0.2, 1).Draw(t, "feeding"), Rate: timing.Rate{Shape: rapid.Float64Range(0.3, 5).Draw(t, "shape"), Hours: rapid.Float64Range(0.2, 10).Draw(t, "hours")}},
			StepMin: 10, LostMin: rapid.SampledFrom([]float64{0, 10, 25, 60}).Draw(t, "lost"), Moves: 1,
			FalseBitesH: rapid.SampledFrom([]float64{0, timing.FalseBitesH}).Draw(t, "false"),
			CarryOver:   rapid.SampledFrom([]float64{0, timing.MoveCarryOver}).Draw(t, "carry"),
		}
		table, err := timing.NewMoveTable(rule, 120)
		if err != nil {
			t.Fatal(err)
		}
		for here := 0.0; here <= 100; here += 10 {
			for _, bites := range []int{0, 1, 3, 8} {
				last := 0.0
				for left := 0.0; left+here <= 120; left += 10 {
					c, ok := table.At(left, here, bites, 1)
					fixed, okFixed := table.At(left, here, bites, 0)
					if !ok || !okFixed {
						t.Fatalf("%g left, %g here is not in the table", left, here)
					}
					value := max(c.StayBites, c.MoveBites)
					if value < last-1e-9 || value < fixed.StayBites-1e-9 {
						t.Errorf("value %g with %g left; %g before, %g without a move", value, left, last, fixed.StayBites)
					}
					last = value
				}
			}
		}
	})
}

func TestNearTheEndNobodyMoves(t *testing.T) {
	table := mustTable(t, ruleOf(t, 0.7, 1.8, 54, 20), 240)
	if c, ok := table.At(20, 220, 0, 1); !ok || c.CanMove || c.Move() {
		t.Errorf("with 20 minutes left and 20 to lose: %+v, %v", c, ok)
	}
	if c, ok := table.At(0, 240, 0, 1); !ok || c.StayBites != 0 {
		t.Errorf("at the end: %+v, %v", c, ok)
	}
	for _, s := range [][2]float64{{250, 0}, {-10, 0}, {10, -10}, {120, 130}, {math.NaN(), 0}} {
		if _, ok := table.At(s[0], s[1], 0, 1); ok {
			t.Errorf("%v is in the table", s)
		}
	}
	if _, ok := table.At(100, 0, 0, 2); ok {
		t.Error("two moves are in a table of one")
	}
}

func TestWhatIsLearntHereGoesAlong(t *testing.T) {
	rule := ruleOf(t, 0.9, 1.8, 54, 20)
	apart, _ := mustTable(t, rule, 240).At(180, 60, 0, 1)
	rule.CarryOver = timing.MoveCarryOver
	along, _ := mustTable(t, rule, 240).At(180, 60, 0, 1)
	now, err := rule.Fresh.After(0, 1, 0)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "moving", along.MoveBites, apart.MoveBites*math.Sqrt(now.MeanH()/rule.Fresh.MeanH()), 1e-12)
}

func TestMoveTableRefusesWrongQuestions(t *testing.T) {
	good := ruleOf(t, 0.7, 1.8, 54, 20)
	for name, change := range map[string]func(*timing.MoveRule){
		"step":       func(r *timing.MoveRule) { r.StepMin = 0 },
		"step nan":   func(r *timing.MoveRule) { r.StepMin = math.NaN() },
		"steps":      func(r *timing.MoveRule) { r.StepMin = 0.1 },
		"lost":       func(r *timing.MoveRule) { r.LostMin = -1 },
		"lost nan":   func(r *timing.MoveRule) { r.LostMin = math.NaN() },
		"moves":      func(r *timing.MoveRule) { r.Moves = 6 },
		"feeding":    func(r *timing.MoveRule) { r.Fresh.Feeding = 2 },
		"no rate":    func(r *timing.MoveRule) { r.Fresh.Rate = timing.Rate{} },
		"false":      func(r *timing.MoveRule) { r.FalseBitesH = -1 },
		"carry":      func(r *timing.MoveRule) { r.CarryOver = 2 },
		"wild rates": func(r *timing.MoveRule) { r.Fresh.Rate = timing.Rate{Shape: 1e5, Hours: 1} },
	} {
		rule := good
		change(&rule)
		if _, err := timing.NewMoveTable(rule, 240); err == nil {
			t.Errorf("%s: the table is made", name)
		}
	}
	if _, err := timing.NewMoveTable(func() timing.MoveRule { good.LostMin = 1e9; return good }(), 240); err != nil {
		t.Errorf("a move that takes all day is refused: %v", err)
	}
}

// Figures: updating.json, from Charnov's theorem by root-finding.
func TestMarginalValue(t *testing.T) {
	for _, c := range []struct{ gain, scale, lost, leave, rate float64 }{
		{10, 60, 20, 43.13735040666051, 0.08121012809659332},
		{6, 45, 35, 46.51721550326987, 0.047424376011855306},
	} {
		leave, rate, err := timing.MarginalValue(c.gain, c.scale, c.lost)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "leaving", leave, c.leave, 1e-11)
		near(t, "rate", rate, c.rate, 1e-11)
	}
	rapid.Check(t, func(t *rapid.T) {
		scale, lost := rapid.Float64Range(0.1, 1000).Draw(t, "scale"), rapid.Float64Range(0.001, 1e4).Draw(t, "lost")
		leave, rate, err := timing.MarginalValue(1, scale, lost)
		if err != nil {
			t.Fatal(err)
		}
		if average := -math.Expm1(-leave/scale) / (leave + lost); math.Abs(rate-average) > 1e-9*average {
			t.Errorf("the gain rate on leaving is %g, the average %g", rate, average)
		}
	})
	if _, _, err := timing.MarginalValue(1, 0, 1); err == nil {
		t.Error("a scale of 0 is taken")
	}
}

// The slow figures are asked for by the flag that the activity model's tests
// use; another file of these tests may declare it too.
func init() {
	if flag.Lookup("long") == nil {
		flag.Bool("long", false, "add the slow figures")
	}
}

func isLong() bool { return flag.Lookup("long").Value.String() == "true" }

// The value of the table by playing it: lines feed with probability 0.7 at a
// Gamma rate, and the table is asked every ten minutes.
func TestMoveTableIsWorthWhatItSays(t *testing.T) {
	rule := ruleOf(t, 0.7, 1.8, 54, 20)
	table := mustTable(t, rule, 240)
	asked := func(leftMin, hereMin float64, bites, moves int) bool {
		c, ok := table.At(leftMin, hereMin, bites, moves)
		return ok && c.Move()
	}
	for _, c := range []struct {
		name  string
		moves int
		want  float64
	}{{"with one move", 1, 6.970}, {"never moving", 0, 5.600}} {
		mean, se := playSessions(rule, c.moves, asked)
		t.Logf("%s: %.3f bites a session (se %.3f), the table says %.3f", c.name, mean, se, c.want)
		if math.Abs(mean-c.want) > 4*se {
			t.Errorf("%s: %.3f bites a session, want %.3f within 4 x %.3f", c.name, mean, c.want, se)
		}
	}
}

// What the advice's own caution costs where lines really have nothing in
// common: it lets what this line has taught go along, counts false bites, reads
// its tables off the grid and waits for the patience.
func TestAdvisedMovesAgainstTheBestTable(t *testing.T) {
	rule := ruleOf(t, 0.9, 1.8, 48.6, 20)
	table, grid := mustTable(t, rule, 240), mustGrid(t)
	best, _ := table.At(240, 0, 0, 1)
	advised, se := playSessions(rule, 1, func(leftMin, hereMin float64, bites, moves int) bool {
		c, ok := grid.At(rule.Fresh, leftMin, hereMin, bites)
		return ok && moves > 0 && hereMin >= 30 && c.Move()
	})
	never := rule.Fresh.MeanH() * 4
	t.Logf("bites a session: best table %.3f, as advised %.3f (se %.3f), never moving %.3f; with no bite the table moves at %g min", best.StayBites, advised, se, never, firstMove(table, 240, 0))
	if advised < never-4*se || advised > best.StayBites+4*se {
		t.Errorf("as advised %.3f bites, want between %.3f and %.3f", advised, never, best.StayBites)
	}
}

// playSessions fishes sessions of 4 h by a rule that says when to move: 8,000 of
// them, or 200,000 among the slow figures.
func playSessions(rule timing.MoveRule, moves int, move func(leftMin, hereMin float64, bites, moves int) bool) (mean, se float64) {
	sessions := 8000
	if isLong() {
		sessions = 200_000
	}
	random := rand.New(rand.NewPCG(20250301, uint64(moves)))
	var sum, squares float64
	for range sessions {
		x := float64(playSession(rule, moves, move, random))
		sum += x
		squares += x * x
	}
	n := float64(sessions)
	mean = sum / n
	return mean, math.Sqrt((squares/n - mean*mean) / n)
}

func playSession(rule timing.MoveRule, moves int, move func(leftMin, hereMin float64, bites, moves int) bool, random *rand.Rand) int {
	drawLine := func() float64 {
		if random.Float64() >= rule.Fresh.Feeding {
			return 0
		}
		return distuv.Gamma{Alpha: rule.Fresh.Rate.Shape, Beta: rule.Fresh.Rate.Hours, Src: random}.Rand()
	}
	total, bites := 0, 0
	rateH, hereMin := drawLine(), 0.0
	for left := 240.0; left > 0; {
		if move(left, hereMin, bites, moves) {
			left, hereMin, bites, moves = left-rule.LostMin, 0, 0, moves-1
			rateH = drawLine()
			continue
		}
		if rateH > 0 {
			k := int(distuv.Poisson{Lambda: rateH * rule.StepMin / 60, Src: random}.Rand())
			bites, total = bites+k, total+k
		}
		left, hereMin = left-rule.StepMin, hereMin+rule.StepMin
	}
	return total
}
