package proof

import "asleft/rules/internal/search"

// solver decides whether clauses can hold together, by the method of Marques-Silva and Sakallah (1996) with the watched literals of
// Moskewicz and others (2001): decide, propagate, and on a conflict learn the clause of the first unique implication point and go
// back as far as it allows. It restarts by Luby's sequence. What it finds depends on nothing but the clauses.
type solver struct {
	clauses [][]int32
	watches [][]int32 // clauses that watch a literal, by its opposite
	value   []int8    // 1 yes, -1 no, 0 open
	level   []int32
	reason  []int32 // clause that forced the proposition, -1 for none
	trail   []int32
	marks   []int32 // length of the trail at each decision
	next    int     // first literal of the trail that was not propagated
	heat    []float64
	step    float64
	heap    heap
	phase   []int8
	seen    []bool
	assumed []int32 // literals that are decided first
	broken  bool
}

// session is a problem that grows: what was learned of the part before stays known.
type session struct {
	b                *booleans
	s                *solver
	domains, clauses int // taken in so far
}

func newSession() *session { return &session{b: &booleans{}, s: &solver{step: 1}} }

// solve finds values that make every clause hold together with the literals assumed, each of one value or all but one. It gives up after
// so many conflicts.
func (x *session) solve(p *search.Problem, conflicts int, assumed ...search.Literal) ([]uint64, search.Outcome) {
	x.s.back(0)
	x.b.variables(p.Domains[x.domains:])
	x.s.grow(int(x.b.count))
	for _, c := range p.Clauses[x.clauses:] {
		x.b.take(c)
	}
	for _, c := range x.b.clauses {
		x.s.add(c)
	}
	x.b.clauses, x.domains, x.clauses = nil, len(p.Domains), len(p.Clauses)
	x.s.assumed = x.s.assumed[:0]
	for _, l := range assumed {
		c, holds := x.b.clause(search.Clause{l})
		if holds {
			continue
		}
		if len(c) != 1 {
			panic("rules/proof: an assumption is one proposition")
		}
		x.s.assumed = append(x.s.assumed, c[0])
	}
	return x.run(conflicts)
}

func (x *session) run(conflicts int) ([]uint64, search.Outcome) {
	for round, left := 1, conflicts; !x.s.broken; round++ {
		limit := min(100*luby(round), left)
		switch x.s.search(limit) {
		case search.Found:
			return x.b.values(x.s.value), search.Found
		case search.Unreachable:
			return nil, search.Unreachable
		}
		if left -= limit; left <= 0 {
			return nil, search.GaveUp
		}
		x.s.back(0)
	}
	return nil, search.Unreachable
}

// luby is the sequence 1 1 2 1 1 2 4 1 1 2 ... (Luby, Sinclair, Zuckerman 1993).
func luby(i int) int {
	for k := 1; ; k++ {
		switch full := 1<<k - 1; {
		case i == full:
			return 1 << (k - 1)
		case i < full:
			return luby(i - (1<<(k-1) - 1))
		}
	}
}

// grow takes in more propositions, up to n.
func (s *solver) grow(n int) {
	for v := len(s.value); v < n; v++ {
		s.watches = append(s.watches, nil, nil)
		s.value, s.level, s.reason = append(s.value, 0), append(s.level, 0), append(s.reason, 0)
		s.heat, s.phase, s.seen = append(s.heat, 0), append(s.phase, -1), append(s.seen, false)
		s.heap.heat = s.heat
		s.heap.push(int32(v))
	}
}

// add takes a clause in, before any decision. Literals that are settled for good are left out of it.
func (s *solver) add(c []int32) {
	open := make([]int32, 0, len(c))
	for _, l := range c {
		switch s.of(l) {
		case 1:
			return
		case 0:
			open = append(open, l)
		}
	}
	switch len(open) {
	case 0:
		s.broken = true
	case 1:
		s.set(open[0], -1)
	default:
		s.watch(open)
	}
}

func (s *solver) watch(c []int32) int32 {
	at := int32(len(s.clauses))
	s.clauses = append(s.clauses, c)
	s.watches[c[0]^1] = append(s.watches[c[0]^1], at)
	s.watches[c[1]^1] = append(s.watches[c[1]^1], at)
	return at
}

// of is the value of a literal.
func (s *solver) of(l int32) int8 {
	if l&1 == 1 {
		return -s.value[l>>1]
	}
	return s.value[l>>1]
}

func (s *solver) set(l, reason int32) {
	v := l >> 1
	s.value[v] = 1 - 2*int8(l&1)
	s.level[v] = int32(len(s.marks))
	s.reason[v] = reason
	s.trail = append(s.trail, l)
}

