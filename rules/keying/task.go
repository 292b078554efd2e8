package keying

import (
	"cmp"
	"slices"

	"asleft/config/setting"
)

// task is one thing to do at one option: to change its value, or to have it shown.
type task struct {
	option int
	from   int // -1 not known
	to     int
	rank   int
	after  []int // tasks of the list that have to be done before
	places []place
}

// place is a state where a task can be done, with the row of inputs that does it.
type place struct {
	at   int
	row  []string
	cost weight
	end  int
	most int // how often the row is repeated at the most, until the wanted value shows; 0 once
}

// The ranks of a card: guards, guards that silence a path, what is neutral, what loosens,
// the rest of what silences a path, and what only has to be changed because something else moved it.
const (
	rankGuard = iota
	rankSilentGuard
	rankNeutral
	rankLoosens
	rankSilences
	rankMoved
)

// work is the list of tasks of a card, from what the device holds to what is needed.
type work struct {
	d       *Device
	h       hands
	begin   Configuration // where the hands begin, outside programming or within
	start   []int8        // the values there
	target  []int8        // -1: nothing is required of the option
	tasks   []task
	reread  []int // options changed before, which the closing check has to show as well
	asking  bool  // values are asked for, not relied on: a path that may be silenced is tried
	cyclic  bool  // side effects go round in a circle: only the search over values can decide
	tangled bool  // an option is moved by several tasks, so that their order decides what is left to do
}

// newWork finds the options to change. Side effects of a change may give work or save it: a moved option
// comes after the one that moves it, and counts from the value that it is moved to.
func newWork(d *Device, h hands, start []int8, needs []Need) *work {
	m := d.Machine
	w := &work{d: d, h: h, begin: m.At(start), start: start, target: make([]int8, len(m.Options))}
	for i := range w.target {
		w.target[i] = -1
	}
	for _, n := range needs {
		w.target[n.Option] = int8(w.nearest(n))
	}
	w.keepMoved()
	order, cyclic := w.byEffects()
	w.cyclic = cyclic
	now := slices.Clone(start)
	index := map[int]int{}
	for _, o := range order {
		if w.target[o] < 0 || now[o] == w.target[o] {
			continue
		}
		t := task{option: o, from: int(now[o]), to: int(w.target[o])}
		for _, before := range w.tasks {
			if m.moves(before.option, before.from, before.to, o) {
				t.after = append(t.after, index[before.option])
			}
		}
		index[o] = len(w.tasks)
		w.tasks = append(w.tasks, t)
		m.sweep(now, o, int(w.target[o]))
	}
	for i := range w.tasks {
		w.rank(i)
	}
	w.tangled = w.entangled()
	return w
}

// entangled tells whether two tasks move the same option.
func (w *work) entangled() bool {
	for o := range w.d.Machine.Options {
		movers := 0
		for _, t := range w.tasks {
			if t.option != o && w.d.Machine.moves(t.option, t.from, t.to, o) {
				movers++
			}
		}
		if movers > 1 {
			return true
		}
	}
	return false
}

// nearest picks, of the values that are accepted, the one the device holds, else the one with the
// fewest steps forward, else the first.
func (w *work) nearest(n Need) int {
	at := int(w.start[n.Option])
	values := len(w.d.Machine.Options[n.Option].Values)
	if at < 0 {
		return n.Accept[0]
	}
	return slices.MinFunc(n.Accept, func(a, b int) int {
		return cmp.Compare((a-at+values)%values, (b-at+values)%values)
	})
}

// keepMoved requires of options that are moved by others and that nobody asked for that they end as they were
// found: side effects are put right, and the side effects of that.
func (w *work) keepMoved() {
	m := w.d.Machine
	changes := make([]bool, len(m.Options))
	for o := range m.Options {
		changes[o] = w.target[o] >= 0 && w.target[o] != w.start[o]
	}
	for again := true; again; {
		again = false
		for o := range m.Options {
			for x := range m.Options {
				if !changes[o] || changes[x] || !m.touches(o, x) {
					continue
				}
				changes[x], again = true, true
				if w.target[x] < 0 && w.start[x] >= 0 {
					w.target[x] = w.start[x]
				}
			}
		}
	}
}

// touches tells whether some value of an option moves another option.
func (m *Machine) touches(option, other int) bool {
	for _, v := range m.Options[option].Values {
		if slices.ContainsFunc(v.Moves, func(x Moved) bool { return x.Option == other }) {
			return true
		}
	}
	return false
}

// moves tells whether the change of an option from one value to another, as a card makes it, moves
// another option.
func (m *Machine) moves(option, from, to, other int) bool {
	n := len(m.Options[option].Values)
	through := []int{to}
	switch {
	case from < 0:
		through = through[:0]
		for v := range n {
			through = append(through, v)
		}
	case m.cycles():
		for v := from; v != to; v = (v + 1) % n {
			through = append(through, (v+1)%n)
		}
	}
	for _, v := range through {
		if slices.ContainsFunc(m.Options[option].Values[v].Moves, func(x Moved) bool { return x.Option == other }) {
			return true
		}
	}
	return false
}

