package search

import "math/bits"

// spare is how many bits packed costs may take while they are searched, so that no sum runs over.
const spare = 58

// byStages finds the best placing for the highest aim alone, then for the two highest, and so on,
// each time from the best placing of the stage before. With few aims a cost is a small whole
// number: a lower bound that is not whole can be rounded up, which is what closes the search. And
// a stage whose start has nothing to gain, its cost being that of the stage before, is no search.
//
// From the second stage on it is known how good the higher aims can get, and only placings that are
// as good are looked for. So the weight of the higher aims against the new one is free in a bound:
// with weight w, optimum u of the higher aims and new aim e, every such placing costs w*u + e, and
// min(w*U + e) over all placings, which a lower bound bounds, is not above it. A low weight keeps
// the bound from trading fractions of higher aims for the new one; each stage takes the weight that
// gives the highest bound at its root. And what no placing with the optimum of a stage has is ruled out
// for all stages after it (keepOptimal).
func (j *Joint) byStages(tools int) Placing {
	aims := j.Aims
	if len(aims) == 0 {
		aims = []uint{0}
	}
	var best Placing
	var kept *jointNode
	nodes := 0
	for i, shift := range aims {
		st := stage{shift: shift, width: 62}
		if i > 0 {
			st.width = aims[i-1] - shift
		}
		s := newJointSearch(j, st, tools)
		s.kept = kept
		full := s
		if i == 0 {
			s.start()
		} else {
			s.proven = best.Cost << st.width
			s.resume(best)
			s = s.lightest(j, tools)
		}
		if !s.done() {
			s.inTurns()
		}
		nodes += s.nodes
		if i == len(aims)-1 {
			s.tidy()
		}
		s.best.Proven = best.Proven
		if best.Proven == i && !s.gaveUp {
			s.best.Proven++
			if i < len(aims)-1 {
				kept = full.keepOptimal()
			}
		}
		best = *s.best
	}
	best.Nodes = nodes
	return best
}

// lightest tries lower weights of the higher aims and gives the search whose root bound leaves the
// smallest gap. With a lower weight the bound no longer sees when the higher aims get worse, so the
// search keeps the full weight beside it, as its twin, and drops a node by either bound.
func (s *jointSearch) lightest(j *Joint, tools int) *jointSearch {
	least, at := int64(-1), s
	for lighter := uint(0); lighter < s.stage.width && !s.done(); lighter += max(s.stage.width/3, 2) {
		st := s.stage
		st.lighter = lighter
		try := newJointSearch(j, st, tools)
		try.proven, try.best, try.kept = s.proven, s.best, s.kept
		root := try.root()
		if !try.bound(root, weightRounds) {
			return try // nothing better is left: exploring it stops at the root
		}
		if gap := (try.stage.weighed(try.best.Cost) - root.bound) >> try.stage.stretch; least < 0 || gap < least {
			least, at = gap, try
		}
	}
	if at.stage.lighter > 0 {
		at.twin = s
	}
	return at
}

// stage says which aims are looked at and how they are weighed.
type stage struct {
	shift   uint // aims below this bit are left out
	width   uint // bits of the lowest aim that is left; the higher aims stand above them
	lighter uint // bits by which the higher aims are weighed less in bounds
	stretch uint // bits by which all costs of bounds are stretched, so that shares keep fractions
}

// exact is a cost without the aims that are left out.
func (st stage) exact(c int64) int64 {
	if c >= Never {
		return Never
	}
	return c >> st.shift
}

// weighed is an exact cost as bounds see it.
func (st stage) weighed(c int64) int64 {
	if c >= Never {
		return Never
	}
	field := c & (1<<st.width - 1)
	return (c>>st.width<<(st.width-st.lighter) + field) << st.stretch
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
	width := bits.Len64(uint64(st.weighed(st.exact(j.Skip)))) + bits.Len64(uint64(places))
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
	s.atMost, s.proven, s.free = true, -1, nil
	root := s.root()
	if !s.bound(root, rootRounds) {
		return s.kept
	}
	return root
}

// inTurns searches with one way of splitting and, if that takes many nodes, with the other: each is
// quick on some problems and slow on others. Each turn is complete when it ends by itself; a later one
// starts with the best placing of those before.
func (s *jointSearch) inTurns() {
	whole, nodes := s.exact.Patience, 0
	for turn, tenths := range []int{1, 2, 7} {
		if whole > 0 {
			s.exact.Patience = max(whole*tenths/10, 1)
		}
		s.rising, s.gaveUp, s.nodes, s.free = turn == 1, false, 0, nil
		if s.twin != nil {
			s.twin.free = nil
		}
		s.explore(s.root())
		nodes += s.nodes
		if !s.gaveUp {
			break
		}
	}
	s.nodes = nodes
}
