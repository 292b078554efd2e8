package keying

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// home finds the next press that settles where a device is: an adaptive homing sequence. Given is a set of
// configurations, one of which is true. Only inputs are used that change no value in any of them. A
// sequence homes when, whatever the device answers, one configuration is left. Among the sequences with the fewest
// inputs in the worst case the one of least weight is taken, entering again counted where it ends outside; it is found by deepening the search step by step.
type home struct {
	m     *Machine
	h     hands
	wired []string
	memo  map[string]attempt
	nodes int
}

// attempt is what is known of a set at a depth: the next input and the worst weight, ok when it homes.
type attempt struct {
	input  string
	weight weight
	ok     bool
}

// limitHome bounds the sets that one search looks at; beyond it the advice is to leave and enter again.
const limitHome = 20_000

// deepest is the longest homing sequence that a technician is asked to follow.
const deepest = 8

// next is the input that homes the set in the fewest inputs; ok is false where no sequence of at most
// depth inputs does.
func (m *Machine) next(h hands, wired []string, set []Configuration, depth int) (input string, inputs int, ok bool) {
	s := home{m: m, h: h, wired: wired}
	for d := 1; d <= depth; d++ {
		s.memo, s.nodes = map[string]attempt{}, 0
		if p := s.solve(set, d); p.ok {
			return p.input, d, true
		}
		if s.nodes > limitHome {
			break
		}
	}
	return "", 0, false
}

func (s *home) solve(set []Configuration, depth int) attempt {
	if len(set) <= 1 {
		return attempt{ok: true, weight: s.outside(set)}
	}
	if depth == 0 || s.nodes > limitHome {
		return attempt{}
	}
	key := strconv.Itoa(depth) + keyOf(set)
	if p, seen := s.memo[key]; seen {
		return p
	}
	s.nodes++
	best := attempt{}
	for _, in := range s.inputs(set) {
		worst, ok := weight(0), true
		for _, part := range s.parts(set, in) {
			if part.stuck(set) {
				ok = false
				break
			}
			p := s.solve(part.set, depth-1)
			if !p.ok {
				ok = false
				break
			}
			worst = max(worst, p.weight)
		}
		if !ok {
			continue
		}
		w := worst + s.cost(set, in)
		if !best.ok || w < best.weight {
			best = attempt{input: in, weight: w, ok: true}
		}
	}
	s.memo[key] = best
	return best
}

// outside is what it costs to enter again, when the way ends outside programming.
func (s *home) outside(set []Configuration) weight {
	if len(set) == 0 || s.m.States[set[0].State].Inside {
		return 0
	}
	again := weight(0)
	if s.m.grid == nil {
		return 3 * press
	}
	for _, in := range s.m.grid.k.Enter.Steps {
		again += s.h.weigh(&State{}, in)
	}
	return again
}

func (s *home) cost(set []Configuration, in string) weight {
	w := weight(0)
	for _, c := range set {
		w = max(w, s.h.weigh(&s.m.States[c.State], in))
	}
	return w
}

// inputs lists what may be tried: what changes no value wherever the device is.
func (s *home) inputs(set []Configuration) []string {
	var all []string
	for _, c := range set {
		for _, move := range s.m.States[c.State].Moves {
			if !slices.Contains(all, move.On) {
				all = append(all, move.On)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b string) int { return cmp.Or(cmp.Compare(s.cost(set, a), s.cost(set, b)), cmp.Compare(a, b)) })
	return slices.DeleteFunc(all, func(in string) bool {
		if ok, _ := s.h.able(in); !ok {
			return true
		}
		for _, c := range set {
			move, ok := s.m.States[c.State].find(in)
			if ok && !(move.Does == None || move.Does == Drop) {
				return true
			}
			if ok && !s.m.direct && move.Does == None && s.m.States[c.State].Inside && move.To == s.m.Start {
				return true
			}
		}
		return false
	})
}

// part is what is left of a set after an answer.
type part struct {
	answer string
	set    []Configuration
}

// stuck tells that an answer told nothing and led nowhere.
func (p part) stuck(before []Configuration) bool {
	return len(p.set) == len(before) && keyOf(p.set) == keyOf(before)
}

// parts splits a set by what can be seen after an input.
func (s *home) parts(set []Configuration, in string) []part {
	var out []part
	for _, c := range set {
		next, a := s.m.Step(c, in)
		text := a.Seen(s.wired).String()
		i := slices.IndexFunc(out, func(p part) bool { return p.answer == text })
		if i < 0 {
			i = len(out)
			out = append(out, part{answer: text})
		}
		out[i].set = addConfiguration(out[i].set, next)
	}
	return out
}

func addConfiguration(set []Configuration, c Configuration) []Configuration {
	if slices.ContainsFunc(set, func(have Configuration) bool { return have.same(c) }) {
		return set
	}
	return append(set, c)
}

func (c Configuration) same(d Configuration) bool {
	return c.State == d.State && slices.Equal(c.Stored, d.Stored) && slices.Equal(c.Working, d.Working)
}

func (c Configuration) key() string {
	return strconv.Itoa(c.State) + "/" + string(bytesOf(c.Stored)) + string(bytesOf(c.Working))
}

func keyOf(set []Configuration) string {
	keys := make([]string, len(set))
	for i, c := range set {
		keys[i] = c.key()
	}
	slices.Sort(keys)
	return strings.Join(keys, "|")
}
