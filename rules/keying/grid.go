package keying

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"asleft/config/profile"
)

// grid lays the menus of a declared style out as states: banks side by side, items below each
// other, and between them the states of a count that is not finished.
type grid struct {
	m     *Machine
	k     *profile.Keying
	sizes []int   // items of each bank
	at    [][]int // at[bank][item] is the state where the option stands chosen; item 0: none is
	none  int     // no bank chosen; -1 where there is always one
	cells [][]int // option at a place, -1 where the place is empty
	err   error
}

// silentExit is the silence that ends programming where the papers do not say how long: common practice, no source.
const silentExit = 10

func newGrid(m *Machine, k *profile.Keying) *grid {
	g := &grid{m: m, k: k, none: -1, sizes: slices.Clone(k.Sizes)}
	for _, o := range m.Options {
		for len(g.sizes) < o.Bank {
			g.sizes = append(g.sizes, 0)
		}
		if o.Bank < 1 || o.Item < 1 {
			g.err = cmp.Or(g.err, fmt.Errorf("option %s stands at bank %d item %d; both count from 1", o.ID, o.Bank, o.Item))
			return g
		}
		if len(k.Sizes) < o.Bank {
			g.sizes[o.Bank-1] = max(g.sizes[o.Bank-1], o.Item)
		} else if o.Item > k.Sizes[o.Bank-1] {
			g.err = fmt.Errorf("option %s stands at item %d of a bank of %d", o.ID, o.Item, k.Sizes[o.Bank-1])
		}
	}
	g.cells = make([][]int, len(g.sizes))
	for b, n := range g.sizes {
		g.cells[b] = make([]int, n+1)
		for i := range g.cells[b] {
			g.cells[b][i] = -1
		}
	}
	for i, o := range m.Options {
		g.cells[o.Bank-1][o.Item] = i
	}
	return g
}

// build makes the states and transitions.
func (g *grid) build() error {
	if g.err == nil && len(g.sizes) > 1 && g.k.Bank.Way == "" {
		g.err = errors.New("[keying] has no bank table, but options stand in several banks")
	}
	if g.err == nil && g.stepped(g.k.Bank) && len(g.sizes) == 0 {
		g.err = errors.New("no option is keyed, but the profile has a [keying] table")
	}
	if g.err != nil {
		return g.err
	}
	g.m.grid = g
	g.m.Start = g.state("outside", "outside programming", -1, false)
	g.places()
	g.entry()
	g.banks()
	for b := range g.sizes {
		g.options(b)
		for i := 1; i <= g.sizes[b]; i++ {
			g.values(b, i)
		}
	}
	g.reset()
	g.exits()
	return g.err
}

func (g *grid) state(name, words string, option int, inside bool) int {
	g.m.States = append(g.m.States, State{Name: name, Words: words, Option: option, Inside: inside})
	return len(g.m.States) - 1
}

// move adds a transition; an input that means two things in one state is a contradiction.
func (g *grid) move(from int, m Move) {
	s := &g.m.States[from]
	if slices.ContainsFunc(s.Moves, func(have Move) bool { return have.On == m.On }) {
		g.err = cmp.Or(g.err, fmt.Errorf("%q means two things %s: give the levels inputs of their own, or stack them", m.On, s.Words))
		return
	}
	s.Moves = append(s.Moves, m)
}

// silent adds what a silence of some seconds does.
func (g *grid) silent(from int, seconds float64, m Move) {
	m.On = "silence"
	g.m.States[from].Limit = seconds
	g.move(from, m)
}

// places makes the states in which the cursor rests.
func (g *grid) places() {
	if g.k.Bank.Way == "count" {
		g.none = g.state("no-bank", "in programming, before a bank is chosen", -1, true)
	}
	for b, n := range g.sizes {
		row := make([]int, n+1)
		row[0] = -1
		if !g.stepped(g.k.Option) {
			row[0] = g.state(fmt.Sprintf("bank-%d", b+1), g.bankWords(b)+", before an option is chosen", -1, true)
		}
		for i := 1; i <= n; i++ {
			words := fmt.Sprintf("at option %d", i)
			if len(g.sizes) > 1 {
				words = fmt.Sprintf("at option %d of bank %d", i, b+1)
			}
			row[i] = g.state(fmt.Sprintf("bank-%d-item-%d", b+1, i), words, g.cells[b][i], true)
		}
		g.at = append(g.at, row)
	}
}

func (g *grid) bankWords(b int) string {
	if len(g.sizes) > 1 {
		return fmt.Sprintf("in bank %d", b+1)
	}
	return "in programming"
}

