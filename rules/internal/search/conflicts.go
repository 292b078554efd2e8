package search

import (
	"slices"
)

// Conflicts finds every minimal conflict among n items (at most 64), and every minimal correction: a smallest set
// of items that, given up, lets the rest hold together. Items are in the order of blame and consistent is monotone,
// as for Conflict. limit ends the search after so many conflicts (0 is no limit); whole tells whether all were found.
//
// The search keeps a map of the power set, as MARCO does (Liffiton and others 2016): a seed that is neither known to
// hold nor known to fail is either shrunk to a minimal conflict or grown to a maximal set that holds, and everything
// above the one or below the other is struck out. The answer does not depend on the order in which this happens:
// conflicts come sorted by blame: of two, the one without the last item in which they differ is first. So the first is
// that of Conflict.
func Conflicts(n int, consistent func([]int) bool, limit int) (conflicts, corrections []Set, whole bool) {
	m := powerSet{n: n, consistent: consistent}
	for {
		seed, ok := m.seed()
		if !ok {
			slices.Sort(m.conflicts)
			return m.conflicts, Minimal(m.corrections), true
		}
		if limit > 0 && len(m.conflicts) >= limit {
			slices.Sort(m.conflicts)
			return m.conflicts, Minimal(m.corrections), false
		}
		if m.holds(seed) {
			m.corrections = append(m.corrections, m.all()&^m.grow(seed))
		} else {
			m.conflicts = append(m.conflicts, m.shrink(seed))
		}
	}
}

// powerSet is what is known about all subsets: a subset with a known conflict inside fails, one whose
// complement contains a known correction holds.
type powerSet struct {
	n           int
	consistent  func([]int) bool
	conflicts   []Set
	corrections []Set
}

func (m *powerSet) all() Set { return Set(1<<m.n - 1) }

func (m *powerSet) holds(s Set) bool { return m.consistent(s.Items()) }

func (m *powerSet) grow(s Set) Set {
	for i := range m.n {
		if t := s | 1<<i; t != s && m.holds(t) {
			s = t
		}
	}
	return s
}

func (m *powerSet) shrink(s Set) Set {
	items := s.Items()
	var out Set
	for _, i := range Conflict(len(items), func(set []int) bool {
		picked := make([]int, len(set))
		for k, j := range set {
			picked[k] = items[j]
		}
		return m.consistent(picked)
	}) {
		out |= 1 << items[i]
	}
	return out
}

// seed finds a subset of which nothing is known: it contains no known conflict, and what it lacks contains no known
// correction. What is not left out to break a conflict is in, so seeds are large.
func (m *powerSet) seed() (Set, bool) { return m.without(0) }

// without looks for a seed that lacks at least the items of out.
func (m *powerSet) without(out Set) (Set, bool) {
	for _, c := range m.corrections {
		if out.Has(c) {
			return 0, false // inside a set known to hold
		}
	}
	at := slices.IndexFunc(m.conflicts, func(c Set) bool { return c&out == 0 })
	if at < 0 {
		return m.all() &^ out, true
	}
	for _, item := range m.conflicts[at].Items() {
		if s, ok := m.without(out | 1<<item); ok {
			return s, true
		}
	}
	return 0, false
}
