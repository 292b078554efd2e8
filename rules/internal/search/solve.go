package search

import "math/bits"

// Literal holds when the value of its variable is in the mask.
type Literal struct {
	Var  int
	Mask uint64
}

// Clause holds when one of its literals does.
type Clause []Literal

// Problem asks for a value of each variable, out of a domain of at most 64, so that every clause holds.
type Problem struct {
	Domains []uint64 // one bit for each value
	Clauses []Clause
}

// Solve finds values that make every clause hold: one bit for each variable. It is complete: Unreachable proves that there
// are none, and a limit (0 for none) on the number of decisions ends it with GaveUp. The method is that of Davis, Putnam,
// Logemann and Loveland (1962) with domains in the place of truth values: a clause of which one literal is left narrows the
// domain of its variable; where nothing follows any more, a literal of the first clause that does not hold yet is tried
// both ways. Each narrowing remembers the decisions that it rests on, so that a failure goes back to the last decision that
// has a part in it and not just to the last (Prosser 1993, conflict-directed backjumping): independent parts of a problem do
// not multiply. A variable that no clause needs keeps its lowest value. Which values are found depends on nothing but the
// problem.
func Solve(p Problem, limit int) ([]uint64, Outcome) {
	var found []uint64
	out := Each(p, limit, func(values []uint64) bool {
		found = make([]uint64, len(values))
		for v, d := range values {
			found[v] = d & -d
		}
		return false
	})
	if found != nil {
		return found, Found
	}
	return nil, out
}

// Each calls visit with disjoint boxes that together hold every solution: any value out of each variable's set will do. It
// ends early when visit returns false. The sets must not be kept.
func Each(p Problem, limit int, visit func(values []uint64) bool) Outcome {
	s := newSolver(p, limit)
	for c := range s.clauses {
		s.queue = append(s.queue, int32(c))
	}
	if _, failed := s.propagate(); !failed {
		s.walk(visit, 0, 0)
	}
	switch {
	case s.gaveUp:
		return GaveUp
	case s.found:
		return Found
	}
	return Unreachable
}

// Count is the number of solutions.
func Count(p Problem) int {
	n := 0
	Each(p, 0, func(values []uint64) bool {
		box := 1
		for _, d := range values {
			box *= bits.OnesCount64(d)
		}
		n += box
		return true
	})
	return n
}

// depths is a set of decisions by their depth; those from the last bit on share it.
type depths [8]uint64

const deepest = 8*64 - 1

func (d *depths) add(depth int) { d[min(depth, deepest)/64] |= 1 << (min(depth, deepest) % 64) }

func (d *depths) has(depth int) bool {
	return d[min(depth, deepest)/64]&(1<<(min(depth, deepest)%64)) != 0
}

// drop takes a decision out, if its bit is its own.
func (d *depths) drop(depth int) {
	if depth < deepest {
		d[depth/64] &^= 1 << (depth % 64)
	}
}

func (d *depths) join(o *depths) {
	for i := range d {
		d[i] |= o[i]
	}
}

// every is the set of all decisions: nothing may be skipped.
func every() (d depths) {
	for i := range d {
		d[i] = ^uint64(0)
	}
	return d
}

type solver struct {
	clauses []Clause
	uses    [][]int32 // clauses of each variable
	domain  []uint64
	why     []depths    // decisions that narrowed each variable
	trail   []narrowing // what was narrowed, so that it can be undone
	queue   []int32     // clauses to look at
	queued  []bool
	limit   int
	made    int
	found   bool
	gaveUp  bool
	stopped bool
}

type narrowing struct {
	v   int
	old uint64
	why depths
}

func newSolver(p Problem, limit int) *solver {
	s := &solver{clauses: p.Clauses, domain: append([]uint64(nil), p.Domains...), limit: limit}
	s.uses = make([][]int32, len(p.Domains))
	s.why = make([]depths, len(p.Domains))
	s.queued = make([]bool, len(p.Clauses))
	for c, clause := range p.Clauses {
		for _, l := range clause {
			s.uses[l.Var] = append(s.uses[l.Var], int32(c))
		}
	}
	return s
}

