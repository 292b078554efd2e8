package search

import "math/bits"

// spare is how many bits packed costs may take while they are searched, so that no sum runs over.
const spare = 58

// byStages finds the best placing for the highest aims alone, then for those and the next, and so on,
// each time from the best placing of the stage before. With fewer aims a cost is a smaller whole
// number: a lower bound that is not whole can be rounded up, which is what closes the search. And
// a stage whose start has nothing to gain, its cost being that of the stage before, is no search.
// What no placing with the optimum of a stage has is ruled out for all stages after it (keepOptimal).
func (j *Joint) byStages(tools int) Placing {
	ends := j.Stages
	if len(ends) == 0 {
		ends = []uint{0}
	}
	var best Placing
	var kept *jointNode
	nodes := 0
	for i, shift := range ends {
		s := newJointSearch(j, stage{shift: shift}, tools)
		s.kept = kept
		if i == 0 {
			s.start()
		} else {
			s.proven = best.Cost << (ends[i-1] - shift)
			s.resume(best)
		}
		if !s.done() {
			s.inTurns()
		}
		nodes += s.nodes
		if i == len(ends)-1 {
			s.tidy()
		}
		s.best.Proven = best.Proven
		if best.Proven == i && !s.gaveUp {
			s.best.Proven++
			if i < len(ends)-1 {
				kept = s.keepOptimal()
			}
		}
		best = *s.best
	}
	best.Nodes = nodes
	return best
}

// stage says which aims are looked at.
type stage struct {
	shift   uint // aims below this bit are left out
	stretch uint // bits by which all costs of bounds are stretched, so that shares keep fractions
}

// exact is a cost without the aims that are left out.
func (st stage) exact(c int64) int64 {
	if c >= Never {
		return Never
	}
	return c >> st.shift
}

// stretched is an exact cost as bounds see it.
func (st stage) stretched(c int64) int64 {
	if c >= Never {
		return Never
	}
	return c << st.stretch
}

// fit chooses the stretch: as many bits as the costs leave, 20 at most.
func (st stage) fit(j *Joint) stage {
	places := int64(1)
	for _, b := range j.Boards {
		for _, row := range b.Cost {
			if row != nil {
				places += b.times
			}
		}
	}
	width := bits.Len64(uint64(st.stretched(st.exact(j.Skip)))) + bits.Len64(uint64(places))
	st.stretch = uint(min(max(spare-width, 0), 20))
	return st
}

// with gives the problem with its costs changed.
func (j *Joint) with(change func(int64) int64) *Joint {
	all := func(costs []int64) []int64 {
		if costs == nil {
			return nil
		}
		out := make([]int64, len(costs))
		for i, c := range costs {
			out[i] = change(c)
		}
		return out
	}
	st := &Joint{Patience: j.Patience, Ways: j.Ways, Skip: change(j.Skip), Unlike: change(j.Unlike)}
	for _, it := range j.Items {
		it.Alone, it.Shared, it.Base = all(it.Alone), all(it.Shared), change(it.Base)
		st.Items = append(st.Items, it)
	}
	for _, b := range j.Boards {
		cost := make([][]int64, len(b.Cost))
		for f, row := range b.Cost {
			cost[f] = all(row)
		}
		st.Boards = append(st.Boards, Board{Slots: b.Slots, Cost: cost, times: b.times})
	}
	return st
}

// keepOptimal gives a root that rules out, for the stages to come, what no placing as good as the best
// of this stage has; nil if it rules out nothing.
func (s *jointSearch) keepOptimal() *jointNode {
	s.atMost, s.proven = true, -1
	root := s.root()
	if !s.bound(root, rootRounds) {
		return s.kept
	}
	return root
}

// firstTurn is how many nodes the first turn may look at, oneToolNodes those of the look that gives items one tool.
const firstTurn, oneToolNodes = 200, 50

// inTurns searches with one way of splitting and, if that takes many nodes, with the other: each is
// quick on some problems and slow on others. Each turn may look at twice as many nodes as the one
// before, and is complete when it ends by itself; a later one starts with the best placing of those before.
// Where the first is not enough, a short look gives no item several tools: the placings it finds are seldom
// the best, and good enough to spare much of the rest.
func (s *jointSearch) inTurns() {
	seen := 0
	for turn := firstTurn; ; turn *= 2 {
		s.patience = turn
		if whole := s.exact.Patience; whole > 0 {
			s.patience = max(min(turn, whole-seen), 1)
		}
		s.gaveUp, s.nodes = false, 0
		s.explore(s.root())
		seen += s.nodes
		if !s.gaveUp || s.exact.Patience > 0 && seen >= s.exact.Patience {
			break
		}
		if turn == firstTurn {
			s.oneEach, s.patience, s.nodes = true, oneToolNodes, 0
			s.explore(s.root())
			s.oneEach = false
			seen += s.nodes
		}
		s.rising = !s.rising
	}
	s.nodes = seen
}
