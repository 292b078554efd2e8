package keying

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
)

// banks makes the choice of a bank.
func (g *grid) banks() {
	l := g.k.Bank
	n := len(g.sizes)
	switch l.Way {
	case "":
	case "forward", "both":
		for b := range g.sizes {
			for i, from := range g.at[b] {
				if from < 0 {
					continue
				}
				g.bankStep(from, l.Input, (b+1)%n, i)
				if l.Way == "both" {
					g.bankStep(from, l.Back, (b+n-1)%n, i)
				}
			}
		}
	case "count":
		from := []int{g.none}
		if !g.stacked() {
			for _, row := range g.at {
				from = append(from, row...)
			}
		}
		targets := make([]int, n)
		for b := range g.sizes {
			targets[b] = g.first(b)
		}
		shows := func(k int) []Signal { return resolve(parseSignals(l.Shows), k, -1) }
		g.count("bank", "counting the bank", l.Input, l.Gap, from, g.none, targets, shows, nil)
	default:
		g.err = cmp.Or(g.err, errors.New("banks are stepped or counted, never given in digits"))
	}
}

// bankStep adds one step to another bank; with a kept cursor an item beyond the end becomes
// the last one.
func (g *grid) bankStep(from int, input string, to, item int) {
	there := g.first(to)
	option := -1
	if g.stepped(g.k.Option) {
		if g.k.Cursor == "kept" {
			item = min(item, g.sizes[to])
		} else {
			item = 1
		}
		there, option = g.at[to][item], g.cells[to][item]
	}
	g.move(from, Move{On: input, To: there, Shows: resolve(parseSignals(g.k.Bank.Shows), to+1, option), Option: option})
}

// options makes the choice of an option within a bank.
func (g *grid) options(b int) {
	l, n, row := g.k.Option, g.sizes[b], g.at[b]
	shows := func(i int) []Signal { return resolve(parseSignals(l.Shows), i, g.cells[b][i]) }
	step := func(from int, input string, i int) {
		g.move(row[from], Move{On: input, To: row[i], Shows: shows(i), Option: g.cells[b][i]})
	}
	from := row
	if g.stacked() {
		from = row[:1]
		g.up(b)
	}
	switch l.Way {
	case "forward", "both":
		for i := 1; i <= n; i++ {
			step(i, l.Input, i%n+1)
			if l.Way == "both" {
				step(i, l.Back, (i+n-2)%n+1)
			}
		}
	case "count":
		g.count(fmt.Sprintf("bank-%d-option", b+1), g.bankWords(b)+", counting the option", l.Input, l.Gap, from, row[0], row[1:], shows, g.cells[b][1:])
	case "digits":
		g.digits(b, from)
	default:
		g.err = cmp.Or(g.err, errors.New("[keying.option] has no way"))
	}
}

func (g *grid) up(b int) {
	if g.k.Up == "" {
		return
	}
	for i, from := range g.at[b] {
		switch {
		case i > 0:
			g.move(from, Move{On: g.k.Up, To: g.at[b][0], Option: -1})
		case g.none >= 0:
			g.move(from, Move{On: g.k.Up, To: g.none, Option: -1})
		}
	}
}

// count makes the states of a row of presses that silence ends. Too many presses choose
// nothing and lead to lost.
func (g *grid) count(name, words, input string, gap float64, from []int, lost int, targets []int, shows func(int) []Signal, options []int) {
	gap = cmp.Or(gap, 2)
	row := make([]int, len(targets)+1)
	for k := range row {
		text := fmt.Sprintf("%s: %d pressed", words, k+1)
		if k == len(targets) {
			text = words + ": too many pressed"
		}
		row[k] = g.state(fmt.Sprintf("%s-count-%d", name, k+1), text, -1, true)
	}
	for _, f := range from {
		if f >= 0 {
			g.move(f, Move{On: input, To: row[0], Option: -1})
		}
	}
	for k, s := range row {
		g.move(s, Move{On: input, To: row[min(k+1, len(targets))], Option: -1})
		if k == len(targets) {
			g.silent(s, gap, Move{To: lost, Option: -1})
			continue
		}
		option := -1
		if options != nil {
			option = options[k]
		}
		g.silent(s, gap, Move{To: targets[k], Shows: shows(k + 1), Option: option})
	}
}

