package keying

import (
	"slices"
	"strconv"
	"strings"
)

// weight is a cost: presses, and in its lower part milliseconds, so that presses decide first.
type weight = int

// press is the weight of one press.
const press weight = 1_000_000_000

func presses(w weight) int     { return int(w / press) }
func seconds(w weight) float64 { return float64(w%press) / 1000 }

// hands says what an input costs in this job, and whether it can be given at all.
type hands struct{ c Circumstances }

// weigh is the cost of an input; silence costs the time limit of the state.
func (h hands) weigh(s *State, input string) weight {
	if input == "silence" {
		return weight(s.Limit * 1000)
	}
	n := 1
	if h.c.StartButton && input == "key-run" {
		n = max(1, h.c.ButtonPresses)
	}
	return weight(n)*press + weight(inputSeconds(input)*1000)
}

// able tells whether the job has what the input needs; else why not.
func (h hands) able(input string) (bool, string) {
	need := ""
	switch stem, rest, _ := strings.Cut(input, "-"); stem {
	case "tap", "hold":
		need = "button"
	case "brake":
		need = "brake"
	case "key":
		need = "ignition"
	case "power":
		need = "supply"
	case "remote":
		n, _ := strconv.Atoi(rest)
		if h.c.Senders[n] == "" {
			return false, "no remote of this job sends channel " + rest
		}
		return true, ""
	default:
		return true, ""
	}
	if !slices.Contains(h.c.Wired, need) {
		return false, "the " + need + " path is not joined in this job"
	}
	return true, ""
}

// ways holds the cheapest rows of inputs from one state to the others inside one session,
// over transitions that change no value.
type ways struct {
	dist []weight // -1 where there is no way
	prev []int
	by   []string
}

type reachable struct {
	state int
	dist  weight
}

// nearest is a heap of states by distance, without the boxing of container/heap: a card asks for the ways
// from each of its places.
type nearest []reachable

func (n *nearest) push(x reachable) {
	h := append(*n, x)
	for i := len(h) - 1; i > 0; {
		up := (i - 1) / 2
		if h[up].dist <= h[i].dist {
			break
		}
		h[up], h[i] = h[i], h[up]
		i = up
	}
	*n = h
}

func (n *nearest) pop() reachable {
	h := *n
	top, last := h[0], len(h)-1
	h[0] = h[last]
	h = h[:last]
	for i := 0; ; {
		least := i
		for _, down := range []int{2*i + 1, 2*i + 2} {
			if down < last && h[down].dist < h[least].dist {
				least = down
			}
		}
		if least == i {
			break
		}
		h[i], h[least] = h[least], h[i]
		i = least
	}
	*n = h
	return top
}

// reach finds the ways from a state. Transitions are taken in the order of the machine, so equal
// ways are told apart the same way each time.
func (m *Machine) reach(h hands, from int) ways {
	w := ways{dist: make([]weight, len(m.States)), prev: make([]int, len(m.States)), by: make([]string, len(m.States))}
	for i := range w.dist {
		w.dist[i], w.prev[i] = -1, -1
	}
	w.dist[from] = 0
	open := nearest{{from, 0}}
	for len(open) > 0 {
		at := open.pop()
		if at.dist > w.dist[at.state] {
			continue
		}
		s := &m.States[at.state]
		for _, move := range s.Moves {
			if move.Does != None || !m.States[move.To].Inside {
				continue
			}
			if ok, _ := h.able(move.On); !ok {
				continue
			}
			d := at.dist + h.weigh(s, move.On)
			if old := w.dist[move.To]; old >= 0 && old <= d {
				continue
			}
			w.dist[move.To], w.prev[move.To], w.by[move.To] = d, at.state, move.On
			open.push(reachable{move.To, d})
		}
	}
	return w
}

// row is the row of inputs of the way to a state.
func (w ways) row(to int) []string {
	var row []string
	for ; w.prev[to] >= 0; to = w.prev[to] {
		row = append(row, w.by[to])
	}
	slices.Reverse(row)
	return row
}
