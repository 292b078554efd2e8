package search

import (
	"math/bits"
	"slices"
)

// evaluate places everything at least cost for given tools and main labels. Boards are apart from
// each other then, so this is exact. The places are valid until the next call.
func (s *jointSearch) evaluate(tools []uint64, labels []int) (slots [][]int, cost int64) {
	c := &s.scratch
	var all uint64
	for f, set := range tools {
		one := s.exact.toolCost(f, set)
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

// exactUnlike is what a place with another label than the main one costs.
func (s *jointSearch) exactUnlike(b, f, label int) int64 {
	if label == AnyLabel || len(s.wanted[f]) < 2 {
		return 0
	}
	return s.exact.Unlike * s.exact.Boards[b].times
}

// place solves one board and writes the places; first asks for the first of all best answers.
func (s *jointSearch) place(b int, served []uint64, labels, places []int, first bool) int64 {
	c := &s.scratch
	board := &s.exact.Boards[b]
	width := len(board.Slots)
	c.rows = c.rows[:0]
	for f := range s.items {
		places[f] = -1
		if board.Cost[f] == nil {
			continue
		}
		row := c.cost[len(c.rows)*width : (len(c.rows)+1)*width]
		c.escape[len(c.rows)] = s.exact.Skip * board.times
		c.rows = append(c.rows, f)
		for i := range board.Slots {
			slot := &board.Slots[i]
			row[i] = board.Cost[f][i]
			if slot.Ways&served[f] == 0 {
				row[i] = Never
			} else if row[i] < Never && slot.Label != labels[f] {
				row[i] += s.exactUnlike(b, f, slot.Label)
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
				count[s.j.Boards[b].Slots[i].Label] += int(s.j.Boards[b].times)
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
	all := union(s.best.Tools)
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
