package search

import "math/bits"

// spare is how many bits packed costs may take while they are searched, so that no sum runs over.
const spare = 58

// byStages finds the best placing for the highest aim alone, then for the two highest, and so on,
// each time from the best placing of the stage before. With few aims a cost is a small whole
// number: a lower bound that is not whole can be rounded up, which is what closes the search. And
// a stage whose start has nothing to gain, its cost being that of the stage before, is no search.
func (j *Joint) byStages(tools int) Placing {
	aims := j.Aims
	if len(aims) == 0 {
		aims = []uint{0}
	}
	var best Placing
	nodes := 0
	for i, shift := range aims {
		scale := j.scale(shift)
		s := newJointSearch(j.stage(shift, scale), tools)
		s.unit = 1 << scale
		s.start()
		if i > 0 {
			s.proven = best.Cost << (aims[i-1] - shift) << scale
			slots, cost := s.evaluate(best.Tools, best.Labels)
			s.keep(best.Tools, best.Labels, slots, cost)
		}
		s.explore(s.root())
		nodes += s.nodes
		if i == len(aims)-1 {
			s.tidy()
		}
		best = s.best
		best.Cost >>= scale
	}
	best.Nodes = nodes
	return best
}

// scale is by how many bits the costs of a stage can be stretched: what is divided among parts
// then keeps its fractions.
func (j *Joint) scale(shift uint) uint {
	places := 1
	for _, b := range j.Boards {
		for _, row := range b.Cost {
			if row != nil {
				places++
			}
		}
	}
	width := bits.Len64(uint64(j.Skip>>shift)) + bits.Len(uint(places))
	return uint(min(max(spare-width, 0), 20))
}

// stage is the problem with the aims from shift on, stretched.
func (j *Joint) stage(shift, scale uint) *Joint {
	cut := func(c int64) int64 {
		if c >= Never {
			return Never
		}
		return c >> shift << scale
	}
	cutAll := func(costs []int64) []int64 {
		if costs == nil {
			return nil
		}
		out := make([]int64, len(costs))
		for i, c := range costs {
			out[i] = cut(c)
		}
		return out
	}
	st := &Joint{Ways: j.Ways, Skip: cut(j.Skip), Unlike: cut(j.Unlike)}
	for _, it := range j.Items {
		it.Alone, it.Shared, it.Base = cutAll(it.Alone), cutAll(it.Shared), cut(it.Base)
		st.Items = append(st.Items, it)
	}
	for _, b := range j.Boards {
		cost := make([][]int64, len(b.Cost))
		for f, row := range b.Cost {
			cost[f] = cutAll(row)
		}
		st.Boards = append(st.Boards, Board{Slots: b.Slots, Cost: cost})
	}
	return st
}
