package search

import (
	"math/bits"
	"slices"
)

// Rounds of the bound at the root, and below it, where the parent's division is a good start.
const rootRounds, nodeRounds = 40, 3

// split is one child of a node: a decision, with a lower bound that costs nothing.
type split struct {
	bound int64
	apply func(*jointNode)
}

// explore looks for placings under n that are cheaper than the best known.
func (s *jointSearch) explore(n *jointNode) {
	if s.patience > 0 && s.nodes >= s.patience {
		s.gaveUp = true
		return
	}
	s.nodes++
	rounds := nodeRounds
	if s.nodes == 1 {
		rounds = rootRounds
	}
	if s.bound(n, rounds) {
		s.guess(n)
		if !s.hopeless(n.bound) {
			for _, c := range s.splits(n) {
				if s.hopeless(c.bound) {
					continue
				}
				below := s.child(n)
				c.apply(below)
				s.explore(below)
			}
		}
	}
	s.free = append(s.free, n) // its memory
}

// splits cuts what lies under n into children: the choices of tools of an item, while the items'
// cheapest choices cannot all be had at once; the single tools of an item that takes several; the
// main labels of an item. Of these it takes the item that has fewest worth trying. A node with
// nothing left to cut has been solved exactly by guess.
func (s *jointSearch) splits(n *jointNode) []split {
	if s.rising {
		return s.byRise(n)
	}
	var tools, labels []split
	for f := range s.items {
		if n.choice[f] == undecided {
			tools = fewer(tools, ordered(s.choices(n, f)))
		}
		if s.splitsLabel(n, f) {
			labels = fewer(labels, ordered(s.mains(n, f)))
		}
	}
	switch {
	case tools != nil && len(tools) < 2 || labels == nil && tools != nil:
		return tools
	case labels != nil && len(labels) < 2:
		return labels
	case tools != nil && s.agree(n) > 0:
		return tools
	}
	if one := s.oneTool(n); one != nil {
		return one
	}
	return labels
}

// oneTool splits the tools of an item that takes several: it takes one of them, or does not.
func (s *jointSearch) oneTool(n *jointNode) []split {
	for f := range s.items {
		if rest := n.may[f] &^ n.has[f]; n.choice[f] == s.several && rest != 0 {
			tool := uint64(1) << bits.TrailingZeros64(rest)
			return []split{
				{n.bound, func(c *jointNode) { c.has[f] |= tool }},
				{n.bound, func(c *jointNode) { c.may[f] &^= tool }},
			}
		}
	}
	return nil
}

// fewer gives the split with fewer children; of equal ones that whose second child stands higher.
func fewer(a, b []split) []split {
	if a == nil || len(b) < len(a) || len(b) == len(a) && rise(b) > rise(a) {
		return b
	}
	return a
}

// agree gives every item the choice of tools that its own part likes best, as far as no tool goes
// to two, and says how much more than their floors that costs them together; an item that likes
// several tools best agrees with nobody yet.
func (s *jointSearch) agree(n *jointNode) int64 {
	c := &s.scratch
	for f := range s.items {
		for t := range s.tools {
			c.cost[f*s.tools+t] = Never
			if s.open(f, t) {
				c.cost[f*s.tools+t] = n.value[s.pick(f, t)] - n.floor[f]
			}
		}
		c.escape[f] = Never
		for _, k := range []int{s.none, s.several} {
			if s.open(f, k) {
				c.escape[f] = min(c.escape[f], n.value[s.pick(f, k)]-n.floor[f])
			}
		}
	}
	total := s.lap.Solve(s.items, s.tools, c.cost, c.escape)
	for f, column := range s.lap.Column {
		if column < 0 && n.choice[f] == undecided && s.open(f, s.several) && c.escape[f] == n.value[s.pick(f, s.several)]-n.floor[f] {
			total++
		}
	}
	return total + s.blocked(n)
}