// propagate follows what follows, and gives the clause that fails, or -1.
func (s *solver) propagate() int32 {
	for s.next < len(s.trail) {
		l := s.trail[s.next]
		s.next++
		list := s.watches[l]
		kept := list[:0]
		for i, at := range list {
			stays, fails := s.visit(at, l)
			if stays {
				kept = append(kept, at)
			}
			if fails {
				s.watches[l] = append(kept, list[i+1:]...)
				return at
			}
		}
		s.watches[l] = kept
	}
	return -1
}

// visit looks at a clause of which a watched literal became false: another is watched, or the last one is set.
func (s *solver) visit(at, l int32) (stays, fails bool) {
	c := s.clauses[at]
	if c[0] == l^1 {
		c[0], c[1] = c[1], c[0]
	}
	if s.of(c[0]) == 1 {
		return true, false
	}
	for i := 2; i < len(c); i++ {
		if s.of(c[i]) != -1 {
			c[1], c[i] = c[i], c[1]
			s.watches[c[1]^1] = append(s.watches[c[1]^1], at)
			return false, false
		}
	}
	if s.of(c[0]) == -1 {
		return true, true
	}
	s.set(c[0], at)
	return true, false
}

// search decides until all is set, nothing is left, or the conflicts are used up. Each assumption has a decision level of its own, an
// empty one where it holds already.
func (s *solver) search(conflicts int) search.Outcome {
	for {
		if fails := s.propagate(); fails >= 0 {
			if len(s.marks) == 0 {
				s.broken = true
				return search.Unreachable
			}
			if conflicts--; conflicts < 0 {
				return search.GaveUp
			}
			s.learn(fails)
			continue
		}
		l := int32(-1)
		if at := len(s.marks); at < len(s.assumed) {
			if l = s.assumed[at]; s.of(l) == -1 {
				return search.Unreachable
			}
		} else if v, open := s.choose(); open {
			l = 2*v + int32(1-s.phase[v])/2
		} else {
			return search.Found
		}
		s.marks = append(s.marks, int32(len(s.trail)))
		if s.of(l) == 0 {
			s.set(l, -1)
		}
	}
}

// choose is the open proposition that took part in most of the last conflicts.
func (s *solver) choose() (int32, bool) {
	for len(s.heap.list) > 0 {
		if v := s.heap.pop(); s.value[v] == 0 {
			return v, true
		}
	}
	return 0, false
}

// learn adds the clause of the first unique implication point of a conflict, and goes back to where it forces something.
func (s *solver) learn(fails int32) {
	learnt := []int32{0}
	open, at := 0, len(s.trail)
	for l := int32(-1); ; {
		for _, q := range s.clauses[fails] {
			v := q >> 1
			if q == l || s.seen[v] || s.level[v] == 0 {
				continue
			}
			s.seen[v] = true
			s.warm(v)
			if int(s.level[v]) == len(s.marks) {
				open++
			} else {
				learnt = append(learnt, q)
			}
		}
		for at--; !s.seen[s.trail[at]>>1]; at-- {
		}
		l = s.trail[at]
		s.seen[l>>1] = false
		if open--; open == 0 {
			learnt[0] = l ^ 1
			break
		}
		fails = s.reason[l>>1]
	}
	to := int32(0)
	for i := 1; i < len(learnt); i++ {
		s.seen[learnt[i]>>1] = false
		if lv := s.level[learnt[i]>>1]; lv > to {
			to = lv
			learnt[1], learnt[i] = learnt[i], learnt[1]
		}
	}
	s.back(to)
	s.step /= 0.95
	reason := int32(-1)
	if len(learnt) > 1 {
		reason = s.watch(learnt)
	}
	s.set(learnt[0], reason)
}

// back takes decisions back, down to a level.
func (s *solver) back(to int32) {
	if int(to) >= len(s.marks) {
		return
	}
	mark := s.marks[to]
	for _, l := range s.trail[mark:] {
		v := l >> 1
		s.phase[v] = s.value[v]
		s.value[v] = 0
		s.heap.push(v)
	}
	s.trail, s.marks, s.next = s.trail[:mark], s.marks[:to], int(mark)
}

// warm notes that a proposition took part in a conflict.
func (s *solver) warm(v int32) {
	if s.heat[v] += s.step; s.heat[v] > 1e100 {
		for i := range s.heat {
			s.heat[i] *= 1e-100
		}
		s.step *= 1e-100
	}
	s.heap.up(v)
}