// digits makes the states of a two-digit number: tens, silence, ones, silence. Back gives a
// nought at once.
func (g *grid) digits(b int, from []int) {
	l, n, row := g.k.Option, g.sizes[b], g.at[b]
	tens := n / 10
	waits := make([]int, tens+1)
	for t := range waits {
		waits[t] = g.state(fmt.Sprintf("bank-%d-tens-%d", b+1, t), fmt.Sprintf("%s, tens digit %d taken, before the ones", g.bankWords(b), t), -1, true)
	}
	digit := func(d int) []Signal {
		if d == 0 {
			return []Signal{{By: "led", Steady: true}}
		}
		return resolve(parseSignals(l.Shows), d, -1)
	}
	for _, f := range from {
		g.move(f, Move{On: l.Back, To: waits[0], Shows: digit(0), Option: -1})
	}
	if tens > 0 {
		g.count(fmt.Sprintf("bank-%d-tens", b+1), g.bankWords(b)+", counting the tens", l.Input, l.Gap, from, row[0], waits[1:], digit, nil)
	}
	for t, w := range waits {
		targets, options := slices.Repeat([]int{row[0]}, 9), slices.Repeat([]int{-1}, 9)
		for d := 1; d <= 9 && 10*t+d <= n; d++ {
			targets[d-1], options[d-1] = row[10*t+d], g.cells[b][10*t+d]
		}
		shows := func(d int) []Signal {
			if 10*t+d > n {
				return nil
			}
			return resolve(parseSignals(l.Shows), d, options[d-1])
		}
		g.count(fmt.Sprintf("bank-%d-ones-%d", b+1, t), fmt.Sprintf("%s, tens digit %d taken, counting the ones", g.bankWords(b), t), l.Input, l.Gap, []int{w}, row[0], targets, shows, options)
		if t > 0 {
			g.move(w, Move{On: l.Back, To: row[10*t], Shows: append(digit(0), resolve(parseSignals(l.Shows), 0, g.cells[b][10*t])...), Option: g.cells[b][10*t]})
		}
	}
}

// values makes the change of the option at a place.
func (g *grid) values(b, i int) {
	l, at, option := g.k.Value, g.at[b][i], g.cells[b][i]
	if option < 0 {
		return
	}
	back := at
	if g.stacked() && l.Way != "cycle" {
		back = g.at[b][0]
	}
	shows := resolve(parseSignals(l.Shows), 0, option)
	n := len(g.m.Options[option].Values)
	switch l.Way {
	case "cycle":
		g.move(at, Move{On: l.Input, To: at, Shows: shows, Does: Next, Option: option})
	case "each":
		if n > len(l.Inputs) {
			g.err = cmp.Or(g.err, fmt.Errorf("option %s has %d values, but [keying.value] has inputs for %d", g.m.Options[option].ID, n, len(l.Inputs)))
			return
		}
		for v := range n {
			g.move(at, Move{On: l.Inputs[v], To: back, Shows: shows, Does: Set, Option: option, Value: v})
		}
	case "count":
		g.valueCount(b, i, n, back, shows)
	default:
		g.err = cmp.Or(g.err, errors.New("[keying.value] has no way"))
	}
}

func (g *grid) valueCount(b, i, n, back int, shows []Signal) {
	l, at, option := g.k.Value, g.at[b][i], g.cells[b][i]
	first := len(g.m.States)
	targets := slices.Repeat([]int{back}, n)
	g.count(fmt.Sprintf("bank-%d-item-%d-value", b+1, i), g.m.States[at].Words+", counting the value", l.Input, l.Gap, []int{at}, at, targets, func(int) []Signal { return shows }, slices.Repeat([]int{option}, n))
	for v := range n {
		s := &g.m.States[first+v]
		for j := range s.Moves {
			if s.Moves[j].On == "silence" {
				s.Moves[j].Does, s.Moves[j].Value = Set, v
			}
		}
	}
}
