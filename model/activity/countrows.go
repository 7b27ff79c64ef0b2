package activity

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// countRows are records put into the order of the work: by leaf, then session,
// then content. The order of the caller's rows is forgotten, so it cannot
// change a sum. The leaf is the largest factor that no session straddles; its
// block of the curvature is diagonal and is eliminated first.
type countRows struct {
	columns int
	x       []float64
	offset  []float64 // log hours
	bites   []int32
	// group holds, for each row, the place of each core factor's level among
	// all core levels.
	group  []int32
	groups int   // core levels in all
	core   []int // factors in the core
	first  []int // place of each core factor's first level
	leaf   int   // the leaf's factor, -1 without one
	leaves []int32
	// sessions and leaves are the starts of sessions (in rows) and of leaves
	// (in sessions), with the end appended.
	sessions []int32
	weight   []float64 // of each session; nil where all are 1
	tail     []float64 // weight of the sessions with more than j counts
	constant float64   // -weight log(count!)
}

// newCountRows copies checked records into that order.
func newCountRows(r CountRecords) (*countRows, error) {
	out := &countRows{columns: len(r.Columns), leaf: leafFactor(r)}
	for k, f := range r.Factors {
		if k != out.leaf {
			out.core, out.first = append(out.core, k), append(out.first, out.groups)
			out.groups += len(f.Levels)
		}
	}
	order := r.order(out.leaf)
	n := len(order)
	out.x, out.offset, out.bites = make([]float64, 0, len(r.X)), make([]float64, n), make([]int32, n)
	out.group = make([]int32, 0, n*len(out.core))
	out.sessions, out.leaves = make([]int32, 0, n+1), make([]int32, 0, n/10+2)
	level := int32(-1)
	for to, from := range order {
		out.x = append(out.x, r.X[int(from)*out.columns:(int(from)+1)*out.columns]...)
		out.offset[to], out.bites[to] = math.Log(r.Hours[from]), int32(r.Counts[from])
		for c, k := range out.core {
			out.group = append(out.group, int32(out.first[c])+r.Factors[k].Index[from])
		}
		opens := to == 0 || r.Sessions == nil || r.Sessions[from] != r.Sessions[order[to-1]]
		if opens {
			for ; level < r.leafLevel(out.leaf, from); level++ {
				out.leaves = append(out.leaves, int32(len(out.sessions)))
			}
			out.sessions = append(out.sessions, int32(to))
			if r.Weights != nil {
				out.weight = append(out.weight, r.Weights[from])
			}
		} else if r.weight(from) != r.weight(order[to-1]) {
			return nil, fmt.Errorf("row %d: its session has two weights; give one", from+1)
		}
	}
	out.sessions = append(out.sessions, int32(n))
	for len(out.leaves) <= leafLevels(r, out.leaf) {
		out.leaves = append(out.leaves, int32(out.count()))
	}
	out.tally()
	return out, nil
}

// leafLevels is how many leaves there are; without a leaf factor, one without effect.
func leafLevels(r CountRecords, leaf int) int {
	if leaf < 0 {
		return 1
	}
	return len(r.Factors[leaf].Levels)
}

// count is how many sessions there are.
func (c *countRows) count() int { return len(c.sessions) - 1 }

func (c *countRows) weightOf(session int) float64 {
	if c.weight == nil {
		return 1
	}
	return c.weight[session]
}

// factors is how many factors there are.
func (c *countRows) factors() int {
	if c.leaf < 0 {
		return len(c.core)
	}
	return len(c.core) + 1
}

// levels is the range of a core factor's levels among all core levels.
func (c *countRows) levels(core int) (from, to int) {
	if core+1 < len(c.first) {
		return c.first[core], c.first[core+1]
	}
	return c.first[core], c.groups
}

// leafFactor is the largest factor with one level in each session, or -1.
func leafFactor(r CountRecords) int {
	best := -1
	for k, f := range r.Factors {
		if (best < 0 || len(f.Levels) > len(r.Factors[best].Levels)) && !straddles(r.Sessions, f.Index) {
			best = k
		}
	}
	return best
}

func straddles(sessions, index []int32) bool {
	level := map[int32]int32{}
	for i, s := range sessions {
		if before, seen := level[s]; seen && before != index[i] {
			return true
		}
		level[s] = index[i]
	}
	return false
}

func (r CountRecords) leafLevel(leaf int, row int32) int32 {
	if leaf < 0 {
		return 0
	}
	return r.Factors[leaf].Index[row]
}

func (r CountRecords) weight(row int32) float64 {
	if r.Weights == nil {
		return 1
	}
	return r.Weights[row]
}

// order sorts the rows by leaf, session and content.
func (r CountRecords) order(leaf int) []int32 {
	p := len(r.Columns)
	out := make([]int32, len(r.Counts))
	for i := range out {
		out[i] = int32(i)
	}
	slices.SortFunc(out, func(a, b int32) int {
		if c := cmp.Compare(r.leafLevel(leaf, a), r.leafLevel(leaf, b)); c != 0 {
			return c
		}
		if r.Sessions != nil {
			if c := cmp.Compare(r.Sessions[a], r.Sessions[b]); c != 0 {
				return c
			}
		}
		for _, f := range r.Factors {
			if c := cmp.Compare(f.Index[a], f.Index[b]); c != 0 {
				return c
			}
		}
		return cmp.Or(
			slices.Compare(r.X[int(a)*p:(int(a)+1)*p], r.X[int(b)*p:(int(b)+1)*p]),
			cmp.Compare(r.Hours[a], r.Hours[b]), cmp.Compare(r.Counts[a], r.Counts[b]),
			cmp.Compare(r.weight(a), r.weight(b)),
		)
	})
	return out
}

// tally sums what depends on the counts alone. The sum over sessions of
// L(Y, alpha), itself a sum over j < Y, turns into one over j of tail[j].
func (c *countRows) tally() {
	for s := range c.count() {
		weight, total := c.weightOf(s), 0
		for i := c.sessions[s]; i < c.sessions[s+1]; i++ {
			factorial, _ := math.Lgamma(float64(c.bites[i]) + 1)
			c.constant -= weight * factorial
			total += int(c.bites[i])
		}
		if total > len(c.tail) {
			c.tail = append(c.tail, make([]float64, total-len(c.tail))...)
		}
		if total > 0 {
			c.tail[total-1] += weight
		}
	}
	for j := len(c.tail) - 2; j >= 0; j-- {
		c.tail[j] += c.tail[j+1]
	}
}

// rising is the sum over sessions of L(Y, alpha) = sum of ln(1 + alpha j) over
// j < Y, and its derivative in alpha. Every term is 0 or more, so nothing
// cancels at any alpha.
func (c *countRows) rising(alpha float64) (sum, slope float64) {
	for j, weight := range c.tail {
		sum += weight * math.Log1p(alpha*float64(j))
		slope += weight * float64(j) / (1 + alpha*float64(j))
	}
	return sum, slope
}
