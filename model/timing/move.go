package timing

import (
	"fmt"
	"math"
)

// MoveRule is the question "stay on this line or go to another".
type MoveRule struct {
	Fresh       Belief  // of any line not fished yet
	StepMin     float64 // between one decision and the next
	LostMin     float64 // pack, walk, settle, first feed
	Moves       int     // how many may still be made
	FalseBitesH float64 // as of Belief.After

	// CarryOver is how much of what this line has taught goes along: a fresh
	// line's rate is multiplied by (mean here now / mean here at first) to this
	// power. 0: lines have nothing in common. The day's multiplier is the
	// session's own, so advice uses MoveCarryOver.
	CarryOver float64
}

// MoveCarryOver is the square root that the advice uses; our choice.
const MoveCarryOver = 0.5

// The table's bounds. A line that has given mostBitesHere is not left; more
// than mostBitesAStep in a step are taken together with that many. Our choice.
const (
	mostBitesHere  = 60
	mostBitesAStep = 39
	bitesStates    = mostBitesHere + 1
	mostMoveSteps  = 120
	mostMoves      = 5
	negligible     = 1e-12 // probability that the sum passes over
)

// MoveTable holds the best expected number of bites in the time left, in every
// state of (time left, time here, bites here, moves left), by backward induction
// over a finite horizon (Bellman 1957, Dynamic Programming, from memory):
//
//	stay = E[bites in the next step] + E[V one step on, with those bites]
//	go   = V after the lost minutes, on a fresh line with one move fewer
//	V    = the larger.
//
// It is not the myopic rule, which compares the two means and leaves far too
// early, since it gives no value to what the next minutes would teach.
type MoveTable struct {
	rule     MoveRule
	steps    int
	lost     int       // steps
	outlooks []outlook // by minutes here and bites here
	values   [][]float64
}

// outlook is what a step of staying brings in one state.
type outlook struct {
	mean   float64 // bites
	carry  float64 // what a fresh line's mean is multiplied by
	counts []float64
}

// NewMoveTable fills the table for a horizon in minutes: 1 to 120 steps, 0 to 5
// moves. Lost minutes that are no whole number of steps are rounded up.
func NewMoveTable(rule MoveRule, horizonMin float64) (*MoveTable, error) {
	steps := math.Floor(horizonMin/rule.StepMin + 1e-9)
	lost := math.Ceil(rule.LostMin/rule.StepMin - 1e-9)
	if !(rule.StepMin > 0) || !(steps >= 1 && steps <= mostMoveSteps) || !(rule.LostMin >= 0) || math.IsNaN(lost) || rule.Moves < 0 || rule.Moves > mostMoves || !(rule.CarryOver >= 0 && rule.CarryOver <= 1) {
		return nil, fmt.Errorf("stay or move over %g minutes in steps of %g, %g lost by a move, %d moves, carry-over %g: give 1 to %d steps, 0 or more minutes lost, 0 to %d moves and a carry-over from 0 to 1", horizonMin, rule.StepMin, rule.LostMin, rule.Moves, rule.CarryOver, mostMoveSteps, mostMoves)
	}
	t := &MoveTable{rule: rule, steps: int(steps), lost: int(min(lost, steps))}
	if err := t.lookAhead(); err != nil {
		return nil, fmt.Errorf("stay or move: %w", err)
	}
	for moves := 0; moves <= rule.Moves; moves++ {
		t.fill(moves)
	}
	return t, nil
}

// lookAhead finds what one more step brings for each time here and each count.
func (t *MoveTable) lookAhead() error {
	t.outlooks = make([]outlook, (t.steps+1)*bitesStates)
	for here := range t.steps + 1 {
		for bites := range bitesStates {
			o, err := t.rule.outlook(float64(here)*t.rule.StepMin/60, bites)
			if err != nil {
				return err
			}
			t.outlooks[here*bitesStates+bites] = o
		}
	}
	return nil
}

