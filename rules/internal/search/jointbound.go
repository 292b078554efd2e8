package search

import (
	"math/bits"
	"slices"
)

// jointScratch is memory that a bound needs and no node keeps.
type jointScratch struct {
	cost, escape []int64 // one assignment problem
	rows         []int   // its items
	gain         []int64 // by board and label: what a main label saves on a board
	total        []int64 // by label: what it saves on all boards
	rest         []int64 // by board: cheapest place, taken as unlike
	least        []int64 // by board and slot: the item's cheapest part with that place
	leastSkip    []int64
	leastLike    []int64 // by board: the item's cheapest part with a place like the main label there
	leastOther   []int64 // and with another one
	differ       []bool  // by board: its places are not those of the best placing
	chosen       []int   // choice of tools in the item's cheapest part
	main         []int   // label in it
	slots        []uint64

	price             []int64 // of each tool
	toolPays, byBoard []int64

	served []uint64 // of a placing: ways that serve each item
	placed [][]int  // by board and item
	count  []int    // by label
	lap    Assignment
}

func (c *jointScratch) init(s *jointSearch) {
	boards := len(s.j.Boards)
	width := s.tools
	for _, b := range s.j.Boards {
		width = max(width, len(b.Slots))
	}
	c.cost, c.escape = make([]int64, s.items*width), make([]int64, s.items)
	c.gain, c.total = make([]int64, boards*s.labels), make([]int64, s.labels)
	c.rest, c.leastSkip = make([]int64, boards), make([]int64, boards)
	c.leastLike, c.leastOther, c.differ = make([]int64, boards), make([]int64, boards), make([]bool, boards)
	c.least = make([]int64, boards*64)
	c.chosen, c.main = make([]int, s.items), make([]int, s.items)
	c.slots = make([]uint64, boards)
	c.price = make([]int64, s.tools)
	c.toolPays, c.byBoard = make([]int64, s.tools), make([]int64, s.tools*boards)
	c.served, c.count = make([]uint64, s.items), make([]int, s.labels)
	for range boards {
		c.placed = append(c.placed, make([]int, s.items))
	}
}

// bound raises n.bound, in rounds, towards the least cost of all placings under n, and reports
// false when nothing there can beat the best known.
//
// The whole cost is divided among parts: each board with its slots, the handing out of single
// tools, and each item with its choice of tools, label and places. Every part is minimised by
// itself and exactly, the boards and the tools as assignment problems, the items by trying each
// choice and label. The sum of the minima is a lower bound. Each round then moves costs to where
// they bind: an assignment keeps the sum of its prices and hands what cells cost above them to the
// items; an item hands back what a place costs above its cheapest part, in equal shares. No move
// lowers any minimum, so the bound only grows. What a round shows to cost too much is ruled out.
func (s *jointSearch) bound(n *jointNode, rounds int) bool {
	if !s.narrow(n) || !s.group(n) {
		return false
	}
	idle := 0
	for round := range rounds {
		total := s.boardParts(n) + s.toolPart(n)
		last := round == rounds-1 || idle > 2
		for f := range s.items {
			n.floor[f] = s.itemPart(n, f, !last)
			if n.floor[f] >= Never/2 || total >= Never/2 {
				return false // something must be placed and cannot
			}
			total += n.floor[f]
		}
		if round > 0 && total <= n.bound {
			idle++
		} else {
			idle = 0
		}
		n.bound = total
		if s.hopeless(total) {
			return false
		}
		if s.filter(n) && (!s.narrow(n) || !s.group(n)) {
			return false
		}
		if last {
			return true
		}
	}
	return true
}

// group finds which slots each choice of each item allows, and joins choices that allow the same. It
// reports false when an item has no choice.
func (s *jointSearch) group(n *jointNode) bool {
	for f := range s.items {
		groups := s.groups[f][:0]
		blocked := s.waysOf(n.others(f))
		for _, k := range s.left[f] {
			mine := uint64(0)
			if k == s.several {
				mine = n.may[f]
			} else if k != s.none {
				mine = 1 << k
			}
			groups = s.join(n, groups, f, k, s.waysOf(mine)&^blocked|s.j.Items[f].Free)
		}
		s.servedByTool(n, f, blocked)
		s.groups[f] = groups
		s.left[f] = slices.DeleteFunc(s.left[f], func(k int) bool { return !s.open(f, k) })
		if len(groups) == 0 {
			return false
		}
	}
	return true
}

