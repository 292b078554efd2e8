package search

import "math/bits"

// index finds once what the bounds ask for again and again.
func (s *jointSearch) index() {
	s.waysWith = make([]uint64, s.tools)
	for w, tools := range s.j.Ways {
		for ; tools != 0; tools &= tools - 1 {
			s.waysWith[bits.TrailingZeros64(tools)] |= 1 << w
		}
	}
	s.slotsBy = make([]uint64, len(s.j.Boards)*64)
	s.labelled = make([]uint64, len(s.j.Boards)*s.labels)
	s.finite = make([]uint64, len(s.j.Boards)*s.items)
	s.byTool = make([]uint64, s.items*len(s.j.Boards)*s.tools)
	for b, board := range s.j.Boards {
		for i, slot := range board.Slots {
			if slot.Label >= 0 {
				s.labelled[b*s.labels+slot.Label] |= 1 << i
			}
			for ways := slot.Ways; ways != 0; ways &= ways - 1 {
				s.slotsBy[b*64+bits.TrailingZeros64(ways)] |= 1 << i
			}
			for f := range s.items {
				if board.Cost[f] != nil && board.Cost[f][i] < Never {
					s.finite[b*s.items+f] |= 1 << i
				}
			}
		}
	}
}

// waysOf gives the ways that have some of the tools.
func (s *jointSearch) waysOf(tools uint64) uint64 {
	var set uint64
	for ; tools != 0; tools &= tools - 1 {
		set |= s.waysWith[bits.TrailingZeros64(tools)]
	}
	return set
}
