package keying

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"asleft/config/profile"
)

// Finding is something in a profile's keying that would strand a technician.
type Finding struct {
	Path    []string // keys of the profile's file, for the place: "keying", "option", "gap"
	Message string
}

// Check looks at how a device is keyed: states without a way out, options and values that cannot be reached, options
// that answer alike so that whoever lost count cannot tell them apart, and time limits and holds that hands
// cannot keep.
func Check(p *profile.Profile) []Finding {
	d, err := Compile("device", p)
	if err != nil {
		path := []string{"keying"}
		var f *flaw
		if errors.As(err, &f) {
			path = f.path
		}
		return []Finding{{path, err.Error()}}
	}
	if p.Keying == nil {
		return nil
	}
	c := checking{m: d.Machine, k: p.Keying}
	c.reach()
	c.exits()
	c.options()
	c.alike()
	c.limits()
	c.holds()
	return c.found
}

type checking struct {
	m         *Machine
	k         *profile.Keying
	reachable []bool
	found     []Finding
}

func (c *checking) add(path []string, format string, args ...any) {
	c.found = append(c.found, Finding{append([]string{"keying"}, path...), fmt.Sprintf(format, args...)})
}

// at is the path of a state: its own table when it is written out, else the whole of keying.
func (c *checking) at(s int) []string {
	if c.m.grid == nil {
		return []string{"state", c.m.States[s].Name}
	}
	return nil
}

func (c *checking) reach() {
	c.reachable = make([]bool, len(c.m.States))
	open := []int{c.m.Start}
	c.reachable[c.m.Start] = true
	for len(open) > 0 {
		s := open[len(open)-1]
		open = open[:len(open)-1]
		for _, move := range c.m.States[s].Moves {
			if !c.reachable[move.To] {
				c.reachable[move.To] = true
				open = append(open, move.To)
			}
		}
	}
	for s, ok := range c.reachable {
		if !ok && c.m.grid == nil {
			c.add(c.at(s), "no row of inputs leads to state %s", c.m.States[s].Name)
		}
	}
}

// exits finds states from which nothing leads outside.
func (c *checking) exits() {
	out := make([]bool, len(c.m.States))
	out[c.m.Start] = true
	for again := true; again; {
		again = false
		for s := range c.m.States {
			if !out[s] && slices.ContainsFunc(c.m.States[s].Moves, func(m Move) bool { return out[m.To] }) {
				out[s], again = true, true
			}
		}
	}
	for s := range out {
		if !out[s] && c.reachable[s] {
			c.add(c.at(s), "nothing leads out of state %s", c.m.States[s].Name)
		}
	}
}

// options finds options and values that no input sets.
func (c *checking) options() {
	next, set := map[int]bool{}, map[[2]int]bool{}
	for s, state := range c.m.States {
		for _, move := range state.Moves {
			switch {
			case !c.reachable[s]:
			case move.Does == Next:
				next[move.Option] = true
			case move.Does == Set:
				set[[2]int{move.Option, move.Value}] = true
			}
		}
	}
	for i, o := range c.m.Options {
		if next[i] {
			continue
		}
		var missing []string
		for v := range o.Values {
			if !set[[2]int{i, v}] {
				missing = append(missing, o.Values[v].Name)
			}
		}
		if len(missing) == len(o.Values) {
			c.add(nil, "option %s cannot be reached", o.ID)
		} else if len(missing) > 0 {
			c.add(nil, "option %s cannot be set to %s", o.ID, strings.Join(missing, ", "))
		}
	}
}

// alike finds choices that the device does not answer for. A count or digits have to be echoed by their number.
// Where options are stepped, or states written out, two options are alike when no press tells them apart without
// changing a value: states are sorted into classes by what they answer, and the classes by where the inputs lead,
// until nothing changes (Moore 1956).
func (c *checking) alike() {
	echoed := true
	for _, l := range []struct {
		name  string
		level profile.Level
	}{{"bank", c.k.Bank}, {"option", c.k.Option}} {
		if l.level.Way != "count" && l.level.Way != "digits" {
			continue
		}
		if !slices.ContainsFunc(l.level.Shows, func(s string) bool { return strings.Contains(s, "number") }) {
			c.add([]string{l.name, "shows"}, "presses are counted, but the device does not answer with their number: a wrong count cannot be told from a right one")
		}
		echoed = echoed && l.name != "option"
	}
	if echoed {
		c.classes()
	}
}

func (c *checking) classes() {
	inputs := c.safeInputs()
	class := c.arrivals()
	for n := 0; ; {
		names := map[string]int{}
		next := make([]int, len(class))
		for s := range c.m.States {
			key := fmt.Sprint(class[s])
			for _, in := range inputs {
				key += "|" + c.told(s, in, class)
			}
			if _, ok := names[key]; !ok {
				names[key] = len(names)
			}
			next[s] = names[key]
		}
		class = next
		if len(names) == n {
			break
		}
		n = len(names)
	}
	first := map[int]int{}
	for s, state := range c.m.States {
		if state.Option < 0 || !c.reachable[s] {
			continue
		}
		if other, ok := first[class[s]]; ok {
			c.add(c.at(s), "options %s and %s answer alike: who lost count cannot tell them apart without changing a value", c.m.Options[c.m.States[other].Option].ID, c.m.Options[state.Option].ID)
			continue
		}
		first[class[s]] = s
	}
}

