package keying

import (
	"asleft/rules/internal/search"
)

// pace is a state of the search over single presses: the control state, the option that is being
// stepped (-1 none), and the values of all options.
type pace struct {
	at     int32
	open   int16
	values string
}

// walk searches press by press over control states and values: for machines that a profile writes
// out, and for side effects that go round in a circle. It goes from outside programming to
// outside again.
type walk struct {
	w     *work
	m     *Machine
	ranks []int   // by option
	after [][]int // options that have to be done before, by option
	least []weight
}

// act is one input of a plan, with the option to whose group it belongs (-1 entry or exit).
type act struct {
	input  string
	option int
	most   int // repeat until the wanted value shows, so often at the most; 0 once
	after  int // state that it leads to, in a search over single presses
	effect bool
}

// The bounds of the search over single presses: where nothing else decides, and where a card over the stops
// is at hand that only lacks the proof.
const (
	limitWalk    = 2_000_000
	limitTangled = 200_000
)

func (w *work) walk(limit int) (acts []act, r route) {
	n := len(w.target)
	s := walk{w: w, m: w.d.Machine, ranks: make([]int, n), after: make([][]int, n), least: make([]weight, n)}
	for i := range s.ranks {
		s.ranks[i] = rankMoved
	}
	for _, t := range w.tasks {
		s.ranks[t.option] = t.rank
		for _, b := range t.after {
			s.after[t.option] = append(s.after[t.option], w.tasks[b].option)
		}
	}
	s.leastEffects()
	start := pace{at: int32(w.begin.State), open: -1, values: string(bytesOf(w.start))}
	path, outcome := search.Best(search.Graph[pace, act]{Edges: s.edges, Goal: s.goal, Bound: s.bound, Limit: limit}, start)
	r = route{least: s.bound(start)}
	if outcome != search.Found {
		return nil, r
	}
	r.cost, r.least, r.proved = path.Cost, path.Cost, true
	for _, step := range path.Steps {
		acts = append(acts, step.By)
	}
	return acts, r
}

func (s *walk) value(p pace, o int) int8 { return int8(p.values[o]) }

func (s *walk) wants(p pace, o int) bool {
	return s.w.target[o] >= 0 && s.value(p, o) != s.w.target[o]
}

func (s *walk) goal(p pace) bool { return int(p.at) == s.m.Start && s.complete(p) }

// complete tells that every option holds what is required.
func (s *walk) complete(p pace) bool {
	for o := range s.w.target {
		if s.wants(p, o) {
			return false
		}
	}
	return true
}

// leastEffects finds the cheapest press that can change each option.
func (s *walk) leastEffects() {
	for i := range s.m.States {
		state := &s.m.States[i]
		for _, move := range state.Moves {
			if move.Does != Next && move.Does != Set {
				continue
			}
			c := s.w.h.weigh(state, move.On)
			if old := s.least[move.Option]; old == 0 || c < old {
				s.least[move.Option] = c
			}
		}
	}
}

// bound counts the cheapest press for each option that still wants a change, but not those that
// another one may move.
func (s *walk) bound(p pace) int {
	sum := 0
	for o := range s.w.target {
		if !s.wants(p, o) {
			continue
		}
		moved := false
		for x := range s.w.target {
			moved = moved || x != o && s.wants(p, x) && s.m.touches(x, o)
		}
		if !moved {
			sum += s.least[o]
		}
	}
	return sum
}

func (s *walk) edges(p pace, yield func(by act, to pace, cost int)) {
	state := &s.m.States[p.at]
	for _, move := range state.Moves {
		if ok, _ := s.w.h.able(move.On); !ok {
			continue
		}
		to, a := pace{at: int32(move.To), open: p.open, values: p.values}, act{input: move.On, option: -1, after: move.To}
		cost := s.w.h.weigh(state, move.On)
		switch move.Does {
		case Drop, Reset:
			continue
		case Next, Set:
			most := 0
			if to, most = s.effect(p, move); most < 0 {
				continue
			}
			a.option, a.most, a.effect = move.Option, most, true
			cost *= max(most, 1)
		default:
			if !s.passes(p, move) {
				continue
			}
		}
		yield(a, to, cost)
	}
}

// passes keeps a card to one session: inside stays inside until all is done.
func (s *walk) passes(p pace, move Move) bool {
	if s.m.States[p.at].Inside && !s.m.States[move.To].Inside {
		return move.Leaves && s.complete(p)
	}
	return true
}

// effect gives the state after a change, or -1 where a safe card may not make it now.
func (s *walk) effect(p pace, move Move) (to pace, most int) {
	o := move.Option
	if !s.wants(p, o) || (p.open >= 0 && int(p.open) != o) || (move.Does == Set && move.Value != int(s.w.target[o])) {
		return p, -1
	}
	for x := range s.w.target {
		if x != o && s.wants(p, x) && s.ranks[x] < s.ranks[o] {
			return p, -1
		}
	}
	for _, x := range s.after[o] {
		if s.wants(p, x) {
			return p, -1
		}
	}
	values := make([]int8, len(p.values))
	for i := range values {
		values[i] = s.value(p, i)
	}
	if values[o] < 0 && move.Does == Next {
		if int(p.at) != move.To || !s.w.sees(move.Shows) {
			return p, -1
		}
		most = len(s.m.Options[o].Values)
		for _, v := range s.m.Options[o].Values {
			for _, x := range v.Moves {
				values[x.Option] = -1
			}
		}
		s.m.take(values, o, int(s.w.target[o]))
	} else {
		c := Configuration{Working: values, Stored: values}
		s.m.apply(&c, move)
	}
	to = pace{at: int32(move.To), open: -1, values: string(bytesOf(values))}
	if s.w.target[o] >= 0 && values[o] != s.w.target[o] {
		to.open = int16(o)
	}
	return to, most
}