// sweep changes an option to a value the way a card does, with what moves on the way. From a value
// that is not known every value may be stepped through, so what they move is not known either.
func (m *Machine) sweep(values []int8, option, to int) {
	c := Configuration{Stored: values, Working: values}
	if values[option] < 0 {
		for _, v := range m.Options[option].Values {
			for _, x := range v.Moves {
				values[x.Option] = -1
			}
		}
		m.take(values, option, to)
		return
	}
	if !m.cycles() {
		m.take(values, option, to)
		return
	}
	for int(values[option]) != to {
		m.apply(&c, Move{Does: Next, Option: option})
	}
}

// cycles tells whether values are stepped, not named.
func (m *Machine) cycles() bool {
	return m.grid != nil && m.grid.k.Value.Way == "cycle"
}

// byEffects lists the options so that one that moves others stands before them, else in the order of
// the menus. cyclic tells that there is no such order.
func (w *work) byEffects() (order []int, cyclic bool) {
	m := w.d.Machine
	left := make([]int, len(m.Options))
	for i := range left {
		left[i] = i
	}
	for len(left) > 0 {
		at := slices.IndexFunc(left, func(o int) bool {
			return !slices.ContainsFunc(left, func(x int) bool { return x != o && m.touches(x, o) })
		})
		if at < 0 {
			at, cyclic = 0, true
		}
		order = append(order, left[at])
		left = slices.Delete(left, at, at+1)
	}
	return order, cyclic
}

// rank sorts a task under the order of safety. A task that others have to wait for lifts
// their rank to its own.
func (w *work) rank(i int) {
	t := &w.tasks[i]
	m := w.d.Machine
	after := slices.Clone(w.start)
	after[t.option] = int8(t.from)
	m.sweep(after, t.option, t.to)
	bearing := w.bearing(t.option, t.from, t.to)
	for o := range m.Options {
		if o != t.option && m.moves(t.option, t.from, t.to, o) {
			for _, from := range w.found(o, t) {
				bearing = worse(bearing, w.bearing(o, from, int(after[o])))
			}
		}
	}
	silences := len(w.silences(t)) > 0
	switch {
	case bearing == Tightens && silences:
		t.rank = rankSilentGuard
	case bearing == Tightens:
		t.rank = rankGuard
	case silences:
		t.rank = rankSilences
	case bearing == Loosens:
		t.rank = rankLoosens
	default:
		t.rank = rankNeutral
	}
	for _, b := range t.after {
		t.rank = max(t.rank, w.tasks[b].rank)
	}
}

// found lists the values that an option may have when a task moves it: the one it was found with, and
// what the other tasks move it to.
func (w *work) found(option int, by *task) []int {
	m := w.d.Machine
	out := []int{int(w.start[option])}
	for _, t := range w.tasks {
		if t.option != by.option && m.moves(t.option, t.from, t.to, option) {
			after := slices.Clone(w.start)
			after[t.option] = int8(t.from)
			m.sweep(after, t.option, t.to)
			out = append(out, int(after[option]))
		}
	}
	return out
}

func worse(a, b Bearing) Bearing {
	if a == Loosens || b == Loosens {
		return Loosens
	}
	if a == Tightens || b == Tightens {
		return Tightens
	}
	return Neutral
}

// bearing of a change of one option: the worst of its settings.
func (w *work) bearing(option, from, to int) Bearing {
	bearing := Neutral
	for _, c := range w.d.changes(option, from, to) {
		if w.h.c.Order != nil {
			bearing = worse(bearing, w.h.c.Order.Bearing(c.Setting, c.From, c.To))
		}
	}
	return bearing
}

// changes lists the settings that differ between two values of an option; from -1 is not known.
func (d *Device) changes(option, from, to int) []Change {
	var out []Change
	o := d.Machine.Options[option]
	if to < 0 {
		return nil
	}
	for _, name := range o.settings() {
		c := Change{Key: setting.Key{Device: d.Name, Setting: name}, To: o.Values[to].Is[name]}
		if from >= 0 {
			c.From = o.Values[from].Is[name]
		}
		if c.From != c.To {
			out = append(out, c)
		}
	}
	return out
}

// silences lists the wired paths that a task switches off.
func (w *work) silences(t *task) []string {
	values := w.d.Machine.Options[t.option].Values
	var out []string
	for _, by := range values[t.to].Silences {
		if slices.Contains(w.h.c.Wired, by) && (t.from < 0 || !slices.Contains(values[t.from].Silences, by)) {
			out = append(out, by)
		}
	}
	return out
}
