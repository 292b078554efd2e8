package search

import "math/bits"

// toolPart is the part of the bound in which each tool goes to one item at most. Every tool has a
// price; an item pays what its choice costs it and the prices of the tools it takes, and the prices
// themselves are paid back once: for any prices the sum is a lower bound. They start as those of
// the assignment problem in which an item that takes several tools pays none, and are then raised
// or lowered, tool by tool, to where the bound is highest.
func (s *jointSearch) toolPart(n *jointNode) int64 {
	c := &s.scratch
	copy(c.price, n.price)
	kept := s.toolBound(n)
	s.assignTools(n)
	for t := range s.tools {
		c.price[t] = -s.lap.Price[t]
	}
	if s.anySeveral(n) {
		if s.toolBound(n) < kept {
			copy(c.price, n.price)
		}
		for t := range s.tools {
			c.price[t] = s.bestPrice(n, t)
		}
	}
	total := s.toolBound(n)
	for f := range s.items {
		least := s.leastChoice(n, f, -1, true)
		for _, k := range s.left[f] {
			at := s.pick(f, k)
			surplus := n.toolShare[at] - least
			if k < s.tools {
				surplus += c.price[k]
			}
			n.toolShare[at] -= surplus
			n.pickItem[at] += surplus
		}
	}
	copy(n.price, c.price)
	return total
}

// toolBound is what the part adds to the bound with the prices of the scratch.
func (s *jointSearch) toolBound(n *jointNode) int64 {
	var total int64
	for f := range s.items {
		total += s.leastChoice(n, f, -1, true)
	}
	for _, p := range s.scratch.price {
		total -= p
	}
	return total
}

// assignTools hands out one tool to each item at least cost, whether it takes that alone or with
// others; an item that takes none stands apart.
func (s *jointSearch) assignTools(n *jointNode) {
	c := &s.scratch
	for f := range s.items {
		several := Never
		if s.open(f, s.several) {
			several = n.toolShare[s.pick(f, s.several)]
		}
		for t := range s.tools {
			cost := Never
			if s.open(f, t) {
				cost = n.toolShare[s.pick(f, t)]
			}
			if n.may[f]>>t&1 == 1 && several < Never {
				cost = min(cost, several-n.price[t])
			}
			c.cost[f*s.tools+t] = cost
		}
		c.escape[f] = Never
		if s.open(f, s.none) {
			c.escape[f] = n.toolShare[s.pick(f, s.none)]
		}
	}
	s.lap.Solve(s.items, s.tools, c.cost, c.escape)
}

func (s *jointSearch) anySeveral(n *jointNode) bool {
	for f := range s.items {
		if s.open(f, s.several) {
			return true
		}
	}
	return false
}

// priced is what choice k of item f costs with the prices of the tools it takes at least.
func (s *jointSearch) priced(n *jointNode, f, k int) int64 {
	cost := n.toolShare[s.pick(f, k)]
	switch {
	case k == s.none:
		return cost
	case k == s.several:
		return cost + s.severalPrice(n, f, -1, false)
	}
	return cost + s.scratch.price[k]
}

// severalPrice is the least by which the prices of two or more tools that item f may take have
// risen: what they were before, the item pays elsewhere. With tool t it counts t as taken, without
// its price, if with is set, and leaves t out if not.
func (s *jointSearch) severalPrice(n *jointNode, f, t int, with bool) int64 {
	price := s.scratch.price
	var total int64
	taken := 0
	if with {
		total -= n.price[t]
		taken++
	}
	first, second := Never, Never
	for rest := n.may[f]; rest != 0; rest &= rest - 1 {
		u := bits.TrailingZeros64(rest)
		rise := price[u] - n.price[u]
		switch {
		case u == t:
		case rise < 0 || n.has[f]>>u&1 == 1:
			total += rise
			taken++
		default:
			first, second = min(first, rise), min(second, max(first, rise))
		}
	}
	switch {
	case taken == 0:
		return total + first + second
	case taken == 1:
		return total + first
	}
	return total
}

// leastChoice is the least that item f pays over its choices: all of them with t < 0; else those
// that take tool t, without its price, if with is set, or those that do not take it.
func (s *jointSearch) leastChoice(n *jointNode, f, t int, with bool) int64 {
	least := Never
	if t < 0 {
		for _, k := range s.left[f] {
			least = min(least, s.priced(n, f, k))
		}
		return least
	}
	for _, k := range s.left[f] {
		if k < s.none && (k == t) == with {
			cost := n.toolShare[s.pick(f, k)]
			if !with {
				cost += s.scratch.price[k]
			}
			least = min(least, cost)
		}
	}
	if !with && s.open(f, s.none) {
		least = min(least, n.toolShare[s.pick(f, s.none)])
	}
	taken := n.has[f]>>t&1 == 1
	if s.open(f, s.several) && (with && n.may[f]>>t&1 == 1 || !with && !taken) {
		least = min(least, n.toolShare[s.pick(f, s.several)]+s.severalPrice(n, f, t, with))
	}
	return least
}

// bestPrice is the price of tool t that makes the bound highest, the others kept. An item takes t
// while its price is under the item's gain from it; the bound grows with the price as long as two
// items would take it, and falls when none does.
func (s *jointSearch) bestPrice(n *jointNode, t int) int64 {
	first, second := -Never, -Never
	for f := range s.items {
		if n.may[f]>>t&1 == 0 {
			continue
		}
		with := s.leastChoice(n, f, t, true)
		without := s.leastChoice(n, f, t, false)
		gain := min(without, Never) - min(with, Never)
		if with >= Never {
			gain = -Never
		}
		first, second = max(first, gain), max(second, min(first, gain))
	}
	low, high := max(second, 0), max(first, 0)
	if high >= Never/2 {
		return low
	}
	return low + (high-low)/2
}
