package timing

import (
	"fmt"
	"math"
)

// The grid of priors over which tables are made: 8 shapes from 0.2 to 6.4 and 8
// rates' hours from 1/16 to 64, evenly on the log scale. A plan's prior with
// theta near 1.8 and a mean of 0.02 to 15 bites an hour lies inside. Our choice.
const (
	gridNodes                     = 8
	gridLeastShape, gridMostShape = 0.2, 6.4
	gridLeastHours, gridMostHours = 1.0 / 16, 64.0
)

// MoveGrid holds, for 8 x 8 priors, how moving compares with staying in each
// state when one move is looked ahead; the advice asks it anew after a move.
// Between the priors it interpolates bilinearly in log a and log b. Build it
// once for a day's length, chance of feeding and cost of a move, and share it.
type MoveGrid struct {
	feeding   float64
	stepMin   float64
	lost      int
	steps     int
	logRatios [][]float32 // of each prior, ln(move/stay) by state
}

// NewMoveGrid fills the 64 tables for the chance of feeding (as of PlanBelief),
// the step, the minutes lost by a move and the horizon, all in minutes.
func NewMoveGrid(feeding, stepMin, lostMin, horizonMin float64) (*MoveGrid, error) {
	if !(feeding > 0 && feeding <= 1) {
		return nil, fmt.Errorf("tables of stay or move: the chance of feeding is %g; it must be above 0 and at most 1", feeding)
	}
	g := &MoveGrid{feeding: feeding, stepMin: stepMin}
	for i := range gridNodes {
		for j := range gridNodes {
			rate, err := NewRate(gridValue(i, gridLeastShape, gridMostShape), gridValue(j, gridLeastHours, gridMostHours))
			if err != nil {
				return nil, fmt.Errorf("tables of stay or move: %w", err)
			}
			table, err := NewMoveTable(MoveRule{
				Fresh: Belief{Feeding: feeding, Rate: rate}, StepMin: stepMin, LostMin: lostMin,
				Moves: 1, FalseBitesH: FalseBitesH, CarryOver: MoveCarryOver,
			}, horizonMin)
			if err != nil {
				return nil, fmt.Errorf("tables of stay or move: %w", err)
			}
			g.lost, g.steps = table.lost, table.steps
			g.logRatios = append(g.logRatios, table.logRatios())
		}
	}
	return g, nil
}

// gridValue is a node's value, gridPlace the reverse.
func gridValue(node int, least, most float64) float64 {
	return least * math.Pow(most/least, float64(node)/(gridNodes-1))
}

// gridPlace is the node below a value and how far above it the value lies, 0 to
// 1. Values outside are held to the edge.
func gridPlace(value, least, most float64) (node int, share float64) {
	place := math.Log(value/least) / math.Log(most/least) * (gridNodes - 1)
	place = max(0, min(place, gridNodes-1))
	node = min(int(place), gridNodes-2)
	return node, place - float64(node)
}

// logRatios are ln(move/stay) of the states in which a move can be made, in the
// order of gridState.
func (t *MoveTable) logRatios() []float32 {
	out := make([]float32, 0, gridState(t.steps, t.lost, t.steps+1, 0, 0))
	for left := t.lost + 1; left <= t.steps; left++ {
		for here := range t.steps - left + 1 {
			for bites := range bitesStates {
				stay, move, _ := t.choices(left, here, bites, 1)
				out = append(out, float32(math.Log(move/stay)))
			}
		}
	}
	return out
}

// gridState is the place of a state in logRatios: the blocks of fewer steps
// left come first, each with one row fewer than the one before.
func gridState(steps, lost, left, here, bites int) int {
	before := left - lost - 1
	rows := before*(steps-lost) - before*(before-1)/2
	return (rows+here)*bitesStates + bites
}

// At weighs stay against move on a line of which fresh was believed before the
// first cast. Times are rounded down to steps; with 60 bites or more nobody
// moves. Rates outside the grid are taken at its edge. What staying is worth
// follows from what moving is: the fresh line's mean, times what goes along from
// this one, times the minutes left when it is fished. Outside the table, or with
// another chance of feeding than the grid's, ok is false.
func (g *MoveGrid) At(fresh Belief, leftMin, hereMin float64, bites int) (choice MoveChoice, ok bool) {
	if g == nil || !fresh.known() || math.Abs(fresh.Feeding-g.feeding) > 1e-9 {
		return MoveChoice{}, false
	}
	left, here, ok := tableSteps(g.steps, g.stepMin, leftMin, hereMin)
	if !ok || bites < 0 {
		return MoveChoice{}, false
	}
	now, err := fresh.After(bites, float64(here)*g.stepMin/60, FalseBitesH)
	if err != nil {
		return MoveChoice{}, false
	}
	if left <= g.lost || bites >= mostBitesHere {
		return MoveChoice{StayBites: now.MeanH() * float64(left) * g.stepMin / 60}, true
	}
	carry := math.Pow(now.MeanH()/fresh.MeanH(), MoveCarryOver)
	choice.CanMove = true
	choice.MoveBites = carry * fresh.MeanH() * float64(left-g.lost) * g.stepMin / 60
	choice.StayBites = choice.MoveBites / math.Exp(g.logRatio(fresh.Rate, gridState(g.steps, g.lost, left, here, bites)))
	return choice, finite(choice.StayBites) && finite(choice.MoveBites)
}

func (g *MoveGrid) logRatio(fresh Rate, state int) float64 {
	i, x := gridPlace(fresh.Shape, gridLeastShape, gridMostShape)
	j, y := gridPlace(fresh.Hours, gridLeastHours, gridMostHours)
	at := func(i, j int) float64 { return float64(g.logRatios[i*gridNodes+j][state]) }
	return (1-x)*((1-y)*at(i, j)+y*at(i, j+1)) + x*((1-y)*at(i+1, j)+y*at(i+1, j+1))
}

// Bytes is the memory of the tables.
func (g *MoveGrid) Bytes() int {
	n := 0
	for _, r := range g.logRatios {
		n += 4 * len(r)
	}
	return n
}