// narrow leaves only the values of the mask, because of the decisions given. Something must be left.
func (s *solver) narrow(v int, mask uint64, because *depths) {
	old := s.domain[v]
	if old&^mask == 0 {
		return
	}
	s.trail = append(s.trail, narrowing{v, old, s.why[v]})
	s.domain[v] = old & mask
	s.why[v].join(because)
	for _, c := range s.uses[v] {
		if !s.queued[c] {
			s.queued[c] = true
			s.queue = append(s.queue, c)
		}
	}
}

// propagate follows what follows. When a clause fails it gives the decisions that have a part in that.
func (s *solver) propagate() (conflict depths, failed bool) {
	for len(s.queue) > 0 {
		c := s.queue[len(s.queue)-1]
		s.queue = s.queue[:len(s.queue)-1]
		s.queued[c] = false
		if conflict, failed = s.look(s.clauses[c]); failed {
			s.forget()
			return conflict, true
		}
	}
	return conflict, false
}

// forget empties the queue.
func (s *solver) forget() {
	for _, c := range s.queue {
		s.queued[c] = false
	}
	s.queue = s.queue[:0]
}

// look narrows the variable of the last literal that is left.
func (s *solver) look(clause Clause) (conflict depths, failed bool) {
	open := -1
	for i, l := range clause {
		d := s.domain[l.Var]
		switch {
		case d&^l.Mask == 0:
			return conflict, false
		case d&l.Mask != 0:
			if open >= 0 && clause[open].Var != l.Var {
				return conflict, false
			}
			open = i
		}
	}
	mask := uint64(0) // literals of the same variable count together
	for _, l := range clause {
		if open >= 0 && l.Var == clause[open].Var {
			mask |= l.Mask
			continue
		}
		conflict.join(&s.why[l.Var])
	}
	if open < 0 {
		return conflict, true
	}
	s.narrow(clause[open].Var, mask, &conflict)
	return conflict, false
}

// walk tries a literal of the first clause that does not hold yet, both ways; those before from hold already, and what
// holds goes on to hold. It gives the decisions above that have a part in its failure.
func (s *solver) walk(visit func([]uint64) bool, depth, from int) (conflict depths) {
	l, from := s.undecided(from)
	if from < 0 {
		s.found = true
		s.stopped = !visit(s.domain)
		return every()
	}
	if s.limit > 0 && s.made >= s.limit {
		s.gaveUp, s.stopped = true, true
		return every()
	}
	s.made++
	for _, mask := range [2]uint64{l.Mask, ^l.Mask} {
		mark := len(s.trail)
		var because depths
		because.add(depth)
		s.narrow(l.Var, mask, &because)
		part, failed := s.propagate()
		if !failed {
			part = s.walk(visit, depth+1, from)
		}
		s.undo(mark)
		if s.stopped || !part.has(depth) {
			return part
		}
		conflict.join(&part)
	}
	conflict.drop(depth)
	return conflict
}

// undo takes narrowings back, down to a mark.
func (s *solver) undo(mark int) {
	s.forget()
	for len(s.trail) > mark {
		last := &s.trail[len(s.trail)-1]
		s.domain[last.v], s.why[last.v] = last.old, last.why
		s.trail = s.trail[:len(s.trail)-1]
	}
}

// undecided is a literal of the first clause from a place on that may hold and may not, and the place; -1 when all hold.
func (s *solver) undecided(from int) (Literal, int) {
	for c := from; c < len(s.clauses); c++ {
		holds := false
		var open Literal
		for _, l := range s.clauses[c] {
			d := s.domain[l.Var]
			if d&^l.Mask == 0 {
				holds = true
				break
			}
			if d&l.Mask != 0 && open.Mask == 0 {
				open = l
			}
		}
		if !holds && open.Mask != 0 {
			return open, c
		}
	}
	return Literal{}, -1
}
