package search

import (
	"math/bits"
	"slices"
)

// Rounds of the bound at the root, and below it, where the parent's division is a good start.
const rootRounds, nodeRounds = 60, 12

// split is one child of a node: a decision, with a lower bound that costs nothing.
type split struct {
	bound int64
	apply func(*jointNode)
}

// explore looks for placings under n that are cheaper than the best known.
func (s *jointSearch) explore(n *jointNode) {
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
	s.free = append(s.free, n)
}

// splits cuts what lies under n into children: the choice of tools of the item that has fewest
// worth trying, then single tools of an item that takes several, then its main label. A node with
// nothing left to cut has been solved exactly by guess.
func (s *jointSearch) splits(n *jointNode) []split {
	var best []split
	for f := range s.items {
		if n.choice[f] == undecided {
			if c := s.choices(n, f); best == nil || len(c) < len(best) {
				best = c
			}
		}
	}
	if best != nil {
		return ordered(best)
	}
	for f := range s.items {
		if rest := n.may[f] &^ n.has[f]; n.choice[f] == s.several && rest != 0 {
			tool := uint64(1) << bits.TrailingZeros64(rest)
			return []split{
				{n.bound, func(c *jointNode) { c.has[f] |= tool }},
				{n.bound, func(c *jointNode) { c.may[f] &^= tool }},
			}
		}
	}
	for f := range s.items {
		if n.label[f] == undecided && s.unlike[f] > 0 && len(s.own[f]) > 0 {
			if c := s.mains(n, f); best == nil || len(c) < len(best) {
				best = c
			}
		}
	}
	return ordered(best)
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
	for k := range s.tools + 2 {
		if !s.open(n, f, k) {
			continue
		}
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
		least := 2 * Never
		for _, g := range s.groups[f] {
			base := s.weigh(n, f, g)
			for _, k := range g.choices {
				least = min(least, base-s.scratch.total[l]+n.pickItem[s.pick(f, k)])
			}
		}
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
	var taken uint64
	for f := range s.items {
		taken |= n.has[f]
	}
	for _, byBoards := range []bool{true, false} {
		used := taken
		for f := range s.items {
			labels[f] = s.scratch.main[f]
			k := s.scratch.chosen[f]
			if column := s.lap.Column[f]; byBoards && column >= 0 && s.open(n, f, column) {
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

// evaluate places everything at least cost for given tools and main labels. Boards are apart from
// each other then, so this is exact. The places are valid until the next call.
func (s *jointSearch) evaluate(tools []uint64, labels []int) (slots [][]int, cost int64) {
	c := &s.scratch
	var all uint64
	for f, set := range tools {
		one := s.j.toolCost(f, set)
		if one >= Never {
			return nil, Never
		}
		all |= set
		cost += one
	}
	for f, set := range tools {
		c.served[f] = s.j.ways(f, set, all&^set)
	}
	for b := range s.j.Boards {
		cost += s.place(b, c.served, labels, c.placed[b], false)
	}
	return c.placed, cost
}

// place solves one board and writes the places; first asks for the first of all best answers.
func (s *jointSearch) place(b int, served []uint64, labels, places []int, first bool) int64 {
	c := &s.scratch
	board := &s.j.Boards[b]
	width := len(board.Slots)
	c.rows = c.rows[:0]
	for f := range s.items {
		places[f] = -1
		if board.Cost[f] == nil {
			continue
		}
		row := c.cost[len(c.rows)*width : (len(c.rows)+1)*width]
		c.escape[len(c.rows)] = s.j.Skip
		c.rows = append(c.rows, f)
		for i := range board.Slots {
			slot := &board.Slots[i]
			row[i] = board.Cost[f][i]
			if slot.Ways&served[f] == 0 {
				row[i] = Never
			} else if row[i] < Never && slot.Label != labels[f] {
				row[i] += s.unlikeAt(f, slot.Label)
			}
		}
	}
	solve := c.lap.Solve
	if first {
		solve = c.lap.First
	}
	total := solve(len(c.rows), width, c.cost, c.escape)
	for r, f := range c.rows {
		places[f] = c.lap.Column[r]
	}
	return total
}

// relabel makes the commonest label of each item that is free to change its main one; it reports
// whether any changed.
func (s *jointSearch) relabel(n *jointNode, labels []int, slots [][]int) bool {
	changed := false
	for f := range s.items {
		if n.label[f] != undecided || slots == nil {
			continue
		}
		count := s.scratch.count
		for i := range count {
			count[i] = 0
		}
		for b := range slots {
			if i := slots[b][f]; i >= 0 && s.j.Boards[b].Slots[i].Label != AnyLabel {
				count[s.j.Boards[b].Slots[i].Label]++
			}
		}
		for _, l := range s.own[f] {
			if labels[f] == undecided || count[l] > count[labels[f]] {
				labels[f], changed = l, true
			}
		}
	}
	return changed
}

func (s *jointSearch) keep(tools []uint64, labels []int, slots [][]int, cost int64) {
	s.best.Tools, s.best.Labels = slices.Clone(tools), slices.Clone(labels)
	for b := range slots {
		copy(s.best.Slot[b], slots[b])
	}
	s.best.Cost = cost
}

// tidy takes the first of equal answers on every board, and leaves no tool that no place needs.
func (s *jointSearch) tidy() {
	var all uint64
	for _, set := range s.best.Tools {
		all |= set
	}
	served := make([]uint64, s.items)
	for f, set := range s.best.Tools {
		served[f] = s.j.ways(f, set, all&^set)
	}
	needed := make([]uint64, s.items)
	for b, board := range s.j.Boards {
		s.place(b, served, s.best.Labels, s.best.Slot[b], true)
		for f, i := range s.best.Slot[b] {
			if i < 0 {
				continue
			}
			if ways := board.Slots[i].Ways & served[f]; ways&s.j.Items[f].Free == 0 {
				needed[f] |= s.j.Ways[bits.TrailingZeros64(ways)]
			}
		}
	}
	for f := range s.best.Tools {
		s.best.Tools[f] &= needed[f] | s.j.Items[f].Has
	}
}