// outlook is the state's mean and the probabilities of 0, 1, ... bites in the
// next step: negative binomial if fish feed, else false bites alone.
func (r MoveRule) outlook(hereH float64, bites int) (outlook, error) {
	belief, err := r.Fresh.After(bites, hereH, r.FalseBitesH)
	if err != nil {
		return outlook{}, err
	}
	stepH := r.StepMin / 60
	o := outlook{mean: belief.MeanH() * stepH, carry: 1, counts: make([]float64, mostBitesAStep+1)}
	if mean := r.Fresh.MeanH(); mean > 0 {
		o.carry = math.Pow(belief.MeanH()/mean, r.CarryOver)
	}
	p := belief.Feeding * belief.Rate.NoBite(stepH)
	q := (1 - belief.Feeding) * math.Exp(-r.FalseBitesH*stepH)
	odds := stepH / (belief.Rate.Hours + stepH)
	var sum float64
	for x := range o.counts {
		o.counts[x] = p + q
		sum += p + q
		p *= (belief.Rate.Shape + float64(x)) / float64(x+1) * odds
		q *= r.FalseBitesH * stepH / float64(x+1)
	}
	if !(sum > 0) {
		return outlook{}, fmt.Errorf("%g bites are expected in a step of %g minutes, too many for the table; give a shorter step", o.mean, r.StepMin)
	}
	last := 0
	for x := range o.counts {
		o.counts[x] /= sum
		if o.counts[x] >= negligible {
			last = x
		}
	}
	o.counts = o.counts[:last+1]
	return o, nil
}

// fill computes the values with so many moves left; those with fewer are known.
func (t *MoveTable) fill(moves int) {
	// One block for each number of steps left; in it time here and bites here.
	t.values = append(t.values, make([]float64, (t.steps+1)*(t.steps+1)*bitesStates))
	for left := 1; left <= t.steps; left++ {
		for here := range t.steps - left + 1 {
			for bites := range bitesStates {
				stay, move, canMove := t.choices(left, here, bites, moves)
				if canMove {
					stay = max(stay, move)
				}
				t.values[moves][t.state(left, here, bites)] = stay
			}
		}
	}
}

func (t *MoveTable) state(left, here, bites int) int {
	return (left*(t.steps+1)+here)*bitesStates + bites
}

// choices weighs one state.
func (t *MoveTable) choices(left, here, bites, moves int) (stay, move float64, canMove bool) {
	o := t.outlooks[here*bitesStates+bites]
	stay = o.mean
	if left > 1 {
		next := t.values[moves][t.state(left-1, here+1, 0):]
		for x, p := range o.counts {
			if p >= negligible {
				stay += p * next[min(bites+x, mostBitesHere)]
			}
		}
	}
	if moves > 0 && left > t.lost {
		return stay, o.carry * t.values[moves-1][t.state(left-t.lost, 0, 0)], true
	}
	return stay, 0, false
}

// MoveChoice is what staying and moving are each worth, in bites expected until
// the end if the best is done afterwards.
type MoveChoice struct {
	StayBites, MoveBites float64
	CanMove              bool // a move is left, and time for one
}

// Move is whether moving is worth more.
func (c MoveChoice) Move() bool { return c.CanMove && c.MoveBites > c.StayBites }

// At weighs the choice with leftMin minutes left, after hereMin minutes and some
// bites on this line, with so many moves left. Both times are rounded down to
// whole steps, which leans to staying. Outside the table ok is false.
func (t *MoveTable) At(leftMin, hereMin float64, bites, moves int) (choice MoveChoice, ok bool) {
	left, here, ok := tableSteps(t.steps, t.rule.StepMin, leftMin, hereMin)
	if !ok || bites < 0 || moves < 0 || moves > t.rule.Moves {
		return MoveChoice{}, false
	}
	if left == 0 {
		return MoveChoice{}, true
	}
	choice.StayBites, choice.MoveBites, choice.CanMove = t.choices(left, here, min(bites, mostBitesHere), moves)
	return choice, true
}

// tableSteps rounds minutes down to steps; ok is false where the state is not
// in a table of so many.
func tableSteps(steps int, stepMin, leftMin, hereMin float64) (left, here int, ok bool) {
	if !(leftMin >= 0 && hereMin >= 0) {
		return 0, 0, false
	}
	l, h := math.Floor(leftMin/stepMin+1e-9), math.Floor(hereMin/stepMin+1e-9)
	if l+h > float64(steps) {
		return 0, 0, false
	}
	return int(l), int(h), true
}
