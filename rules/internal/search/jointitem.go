package search

import "math/bits"

// itemPart minimises what item f pays by itself over all its choices of tools, labels and places,
// notes what each choice of tools would cost it, and, if share is set, hands back to boards and
// tools what a place or a choice costs above the minimum.
func (s *jointSearch) itemPart(n *jointNode, f int, share bool) int64 {
	c := &s.scratch
	for _, b := range s.wanted[f] {
		c.leastSkip[b] = 2 * Never
		c.leastLike[b], c.leastOther[b] = 2*Never, 2*Never
		fill(c.least[b*64:(b+1)*64], 2*Never)
	}
	byLabel := s.labelLeast[f*s.labels : (f+1)*s.labels]
	fill(byLabel, 2*Never)
	best := 2 * Never
	for _, g := range s.groups[f] {
		pick, chosen := 2*Never, 0
		for _, k := range g.choices {
			if p := s.pickCost(n, f, k); p < pick {
				pick, chosen = p, k
			}
		}
		base := s.weigh(n, f, g)
		label, saved := s.mainLabel(n, f)
		rest := base - saved
		for _, k := range g.choices {
			n.value[s.pick(f, k)] = rest + s.pickCost(n, f, k)
		}
		least := rest + pick
		floor := -Never
		if chosen == s.several {
			if v, l := s.severalLeast(n, f); v > least {
				least, label, floor = v, l, v
				n.value[s.pick(f, s.several)] = v
			}
		}
		if least < best {
			best, c.chosen[f], c.main[f] = least, chosen, label
		}
		for _, l := range s.own[f] {
			byLabel[l] = min(byLabel[l], max(floor, base-c.total[l]+pick))
		}
		for _, b := range s.wanted[f] {
			s.leastPlaces(n, f, b, g.slots[b], pick+base-c.rest[b], floor)
		}
	}
	for _, b := range s.wanted[f] {
		keep := s.least[(b*s.items+f)*places:]
		copy(keep[:64], c.least[b*64:(b+1)*64])
		keep[noSlot] = c.leastSkip[b]
		keep[likeSlot], keep[otherSlot] = c.leastLike[b], c.leastOther[b]
	}
	if share {
		s.handBack(n, f, best)
	}
	return best
}

// pickCost is what choice k costs item f itself: for several tools, what two of them cost at least.
func (s *jointSearch) pickCost(n *jointNode, f, k int) int64 {
	cost := n.pickItem[s.pick(f, k)]
	if k != s.several {
		return cost
	}
	taken := 0
	first, second := Never, Never
	for rest := n.may[f]; rest != 0; rest &= rest - 1 {
		t := bits.TrailingZeros64(rest)
		c := s.j.Items[f].Shared[t] + n.price[t]
		if n.has[f]>>t&1 == 1 {
			cost += c
			taken++
		} else {
			first, second = min(first, c), min(second, max(first, c))
		}
	}
	switch taken {
	case 0:
		cost += first + second
	case 1:
		cost += first
	}
	return cost
}

func fill(s []int64, v int64) {
	for i := range s {
		s[i] = v
	}
}

// weigh finds for one group of choices the cheapest place on every board, each taken as unlike,
// and what every label would save there as the main label. It gives the sum of the former.
func (s *jointSearch) weigh(n *jointNode, f int, g jointGroup) int64 {
	c := &s.scratch
	for _, l := range s.own[f] {
		c.total[l] = 0
	}
	var base int64
	for _, b := range s.wanted[f] {
		slots := s.j.Boards[b].Slots
		gain := c.gain[b*s.labels : (b+1)*s.labels]
		for _, l := range s.own[f] {
			gain[l] = 0
		}
		share := n.itemShare[s.cell(b, f, 0):]
		cheapest := n.skipItem[b*s.items+f]
		if n.noSkip[b*s.items+f] {
			cheapest = s.wall()
		}
		alike, other := n.alike[b*s.items+f], n.other[b*s.items+f]
		for set := g.slots[b]; set != 0; set &= set - 1 {
			i := bits.TrailingZeros64(set)
			if !alike || slots[i].Label == AnyLabel {
				cheapest = min(cheapest, share[i]+s.unlikeAt(b, f, slots[i].Label))
			}
		}
		for set := g.slots[b]; set != 0; set &= set - 1 {
			i := bits.TrailingZeros64(set)
			if l := slots[i].Label; l != AnyLabel && !other {
				gain[l] = max(gain[l], cheapest-share[i])
			}
		}
		for _, l := range s.own[f] {
			c.total[l] += gain[l]
		}
		c.rest[b] = cheapest
		base += cheapest
	}
	return base
}