// blocked counts items whose ways shrink when the others take the tools that were agreed on.
func (s *jointSearch) blocked(n *jointNode) int64 {
	var all uint64
	for _, column := range s.lap.Column {
		if column >= 0 {
			all |= 1 << column
		}
	}
	var count int64
	for f, column := range s.lap.Column {
		if column >= 0 {
			mine := uint64(1) << column
			if s.j.ways(f, mine, all&^mine) != s.j.ways(f, mine, n.others(f)) {
				count++
			}
		}
	}
	return count
}

// rise is the second lowest bound among children: where the split stands once its best is done.
func rise(c []split) int64 {
	if len(c) < 2 {
		return 2 * Never
	}
	return c[1].bound
}

// splitsLabel reports whether the main label of item f is still to be settled.
func (s *jointSearch) splitsLabel(n *jointNode, f int) bool {
	return n.label[f] == undecided && s.unlike[f] > 0 && len(s.own[f]) > 0
}

// ordered puts the most promising child first; equal ones stay in the caller's order.
func ordered(c []split) []split {
	slices.SortStableFunc(c, func(a, b split) int {
		switch {
		case a.bound < b.bound:
			return -1
		case a.bound > b.bound:
			return 1
		}
		return 0
	})
	return c
}

// choices gives a child for each choice of tools of item f that can still beat the best known.
func (s *jointSearch) choices(n *jointNode, f int) []split {
	children := []split{}
	for _, k := range s.left[f] {
		bound := n.bound - n.floor[f] + n.value[s.pick(f, k)]
		if s.hopeless(bound) {
			continue
		}
		children = append(children, split{bound, func(c *jointNode) {
			c.choice[f] = k
			switch {
			case k == s.none:
				c.may[f] = 0
			case k != s.several:
				c.has[f], c.may[f] = 1<<k, 1<<k
			}
		}})
	}
	return children
}

// mains gives a child for each main label of item f that can still beat the best known.
func (s *jointSearch) mains(n *jointNode, f int) []split {
	children := []split{}
	for _, l := range s.own[f] {
		if n.noMain[f*s.labels+l] {
			continue
		}
		least := s.labelLeast[f*s.labels+l]
		if bound := n.bound - n.floor[f] + least; !s.hopeless(bound) {
			children = append(children, split{bound, func(c *jointNode) { c.label[f] = l }})
		}
	}
	return children
}

// guess makes placings out of the minima of the parts and keeps the best. Where nothing is left
// to decide it finds the optimum of the node.
func (s *jointSearch) guess(n *jointNode) {
	tools, labels := make([]uint64, s.items), make([]int, s.items)
	taken := union(n.has)
	for _, byBoards := range []bool{true, false} {
		if !byBoards {
			s.agree(n)
		}
		used := taken
		for f := range s.items {
			labels[f] = s.scratch.main[f]
			k := s.scratch.chosen[f]
			if column := s.lap.Column[f]; column >= 0 && s.open(f, column) {
				k = column
			}
			tools[f] = s.takeTools(n, f, k, used)
			used |= tools[f]
		}
		s.try(n, tools, labels)
	}
	if s.nodes&(s.nodes-1) == 0 && !s.hopeless(n.bound) {
		s.improve(n)
	}
}

// try keeps a placing for the tools if it is the best, and reports so; main labels are changed for
// commoner ones as long as there are any.
func (s *jointSearch) try(n *jointNode, tools []uint64, labels []int) bool {
	better := false
	for range 4 {
		slots, cost := s.evaluate(tools, labels)
		if cost < s.best.Cost {
			s.keep(tools, labels, slots, cost)
			better = true
		}
		if !s.relabel(n, labels, slots) {
			break
		}
	}
	return better
}

// takeTools turns a choice into tools that nobody else has.
func (s *jointSearch) takeTools(n *jointNode, f, k int, used uint64) uint64 {
	set := n.has[f]
	left := n.may[f] &^ used
	switch {
	case n.choice[f] == s.several && n.has[f] == n.may[f]:
		return set
	case k == s.several:
		for ; left != 0 && bits.OnesCount64(set) < 2; left &= left - 1 {
			set |= left & -left
		}
		return set
	case k != s.none && left>>k&1 == 1:
		return set | 1<<k
	}
	return set
}
