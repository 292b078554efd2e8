package search

import "math/bits"

// severalLeast is a lower bound on what item f pays by itself when it takes several tools, and the
// main label of it. Each place is served by one of the tools. With two boards it takes the best two
// different tools, one for each board; with more, each board pays an equal share of its tool, or the
// item pays the two cheapest tools, whichever is more.
func (s *jointSearch) severalLeast(n *jointNode, f int) (best int64, label int) {
	boards := int64(len(s.wanted[f]))
	fixed := n.pickItem[s.pick(f, s.several)]
	c := &s.scratch
	first, second := Never, Never
	for rest := n.may[f]; rest != 0; rest &= rest - 1 {
		t := bits.TrailingZeros64(rest)
		c.toolPays[t] = s.j.Items[f].Shared[t] + n.price[t]
		if n.has[f]>>t&1 == 1 {
			fixed += c.toolPays[t]
			c.toolPays[t] = 0
		}
		first, second = min(first, c.toolPays[t]), min(second, max(first, c.toolPays[t]))
		for i, b := range s.wanted[f] {
			c.byBoard[i*s.tools+t] = s.cheapest(n, f, b, s.byTool[(f*len(s.j.Boards)+b)*s.tools+t])
		}
	}
	best, label = 2*Never, undecided
	for at := -1; at < len(s.own[f]); at++ {
		l := undecided
		if at >= 0 {
			l = s.own[f][at]
			if n.label[f] != undecided && n.label[f] != l || n.noMain[f*s.labels+l] {
				continue
			}
		} else if len(s.own[f]) > 0 {
			continue
		}
		v := s.severalWith(n, f, l, first+second, boards)
		if v < best {
			best, label = v, l
		}
	}
	return fixed + best, label
}

func (s *jointSearch) severalWith(n *jointNode, f, l int, twoCheapest, boards int64) int64 {
	c := &s.scratch
	apart, shared := twoCheapest, int64(0)
	var one [2][2]int64 // of the first two boards: the cheapest two
	var tool [2]int
	for i, b := range s.wanted[f] {
		with, free := 2*Never, 2*Never
		one0, one1, which := 2*Never, 2*Never, -1
		slot := s.labelSlot(b, l)
		if n.other[b*s.items+f] {
			slot = 0
		}
		share := n.itemShare[s.cell(b, f, 0):]
		for rest := n.may[f]; rest != 0; rest &= rest - 1 {
			t := bits.TrailingZeros64(rest)
			m := c.byBoard[i*s.tools+t]
			for set := slot & s.byTool[(f*len(s.j.Boards)+b)*s.tools+t]; set != 0; set &= set - 1 {
				m = min(m, share[bits.TrailingZeros64(set)])
			}
			free = min(free, m)
			with = min(with, m+c.toolPays[t]/boards)
			if boards == 2 {
				if v := m + c.toolPays[t]; v < one0 {
					one0, one1, which = v, one0, t
				} else {
					one1 = min(one1, v)
				}
			}
		}
		apart += free
		shared += with
		if boards == 2 {
			one[i], tool[i] = [2]int64{one0, one1}, which
		}
	}
	if boards == 2 && n.has[f] == 0 {
		if tool[0] != tool[1] {
			return one[0][0] + one[1][0]
		}
		return min(one[0][1]+one[1][0], one[0][0]+one[1][1])
	}
	return max(apart, shared)
}

// cheapest is the cheapest place of item f among slots of board b, or skipping it, taken as unlike.
func (s *jointSearch) cheapest(n *jointNode, f, b int, set uint64) int64 {
	least := n.skipItem[b*s.items+f]
	if n.noSkip[b*s.items+f] {
		least = s.wall()
	}
	share := n.itemShare[s.cell(b, f, 0):]
	for ; set != 0; set &= set - 1 {
		i := bits.TrailingZeros64(set)
		if n.alike[b*s.items+f] && s.j.Boards[b].Slots[i].Label != AnyLabel {
			continue
		}
		least = min(least, share[i]+s.unlikeAt(b, f, s.j.Boards[b].Slots[i].Label))
	}
	return least
}

// labelSlot gives the slots of board b with label l.
func (s *jointSearch) labelSlot(b, l int) uint64 {
	if l < 0 {
		return 0
	}
	return s.labelled[b*s.labels+l]
}