// wall is more than any placing worth looking at costs, and small enough for sums.
func (s *jointSearch) wall() int64 {
	return min(s.stage.stretched(s.best.Cost)+1<<s.stage.stretch, Never/int64(len(s.j.Boards)))
}

// unlikeAt is what a place of this label on board b costs when another label is the main one.
func (s *jointSearch) unlikeAt(b, f, label int) int64 {
	if label == AnyLabel {
		return 0
	}
	return s.unlike[f] * s.j.Boards[b].times
}

// mainLabel gives the label that saves most, among those still open.
func (s *jointSearch) mainLabel(n *jointNode, f int) (label int, saved int64) {
	if l := n.label[f]; l != undecided {
		return l, s.scratch.total[l]
	}
	label = undecided
	for _, l := range s.own[f] {
		if n.noMain[f*s.labels+l] {
			continue
		}
		if t := s.scratch.total[l]; label == undecided || t > saved {
			label, saved = l, t
		}
	}
	return label, saved
}

// leastPlaces lowers, for each place of item f on board b, the least cost of the item's part with
// that place; elsewhere is the part without board b and without any label's saving.
func (s *jointSearch) leastPlaces(n *jointNode, f, b int, set uint64, elsewhere, floor int64) {
	c := &s.scratch
	gain := c.gain[b*s.labels : (b+1)*s.labels]
	fixed := n.label[f]
	var any int64 // the best that labels do for the other boards
	if fixed != undecided {
		any = gain[fixed] - c.total[fixed]
	} else {
		for _, l := range s.own[f] {
			if !n.noMain[f*s.labels+l] {
				any = min(any, gain[l]-c.total[l])
			}
		}
	}
	if !n.noSkip[b*s.items+f] {
		c.leastSkip[b] = min(c.leastSkip[b], max(floor, elsewhere+any+n.skipItem[b*s.items+f]))
	}
	slots := s.j.Boards[b].Slots
	share := n.itemShare[s.cell(b, f, 0):]
	least := c.least[b*64 : (b+1)*64]
	for ; set != 0; set &= set - 1 {
		i := bits.TrailingZeros64(set)
		l := slots[i].Label
		here := any + s.unlikeAt(b, f, l)
		if n.alike[b*s.items+f] && l != AnyLabel {
			here = 2*Never - elsewhere - share[i]
		}
		if l != AnyLabel {
			c.leastOther[b] = min(c.leastOther[b], max(floor, elsewhere+here+share[i]))
		} else {
			c.leastLike[b] = min(c.leastLike[b], max(floor, elsewhere+here+share[i]))
		}
		if l != AnyLabel && !n.other[b*s.items+f] && (fixed == undecided && !n.noMain[f*s.labels+l] || fixed == l) {
			here = min(here, gain[l]-c.total[l])
			c.leastLike[b] = min(c.leastLike[b], max(floor, elsewhere+gain[l]-c.total[l]+share[i]))
		}
		least[i] = min(least[i], max(floor, elsewhere+here+share[i]))
	}
}

// handBack gives boards and tools equal shares of what places and choices cost item f above its
// least part. With n receivers each gets an n-th, so no combination is charged too much.
func (s *jointSearch) handBack(n *jointNode, f int, best int64) {
	c := &s.scratch
	receivers := int64(len(s.wanted[f]) + 1)
	for _, b := range s.wanted[f] {
		for set := s.reach(f, b); set != 0; set &= set - 1 {
			i := bits.TrailingZeros64(set)
			at := s.cell(b, f, i)
			part := (c.least[b*64+i] - best) / receivers
			n.itemShare[at] -= part
			n.slotShare[at] += part
		}
		if n.noSkip[b*s.items+f] {
			continue
		}
		part := (c.leastSkip[b] - best) / receivers
		n.skipItem[b*s.items+f] -= part
		n.skipBoard[b*s.items+f] += part
	}
	for _, g := range s.groups[f] {
		for _, k := range g.choices {
			at := s.pick(f, k)
			part := (n.value[at] - best) / receivers
			n.pickItem[at] -= part
			n.toolShare[at] += part
		}
	}
}
