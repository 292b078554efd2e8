package search

import "math/bits"

// places are the slots that a board may have, and three more: noSlot for a place that is skipped, likeSlot for
// any that is like the main label, otherSlot for any that is not.
const places, noSlot, likeSlot, otherSlot = 67, 64, 65, 66

// filter rules out what the last round has shown to cost too much; it reports whether there was any.
func (s *jointSearch) filter(n *jointNode) bool {
	found := false
	for f := range s.items {
		rest := n.bound - n.floor[f]
		for _, g := range s.groups[f] {
			for _, k := range g.choices {
				if at := s.pick(f, k); !n.dead[at] && s.hopeless(rest+n.value[at]) {
					n.dead[at], found = true, true
				}
			}
		}
		for _, l := range s.own[f] {
			if !n.noMain[f*s.labels+l] && s.unlike[f] > 0 && s.hopeless(rest+s.labelLeast[f*s.labels+l]) {
				n.noMain[f*s.labels+l] = true
				found = true
			}
		}
		for _, b := range s.wanted[f] {
			found = s.filterPlaces(n, f, b, rest) || found
		}
	}
	return found
}

// filterPlaces does it for the places of item f on board b; rest is the bound without the item.
func (s *jointSearch) filterPlaces(n *jointNode, f, b int, rest int64) bool {
	found := false
	at := b*s.items + f
	if !n.noSkip[at] && s.hopeless(rest+s.least[at*places+noSlot]) {
		n.noSkip[at], found = true, true
	}
	if s.unlike[f] > 0 {
		if !n.alike[at] && !n.other[at] && s.hopeless(rest+s.least[at*places+otherSlot]) {
			n.alike[at], found = true, true
		}
		if !n.alike[at] && !n.other[at] && n.noSkip[at] && s.hopeless(rest+s.least[at*places+likeSlot]) {
			n.other[at], found = true, true
		}
	}
	for set := n.cells[at] & s.reach(f, b); set != 0; set &= set - 1 {
		i := bits.TrailingZeros64(set)
		if s.hopeless(rest + s.least[at*places+i]) {
			n.cells[at] &^= 1 << i
			found = true
		}
	}
	return found
}
