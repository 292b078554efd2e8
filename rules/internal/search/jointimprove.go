package search

// standing is the best placing with what its parts cost, so that a placing near it is priced by the
// boards that differ.
type standing struct {
	served       []uint64 // ways that serve each item
	tools, board []int64  // what the tools of each item and the places of each board cost
}

// stand prices the parts of the best placing.
func (s *jointSearch) stand() {
	c := &s.scratch
	st := &s.standing
	st.served, st.tools, st.board = st.served[:0], st.tools[:0], st.board[:0]
	all := union(s.best.Tools)
	for f, set := range s.best.Tools {
		st.served = append(st.served, s.j.ways(f, set, all&^set))
		st.tools = append(st.tools, s.exact.toolCost(f, set))
	}
	for b := range s.j.Boards {
		st.board = append(st.board, s.place(b, st.served, s.best.Labels, c.placed[b], false))
	}
}

func union(sets []uint64) uint64 {
	var all uint64
	for _, set := range sets {
		all |= set
	}
	return all
}

// near is the cost of a placing with these tools and main labels, found from the standing one; it stops
// where it is sure not to be under the best. The places of the boards that differ are in the scratch.
func (s *jointSearch) near(tools []uint64, labels []int) int64 {
	c := &s.scratch
	all := union(tools)
	var cost int64
	clear(c.differ)
	for f, set := range tools {
		one := s.standing.tools[f]
		if set != s.best.Tools[f] {
			one = s.exact.toolCost(f, set)
		}
		if cost += one; cost >= s.best.Cost {
			return Never
		}
		c.served[f] = s.j.ways(f, set, all&^set)
		if c.served[f] != s.standing.served[f] || labels[f] != s.best.Labels[f] {
			for _, b := range s.wanted[f] {
				c.differ[b] = true
			}
		}
	}
	for b := range s.j.Boards {
		if !c.differ[b] {
			cost += s.standing.board[b]
		}
	}
	for b := range s.j.Boards {
		if c.differ[b] {
			if cost += s.place(b, c.served, labels, c.placed[b], false); cost >= s.best.Cost {
				return Never
			}
		}
	}
	return cost
}

// improve looks around the best placing for a better one: an item gets another main label, a tool is
// given to another item, or two tools change hands. It only finds placings; what is best is decided by the bounds.
func (s *jointSearch) improve(n *jointNode) {
	any := &jointNode{label: sized[int](nil, s.items, undecided)}
	tools, labels := make([]uint64, s.items), make([]int, s.items)
	s.stand()
	attempt := func(move func()) bool {
		copy(tools, s.best.Tools)
		copy(labels, s.best.Labels)
		move()
		if s.near(tools, labels) >= s.best.Cost {
			return false
		}
		s.try(any, tools, labels)
		s.stand()
		return true
	}
	for found := true; found && !s.hopeless(n.bound); {
		found = false
		for f := range s.items {
			for _, l := range s.own[f] {
				if s.unlike[f] > 0 && l != s.best.Labels[f] {
					found = attempt(func() { labels[f] = l }) || found
				}
			}
		}
		for t := range s.tools {
			for f := range s.items {
				if !s.mayOwn(f, t) || s.best.Tools[f]>>t&1 == 1 || s.fixed(t) {
					continue
				}
				owner := s.ownerOf(t)
				found = attempt(func() { give(tools, owner, f, t) }) || found
				if owner < 0 {
					found = attempt(func() { tools[f] = s.j.Items[f].Has | 1<<t }) || found
					continue
				}
				for u := range s.tools {
					if s.best.Tools[f]>>u&1 == 1 && s.mayOwn(owner, u) && !s.fixed(u) {
						found = attempt(func() { give(tools, owner, f, t); give(tools, f, owner, u) }) || found
						break
					}
				}
				if s.hopeless(n.bound) {
					return
				}
			}
		}
	}
}

func (s *jointSearch) mayOwn(f, t int) bool {
	return t < len(s.j.Items[f].Alone) && s.j.Items[f].Shared[t] < Never
}

// fixed reports whether an item has the tool for good.
func (s *jointSearch) fixed(t int) bool {
	for _, it := range s.j.Items {
		if it.Has>>t&1 == 1 {
			return true
		}
	}
	return false
}

func (s *jointSearch) ownerOf(t int) int {
	for f, set := range s.best.Tools {
		if set>>t&1 == 1 {
			return f
		}
	}
	return -1
}

func give(tools []uint64, from, to, t int) {
	if from >= 0 {
		tools[from] &^= 1 << t
	}
	tools[to] |= 1 << t
}