// servedByTool notes for an item that may take several tools which slots each of them serves.
func (s *jointSearch) servedByTool(n *jointNode, f int, blocked uint64) {
	if !s.open(f, s.several) {
		return
	}
	for rest := n.may[f]; rest != 0; rest &= rest - 1 {
		t := bits.TrailingZeros64(rest)
		ways := s.waysWith[t]&^blocked | s.j.Items[f].Free
		for _, b := range s.wanted[f] {
			s.byTool[(f*len(s.j.Boards)+b)*s.tools+t] = s.slotsAt(n, f, b, ways)
		}
	}
}

func (s *jointSearch) join(n *jointNode, groups []jointGroup, f, k int, ways uint64) []jointGroup {
	slots := s.scratch.slots
	s.slotsOf(n, f, ways, slots)
	for _, b := range s.wanted[f] {
		if slots[b] == 0 && n.noSkip[b*s.items+f] {
			n.dead[s.pick(f, k)], s.isLeft[s.pick(f, k)] = true, false
			return groups
		}
	}
next:
	for i := range groups {
		if k == s.several {
			break // it is bounded in a way of its own
		}
		for b, set := range groups[i].slots {
			if set != slots[b] {
				continue next
			}
		}
		groups[i].choices = append(groups[i].choices, k)
		return groups
	}
	if len(groups) < cap(groups) {
		groups = groups[:len(groups)+1]
	} else {
		groups = append(groups, jointGroup{})
	}
	g := &groups[len(groups)-1]
	g.choices, g.slots = append(g.choices[:0], k), append(g.slots[:0], slots...)
	return groups
}

// slotsOf writes for each board the slots that some of the ways allow item f.
func (s *jointSearch) slotsOf(n *jointNode, f int, ways uint64, slots []uint64) {
	for b := range s.j.Boards {
		slots[b] = 0
	}
	for _, b := range s.wanted[f] {
		slots[b] = s.slotsAt(n, f, b, ways)
	}
}

// slotsAt gives the slots of board b that some of the ways allow item f.
func (s *jointSearch) slotsAt(n *jointNode, f, b int, ways uint64) uint64 {
	var set uint64
	for ; ways != 0; ways &= ways - 1 {
		set |= s.slotsBy[b*64+bits.TrailingZeros64(ways)]
	}
	return set & s.finite[b*s.items+f] & n.cells[b*s.items+f]
}

// reach gives the slots of board b that any choice of item f allows.
func (s *jointSearch) reach(f, b int) uint64 {
	var set uint64
	for _, g := range s.groups[f] {
		set |= g.slots[b]
	}
	return set
}

// boardParts minimises each board and hands the surplus of its cells to the items.
func (s *jointSearch) boardParts(n *jointNode) int64 {
	var total int64
	c := &s.scratch
	for b, board := range s.j.Boards {
		c.rows = c.rows[:0]
		width := len(board.Slots)
		for f := range s.items {
			if board.Cost[f] == nil {
				continue
			}
			row := c.cost[len(c.rows)*width : (len(c.rows)+1)*width]
			set := s.reach(f, b)
			for i := range row {
				row[i] = Never
				if set>>i&1 == 1 {
					row[i] = n.slotShare[s.cell(b, f, i)]
				}
			}
			c.escape[len(c.rows)] = n.skipBoard[b*s.items+f]
			if n.noSkip[b*s.items+f] {
				c.escape[len(c.rows)] = Never
			}
			c.rows = append(c.rows, f)
		}
		total += s.lap.Solve(len(c.rows), width, c.cost, c.escape)
		for r, f := range c.rows {
			for set := s.reach(f, b); set != 0; set &= set - 1 {
				i := bits.TrailingZeros64(set)
				at := s.cell(b, f, i)
				surplus := n.slotShare[at] - s.lap.Row[r] - s.lap.Price[i]
				n.slotShare[at] -= surplus
				n.itemShare[at] += surplus
			}
			if n.noSkip[b*s.items+f] {
				continue
			}
			surplus := n.skipBoard[b*s.items+f] - s.lap.Row[r]
			n.skipBoard[b*s.items+f] -= surplus
			n.skipItem[b*s.items+f] += surplus
		}
	}
	return total
}
