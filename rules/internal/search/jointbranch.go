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
		if n.bound < s.best.Cost {
			for _, c := range s.splits(n) {
				if c.bound >= s.best.Cost {
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
		if bound >= s.best.Cost {
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
		if bound := n.bound - n.floor[f] + least; bound < s.best.Cost {
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
			if column := s.lap.Column[f]; byBoards && column >= 0 {
				k = column
			}
			tools[f] = s.takeTools(n, f, k, used)
			used |= tools[f]
		}
		for range 4 {
			slots, cost := s.evaluate(tools, labels)
			if cost < s.best.Cost {
				s.keep(tools, labels, slots, cost)
			}
			if !s.relabel(n, labels, slots) {
				break
			}
		}
	}
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

// evaluate places everything at least cost for given tools and main labels. Places are computed
// for n boards apart, so this is exact.
func (s *jointSearch) evaluate(tools []uint64, labels []int) (slots [][]int, cost int64) {
	var all uint64
	for f, set := range tools {
		c := s.j.toolCost(f, set)
		if c >= Never {
			return nil, Never
		}
		all |= set
		cost += c
	}
	served := make([]uint64, s.items)
	for f, set := range tools {
		served[f] = s.j.ways(f, set, all&^set)
	}
	for b := range s.j.Boards {
		column, c := s.place(b, served, labels, false)
		slots = append(slots, column)
		cost += c
	}
	return slots, cost
}

// place solves one board; first asks for the first of all best answers.
func (s *jointSearch) place(b int, served []uint64, labels []int, first bool) ([]int, int64) {
	board := s.j.Boards[b]
	width := len(board.Slots)
	var rows []int
	var cost, escape []int64
	for f := range s.items {
		if board.Cost[f] == nil {
			continue
		}
		rows = append(rows, f)
		escape = append(escape, s.j.Skip)
		for i, slot := range board.Slots {
			c := board.Cost[f][i]
			if slot.Ways&served[f] == 0 {
				c = Never
			} else if c < Never && slot.Label != labels[f] {
				c += s.unlike[f]
			}
			cost = append(cost, c)
		}
	}
	var lap Assignment
	solve := lap.Solve
	if first {
		solve = lap.First
	}
	total := solve(len(rows), width, cost, escape)
	column := sized[int](nil, s.items, -1)
	for r, f := range rows {
		column[f] = lap.Column[r]
	}
	return column, total
}

// relabel makes the commonest label of each item that is free to change its main one; it reports
// whether any changed.
func (s *jointSearch) relabel(n *jointNode, labels []int, slots [][]int) bool {
	changed := false
	for f := range s.items {
		if n.label[f] != undecided || slots == nil {
			continue
		}
		count := make([]int, s.labels)
		for b := range slots {
			if i := slots[b][f]; i >= 0 {
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
	s.best.Slot, s.best.Cost = slots, cost
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
		s.best.Slot[b], _ = s.place(b, served, s.best.Labels, true)
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