func (g *grid) stepped(l profile.Level) bool { return l.Way == "forward" || l.Way == "both" }

func (g *grid) stacked() bool { return g.k.Levels == "stacked" }

// first is the state in which a bank begins.
func (g *grid) first(b int) int {
	if g.stepped(g.k.Option) {
		return g.at[b][1]
	}
	return g.at[b][0]
}

// entry makes the row of inputs that leads in; a wrong one begins it anew.
func (g *grid) entry() {
	g.m.First = g.first(0)
	if g.none >= 0 {
		g.m.First = g.none
	}
	steps := g.k.Enter.Steps
	if len(steps) == 0 {
		g.err = errors.New("[keying.enter] has no steps")
		return
	}
	row := []int{g.m.Start}
	for n := 1; n < len(steps); n++ {
		row = append(row, g.state(fmt.Sprintf("enter-%d", n), fmt.Sprintf("entering: %d of %d steps made", n, len(steps)), -1, false))
	}
	row = append(row, g.m.First)
	for n, from := range row[:len(steps)] {
		var shows []Signal
		if n == len(steps)-1 {
			shows = resolve(parseSignals(g.k.Enter.Shows), 0, -1)
		}
		g.move(from, Move{On: steps[n], To: row[n+1], Shows: shows, Option: -1})
		if n == 0 {
			continue
		}
		for _, other := range slices.Compact(slices.Sorted(slices.Values(steps))) {
			if other == steps[n] {
				continue
			}
			to := g.m.Start
			if other == steps[0] {
				to = row[1]
			}
			g.move(from, Move{On: other, To: to, Option: -1})
		}
		if g.k.Enter.Within > 0 && steps[n] != "silence" {
			g.silent(from, g.k.Enter.Within, Move{To: g.m.Start, Option: -1})
		}
	}
}

// reset makes the factory reset, where it is one input that every place of the menus takes. A reset of
// several steps is only told of.
func (g *grid) reset() {
	r := g.k.Reset
	if len(r.Steps) != 1 || !slices.Contains(g.k.Erases, "options") {
		return
	}
	shows := resolve(parseSignals(r.Shows), 0, -1)
	for _, row := range g.at {
		for _, s := range row {
			if s >= 0 {
				g.move(s, Move{On: r.Steps[0], To: g.m.First, Shows: shows, Does: Reset, Option: -1})
			}
		}
	}
}

// exits makes the ways out of every state inside: leaving, the time-out, a loss of supply.
func (g *grid) exits() {
	pending := func(keeps bool) Effect {
		switch {
		case g.m.direct:
			return None
		case keeps:
			return Store
		}
		return Drop
	}
	shows := resolve(parseSignals(g.k.Leave.Shows), 0, -1)
	inside := len(g.m.States)
	leave := g.k.Leave.Steps
	if len(leave) == 0 {
		g.err = cmp.Or(g.err, errors.New("[keying.leave] has no steps"))
		return
	}
	to, last := g.m.Start, Move{To: g.m.Start, Shows: shows, Does: pending(true), Option: -1, Leaves: true}
	for n := len(leave) - 1; n > 0; n-- {
		s := g.state(fmt.Sprintf("leaving-%d", n), "leaving programming", -1, false)
		if n == len(leave)-1 {
			last.On, last.To = leave[n], to
			g.move(s, last)
		} else {
			g.move(s, Move{On: leave[n], To: to, Option: -1, Leaves: true})
		}
		to = s
	}
	for s := range inside {
		if !g.m.States[s].Inside {
			continue
		}
		out := Move{On: leave[0], To: to, Option: -1, Leaves: true}
		if len(leave) == 1 {
			out.Shows = shows
		}
		if len(leave) == 1 || g.k.Store == "power-off" && leave[0] == "power-off" {
			out.Does = pending(true)
		}
		g.exit(s, out, pending)
	}
}

func (g *grid) exit(s int, out Move, pending func(bool) Effect) {
	t := g.k.TimeOut
	hasSilence := g.m.States[s].Limit > 0
	switch {
	case out.On != "silence":
		g.move(s, out)
		if t.Seconds > 0 && !hasSilence {
			g.silent(s, t.Seconds, Move{To: g.m.Start, Shows: resolve(parseSignals(t.Shows), 0, -1), Does: pending(t.Pending != "drops"), Option: -1})
		}
	case !hasSilence:
		g.silent(s, cmp.Or(t.Seconds, silentExit), out)
	}
	if out.On != "power-off" {
		g.move(s, Move{On: "power-off", To: g.m.Start, Does: pending(g.k.Store == "power-off"), Option: -1})
	}
}
