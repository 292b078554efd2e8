package keying

import (
	"container/heap"
	"fmt"
	"slices"
)

// The oracle knows nothing of tasks, places, routes or bounds: it walks the full space of control
// state and all values with Dijkstra's search, press by press, and applies the rules of a card: one
// session, only options that need a change, one option at a time, ranks in order.

type full struct {
	state  int
	open   int
	values string
}

type fullItem struct {
	at   full
	cost int
}
type fullHeap []fullItem

func (h fullHeap) Len() int           { return len(h) }
func (h fullHeap) Less(i, j int) bool { return h[i].cost < h[j].cost }
func (h fullHeap) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *fullHeap) Push(x any)        { *h = append(*h, x.(fullItem)) }
func (h *fullHeap) Pop() any {
	old := *h
	x := old[len(old)-1]
	*h = old[:len(old)-1]
	return x
}

// reference is the oracle at work on one machine and one set of tasks.
type reference struct {
	m     *Machine
	w     *work
	ranks []int
	after map[int][]int
	dist  map[full]int
	open  fullHeap
}

// oracle is the cost of the cheapest card; ok is false where there is none.
func oracle(m *Machine, w *work) (cost int, ok bool) {
	r := reference{m: m, w: w, after: map[int][]int{}, dist: map[full]int{}}
	for range m.Options {
		r.ranks = append(r.ranks, rankMoved)
	}
	for _, t := range w.tasks {
		r.ranks[t.option] = t.rank
		for _, b := range t.after {
			r.after[t.option] = append(r.after[t.option], w.tasks[b].option)
		}
	}
	r.reach(full{m.Start, -1, string(bytesOf(w.start))}, 0)
	for len(r.open) > 0 {
		top := heap.Pop(&r.open).(fullItem)
		if top.cost > r.dist[top.at] {
			continue
		}
		if top.at.state == m.Start && r.complete(top.at) {
			return top.cost, true
		}
		r.expand(top)
	}
	return 0, false
}

func (r *reference) wants(values string, o int) bool {
	return r.w.target[o] >= 0 && int8(values[o]) != r.w.target[o]
}

func (r *reference) complete(at full) bool {
	for o := range r.w.target {
		if r.wants(at.values, o) {
			return false
		}
	}
	return true
}

func (r *reference) reach(to full, cost int) {
	if old, seen := r.dist[to]; !seen || cost < old {
		r.dist[to] = cost
		heap.Push(&r.open, fullItem{to, cost})
	}
}

func (r *reference) expand(top fullItem) {
	from := &r.m.States[top.at.state]
	for _, move := range from.Moves {
		if ok, _ := r.w.h.able(move.On); !ok || move.Does == Drop || move.Does == Reset {
			continue
		}
		to := full{move.To, top.at.open, top.at.values}
		switch {
		case move.Does == Next || move.Does == Set:
			if !r.may(top.at, move) {
				continue
			}
			to = r.changed(top.at, move)
		case from.Inside && !r.m.States[move.To].Inside && (!move.Leaves || !r.complete(top.at)):
			continue
		}
		r.reach(to, top.cost+r.w.h.weigh(from, move.On))
	}
}

// may tells whether a card may make this change now.
func (r *reference) may(at full, move Move) bool {
	o := move.Option
	if move.Does == Set && move.Value != int(r.w.target[o]) || !r.wants(at.values, o) || at.open >= 0 && at.open != o {
		return false
	}
	for x := range r.m.Options {
		if x != o && r.ranks[x] < r.ranks[o] && r.wants(at.values, x) {
			return false
		}
	}
	return !slices.ContainsFunc(r.after[o], func(b int) bool { return r.wants(at.values, b) })
}

func (r *reference) changed(at full, move Move) full {
	values := make([]int8, len(at.values))
	for i := range values {
		values[i] = int8(at.values[i])
	}
	r.m.apply(&Configuration{Stored: values, Working: values}, move)
	to := full{move.To, -1, string(bytesOf(values))}
	if r.wants(to.values, move.Option) {
		to.open = move.Option
	}
	return to
}

func (m *Machine) touchesAny(o int) bool {
	for x := range m.Options {
		if x != o && m.touches(o, x) {
			return true
		}
	}
	return false
}

// safeAtEveryPrefix plays the card press by press and looks at the stored values between the groups: once a
// setting has been loosened, no setting that the card tightens may still wait. Options with side effects on
// others, and options that others move, are held back by those and left out here.
func safeAtEveryPrefix(d *Device, start []int8, card Card, order Order) error {
	s := NewSimulator(d.Machine, start)
	play := func(steps []Step) error {
		for _, step := range steps {
			if err := s.step(step, card.Wired); err != nil {
				return err
			}
		}
		return nil
	}
	if err := play(card.Entry); err != nil {
		return err
	}
	loosened := ""
	for _, g := range card.Groups {
		before := s.At.Clone()
		if err := play(g.Steps); err != nil {
			return err
		}
		tightens, loosens := false, false
		for o := range d.Machine.Options {
			for _, c := range d.changes(o, int(before.Working[o]), int(s.At.Working[o])) {
				switch order.Bearing(c.Setting, c.From, c.To) {
				case Tightens:
					tightens = true
				case Loosens:
					loosens = true
				}
			}
		}
		if tightens && !loosens && loosened != "" && !entangled(d, g) {
			return fmt.Errorf("%s tightens after %s has loosened", g.Option, loosened)
		}
		if loosens {
			loosened = g.Option
		}
	}
	return nil
}

// entangled tells whether an option moves others or is moved.
func entangled(d *Device, g Group) bool {
	at := map[string]int{}
	for i, o := range d.Machine.Options {
		at[o.ID] = i
	}
	for x := range d.Machine.Options {
		if x != at[g.Option] && (d.Machine.touches(x, at[g.Option]) || d.Machine.touches(at[g.Option], x)) {
			return true
		}
	}
	return false
}
