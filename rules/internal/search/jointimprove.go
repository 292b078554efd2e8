package search

// improve looks around the best placing for a better one: an item gets another main label, a tool is
// given to another item, or two tools change hands. It only finds placings; what is best is decided by the bounds.
func (s *jointSearch) improve(n *jointNode) {
	any := &jointNode{label: sized[int](nil, s.items, undecided)}
	tools, labels := make([]uint64, s.items), make([]int, s.items)
	attempt := func(move func()) bool {
		copy(tools, s.best.Tools)
		copy(labels, s.best.Labels)
		move()
		return s.try(any, tools, labels)
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