// arrivals sorts the states by what the device answers when hands come there.
func (c *checking) arrivals() []int {
	heard := make([][]string, len(c.m.States))
	for s, state := range c.m.States {
		for _, move := range state.Moves {
			if c.reachable[s] && state.Inside && move.Does == None {
				heard[move.To] = append(heard[move.To], Answer(move.Shows).String())
			}
		}
	}
	names, class := map[string]int{}, make([]int, len(heard))
	for s := range heard {
		slices.Sort(heard[s])
		key := strings.Join(slices.Compact(heard[s]), "|")
		if _, ok := names[key]; !ok {
			names[key] = len(names)
		}
		class[s] = names[key]
	}
	return class
}

// safeInputs are the inputs that may be tried: those that change no value in any state where an option stands.
func (c *checking) safeInputs() []string {
	var all []string
	for s, state := range c.m.States {
		for _, move := range state.Moves {
			if c.reachable[s] && !slices.Contains(all, move.On) {
				all = append(all, move.On)
			}
		}
	}
	slices.Sort(all)
	return all
}

// told is what an input tells in a state: nothing when it is not to be tried there, else the answer, with
// values left open, and the class that it leads to.
func (c *checking) told(s int, in string, class []int) string {
	move, ok := c.m.States[s].find(in)
	if !ok {
		return "-"
	}
	if move.Does == Next || move.Does == Set || move.Does == Reset {
		return "x"
	}
	return Answer(move.Shows).String() + ">" + fmt.Sprint(class[move.To])
}

// Least times that hands need, seconds; common practice, no source.
const (
	leastGap    = 1.0 // between two presses of a count, so that a slow finger does not end it
	leastMargin = 0.5 // beyond the press itself
	leastApart  = 1.0 // between two holds that mean different things
)

// limits finds time limits that hands cannot keep.
func (c *checking) limits() {
	k := c.k
	for _, l := range []struct {
		name  string
		level profile.Level
	}{{"bank", k.Bank}, {"option", k.Option}, {"value", k.Value}} {
		if counts := l.level.Way == "count" || l.level.Way == "digits"; counts && l.level.Gap > 0 && l.level.Gap < leastGap {
			c.add([]string{l.name, "gap"}, "a count that ends after %s s is cut off by a slow finger; hands need %s s", decimal(l.level.Gap), decimal(leastGap))
		}
	}
	for _, row := range []struct {
		name string
		seq  profile.Sequence
	}{{"enter", k.Enter}, {"reset", k.Reset}} {
		need := 0.0
		for _, in := range row.seq.Steps {
			need += inputSeconds(in)
		}
		if row.seq.Within > 0 && row.seq.Within < need {
			c.add([]string{row.name, "within"}, "hands need %s s for these steps, the device allows %s s", decimal(need), decimal(row.seq.Within))
		}
	}
	seen := map[string]bool{}
	for s, state := range c.m.States {
		for _, move := range state.Moves {
			need := inputSeconds(move.On) + leastMargin
			if state.Limit == 0 || move.On == "silence" || state.Limit >= need || !state.Inside || c.counting(s) {
				continue
			}
			path := c.at(s)
			if path == nil {
				path = []string{"time-out", "seconds"}
			}
			text := fmt.Sprintf("the time limit of %s s is over before hands have done %s (%s s)", decimal(state.Limit), move.On, decimal(need))
			if !seen[text+strings.Join(path, ".")] {
				seen[text+strings.Join(path, ".")] = true
				c.add(path, "%s", text)
			}
		}
	}
}

// counting tells whether a state is in the middle of a count, whose limit is the gap.
func (c *checking) counting(s int) bool {
	return c.m.grid != nil && strings.Contains(c.m.States[s].Name, "-count-")
}

// holds finds holds of one state that hands cannot tell apart.
func (c *checking) holds() {
	seen := map[string]bool{}
	for s, state := range c.m.States {
		var held []float64
		for _, move := range state.Moves {
			if n, ok := holdSeconds(move.On); ok {
				held = append(held, n)
			}
		}
		slices.SortFunc(held, func(a, b float64) int { return cmp.Compare(a, b) })
		for i := 1; i < len(held); i++ {
			if held[i]-held[i-1] >= leastApart {
				continue
			}
			text := fmt.Sprintf("holds of %s s and %s s mean different things; hands cannot tell them apart", decimal(held[i-1]), decimal(held[i]))
			if !seen[text] {
				seen[text] = true
				c.add(c.at(s), "%s", text)
			}
		}
	}
}
