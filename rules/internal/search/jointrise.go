package search

import (
	"math"
	"math/bits"
)

// byRise cuts what lies under n into children: choices of tools, main labels, places or skips of an item, or
// whether a place is like the main label, whichever leaves the least work as far as the bounds of the children tell.
func (s *jointSearch) byRise(n *jointNode) []split {
	var best []split
	score := 2.0
	offer := func(c []split) {
		if c == nil {
			return
		}
		if v := s.treeSize(n, c); best == nil || v < score {
			best, score = c, v
		}
	}
	for f := range s.items {
		if n.choice[f] == undecided {
			offer(s.choices(n, f))
		}
		if s.splitsLabel(n, f) {
			offer(s.mains(n, f))
		}
		for _, b := range s.wanted[f] {
			offer(s.slotSplit(n, f, b))
			offer(s.skipSplit(n, f, b))
			offer(s.likeSplit(n, f, b))
		}
	}
	if best == nil {
		best = s.oneTool(n)
	}
	return ordered(best)
}

// treeSize estimates how much work a split leaves: the x with sum of x^-(rise/gap) = 1.
func (s *jointSearch) treeSize(n *jointNode, c []split) float64 {
	if len(c) < 2 {
		return float64(len(c)) - 1
	}
	gap := float64(s.stage.stretched(s.best.Cost) - n.bound)
	lo, hi := 0.0, 400.0
	for range 12 {
		x := (lo + hi) / 2
		sum := 0.0
		for _, k := range c {
			sum += math.Exp2(-x * max(float64(k.bound-n.bound)/gap, 0.01))
		}
		if sum > 1 {
			lo = x
		} else {
			hi = x
		}
	}
	return hi
}

// slotSplit gives a child for each place of item f on board b.
func (s *jointSearch) slotSplit(n *jointNode, f, b int) []split {
	at := b*s.items + f
	set := n.cells[at] & s.reach(f, b)
	if bits.OnesCount64(set) < 2 {
		return nil
	}
	c := []split{}
	rest := n.bound - n.floor[f]
	for ; set != 0; set &= set - 1 {
		i := bits.TrailingZeros64(set)
		if bound := rest + s.least[at*places+i]; !s.hopeless(bound) {
			c = append(c, split{bound, func(n *jointNode) { n.cells[at], n.noSkip[at] = 1<<i, true }})
		}
	}
	if bound := rest + s.least[at*places+noSlot]; !n.noSkip[at] && !s.hopeless(bound) {
		c = append(c, split{bound, func(n *jointNode) { n.cells[at] = 0 }})
	}
	return c
}

// likeSplit makes the place of item f on board b like the main label or skips it, or makes it another.
func (s *jointSearch) likeSplit(n *jointNode, f, b int) []split {
	at := b*s.items + f
	if s.unlike[f] == 0 || n.alike[at] || n.other[at] {
		return nil
	}
	c := []split{}
	rest := n.bound - n.floor[f]
	like := s.least[at*places+likeSlot]
	if !n.noSkip[at] {
		like = min(like, s.least[at*places+noSlot])
	}
	if bound := rest + like; !s.hopeless(bound) {
		c = append(c, split{bound, func(n *jointNode) { n.alike[at] = true }})
	}
	if bound := rest + s.least[at*places+otherSlot]; !s.hopeless(bound) {
		c = append(c, split{bound, func(n *jointNode) { n.other[at], n.noSkip[at] = true, true }})
	}
	return c
}

// skipSplit places item f on board b, or skips it.
func (s *jointSearch) skipSplit(n *jointNode, f, b int) []split {
	at := b*s.items + f
	set := n.cells[at] & s.reach(f, b)
	if set == 0 || n.noSkip[at] {
		return nil
	}
	rest := n.bound - n.floor[f]
	least := 2 * Never
	for ; set != 0; set &= set - 1 {
		least = min(least, s.least[at*places+bits.TrailingZeros64(set)])
	}
	c := []split{}
	if bound := rest + least; !s.hopeless(bound) {
		c = append(c, split{bound, func(n *jointNode) { n.noSkip[at] = true }})
	}
	if bound := rest + s.least[at*places+noSlot]; !s.hopeless(bound) {
		c = append(c, split{bound, func(n *jointNode) { n.cells[at] = 0 }})
	}
	return c
}
