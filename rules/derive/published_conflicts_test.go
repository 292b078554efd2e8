package derive

import (
	"fmt"
	"slices"
	"testing"

	"asleft/config/setting"
	"asleft/rules/base"
	"asleft/rules/internal/search"
)

// published are examples of conflicts and diagnoses with the sets that their sources give. The states are all ways in which the
// world of the example can be; holds tells which of the constraints (from 1) hold in a state.
type published struct {
	source    string
	n         int
	states    [][]int // values of the variables
	holds     func(constraint int, s []int) bool
	conflicts [][]int
	diagnoses [][]int
}

// grid lists all values from low to high for some variables.
func grid(variables, low, high int) [][]int {
	out := [][]int{nil}
	for range variables {
		var next [][]int
		for _, s := range out {
			for v := low; v <= high; v++ {
				next = append(next, append(slices.Clone(s), v))
			}
		}
		out = next
	}
	return out
}

// group makes a group of a device out of an example: its choices are the ways in which the world can be, those that satisfy no more
// than another left out, and each constraint is a wish. order is the order of blame.
func (x published) group(order []int) *group {
	sets := map[search.Set]bool{}
	for _, s := range x.states {
		var set search.Set
		for c := 1; c <= x.n; c++ {
			if x.holds(c, s) {
				set |= 1 << c
			}
		}
		sets[set] = true
	}
	var largest []search.Set
	for set := range sets {
		dominated := false
		for other := range sets {
			dominated = dominated || other != set && other.Has(set)
		}
		if !dominated {
			largest = append(largest, set)
		}
	}
	slices.Sort(largest)
	g := &group{virtual: true, settings: []string{"an example"}, full: bitsBelow(len(largest))}
	for range largest {
		g.choices = append(g.choices, choice{values: []setting.Value{""}})
	}
	for _, c := range order {
		mask := uint64(0)
		for i, set := range largest {
			if set.Has(1 << c) {
				mask |= 1 << i
			}
		}
		g.constraints = append(g.constraints, constraint{level: base.Wish, rule: -1, mask: mask, said: &RuleRef{Says: fmt.Sprint(c)}})
	}
	return g
}

// explained are the minimal conflicts of a group, by the path that a contradiction and "why not" take.
func explained(g *group) [][]int {
	d := &derivation{program: &program{groups: []*group{g}}, state: &state{groups: make([]decided, 1)}}
	list := blamed(d.counting(g, &d.state.groups[0], base.Wish))
	n := &NotThis{}
	d.enumerate(n, g, list, func(set []int) bool {
		m := g.full
		for _, i := range set {
			m &= list[i].mask
		}
		return m != 0
	}, true)
	var out [][]int
	for _, c := range n.Conflicts {
		var one []int
		for _, r := range c.Rules {
			var k int
			fmt.Sscan(r.Says, &k)
			one = append(one, k)
		}
		slices.Sort(one)
		out = append(out, one)
	}
	return out
}

func upTo(n int) []int {
	var out []int
	for i := 1; i <= n; i++ {
		out = append(out, i)
	}
	return out
}

// subsets are the states of an example whose constraints are assumptions: which of them are made (1) and which not (0).
func subsets(n int, consistent func(s []int) bool) [][]int {
	return slices.DeleteFunc(grid(n, 0, 1), func(s []int) bool { return !consistent(s) })
}

func assumed(c int, s []int) bool { return s[c-1] == 1 }

// csp is one of the csp1 to csp6 of manleviet/CA-CDR-V2 (cdrmodel-package/src/main/resources, commit e501e48; the comments there and
// TestModelN.java give the sets).
func csp(name string, states [][]int, conflicts, diagnoses [][]int, constraints ...func(s []int) bool) published {
	return published{"manleviet/CA-CDR-V2, " + name, len(constraints), states, func(c int, s []int) bool { return constraints[c-1](s) }, conflicts, diagnoses}
}

// is, over and under compare variable v (from 1).
func is(v, x int) func([]int) bool    { return func(s []int) bool { return s[v-1] == x } }
func over(v, x int) func([]int) bool  { return func(s []int) bool { return s[v-1] > x } }
func under(v, x int) func([]int) bool { return func(s []int) bool { return s[v-1] < x } }

func examples() []published {
	prices := []int{500, 500, 800, 500, 2600}
	three := grid(3, 1, 3)
	out := []published{
		{"Junker, QuickXplain, AAAI 2004, tables 1 and 2 (budget 3000 from memory; sets computed)", 5,
			subsets(5, func(s []int) bool {
				sum := 0
				for i, p := range prices {
					sum += p * s[i]
				}
				return sum <= 3000
			}), assumed, [][]int{{1, 5}, {2, 5}, {3, 5}, {4, 5}}, [][]int{{5}, {1, 2, 3, 4}}},
		{"O'Sullivan, Papadopoulos, Faltings, Pu, Representative Explanations for Over-Constrained Problems, AAAI 2007: 1 budget, 2 roof rack, 3 convertible, 4 CD player, 5 leather seats", 5,
			subsets(5, func(s []int) bool {
				sum := 500*(s[1]+s[2]+s[3]) + 2600*s[4]
				return (s[0] == 0 || sum <= 3000) && s[1]*s[2] == 0
			}), assumed, [][]int{{2, 3}, {1, 2, 5}, {1, 3, 5}, {1, 4, 5}}, [][]int{{1, 2}, {1, 3}, {2, 5}, {3, 5}, {2, 3, 4}}},
		csp("csp1", grid(2, -10, 10), [][]int{{1, 3}, {2, 4}}, [][]int{{1, 2}, {1, 4}, {2, 3}, {3, 4}},
			over(1, 1), func(s []int) bool { return s[0] < s[1] }, under(1, 1), is(2, -10)),
		csp("csp2", three, [][]int{{1, 2}, {2, 4}, {3, 6}}, [][]int{{2, 3}, {2, 6}, {1, 3, 4}, {1, 4, 6}},
			is(2, 1), over(2, 2), is(3, 1), under(2, 2), over(1, 2), over(3, 2), over(1, 1)),
		csp("csp3", three, [][]int{{1, 2}, {2, 4}, {5, 7}}, [][]int{{2, 5}, {2, 7}, {1, 4, 5}, {1, 4, 7}},
			is(2, 1), over(2, 2), is(3, 1), under(2, 2), over(1, 2), over(3, 0), under(1, 2)),
		csp("csp4", three, [][]int{{1, 2}}, [][]int{{1}, {2}},
			is(2, 1), over(2, 2), is(3, 1), is(1, 2), over(1, 1), over(3, 0), under(1, 3)),
		csp("csp5", three, [][]int{{5, 7}}, [][]int{{5}, {7}},
			is(2, 3), over(2, 2), is(3, 1), under(3, 2), over(1, 2), over(3, 0), under(1, 2)),
		csp("csp6 (its line of diagnoses is a stale copy there; these are computed)", three, [][]int{{1, 2, 5}, {1, 2, 7}, {5, 7}}, [][]int{{1, 5}, {1, 7}, {2, 5}, {2, 7}, {5, 7}},
			func(s []int) bool { return s[1] == s[0] }, under(2, 2), is(3, 1), over(3, 0), over(1, 2), over(3, 0), is(1, 2)),
	}
	return append(out, diagnoses()...)
}

// diagnoses are the examples in which parts are assumed to work.
func diagnoses() []published {
	exam := func(d bool) func(s []int) bool { // p to u are 1 to 6
		return func(s []int) bool {
			p, q, r, v, u := s[0] == 1, s[1] == 1, s[2] == 1, s[3] == 1, s[5] == 1
			f := q && v || u // g needs no assumption and has no rule
			c := f && r
			return !(p && (r || p) || c && d) // b follows from r, and from e, which follows from p
		}
	}
	adder := func(c int, s []int) bool { // X1 to O1 are 1 to 5; in 1, 0, carry in 1; observed sum 1, carry 0; s holds X1, A1, A2
		a, b, carry := 1, 0, 1
		return []bool{s[0] == a^b, s[0]^carry == 1, s[1] == a&b, s[2] == carry&s[0], s[1]|s[2] == 0}[c-1]
	}
	polybox := func(c int, s []int) bool { // M1, M2, M3, A1, A2 are 1 to 5; s holds X, Y, Z; observed F = 10, G = 12
		return []bool{s[0] == 3*2, s[1] == 2*3, s[2] == 2*3, s[0]+s[1] == 10, s[1]+s[2] == 12}[c-1]
	}
	house := func(s []int) bool { // cb1, cb2, s1, s2, s3, l1, l2 are 1 to 7; all switches up, power outside, l1 and l2 dark
		w3 := s[0] == 1
		l1 := w3 && s[2] == 1 && s[3] == 1 && s[5] == 1
		l2 := w3 && s[4] == 1 && s[6] == 1
		return !l1 && !l2
	}
	return []published{
		{"Poole, CPSC 322, 1997, final, question 1", 6, subsets(6, exam(false)), assumed, [][]int{{1}}, [][]int{{1}}},
		{"the same with the fact d added", 6, subsets(6, exam(true)), assumed, [][]int{{1}, {3, 6}, {2, 3, 4}}, [][]int{{1, 3}, {1, 2, 6}, {1, 4, 6}}},
		{"Reiter, Artificial Intelligence 32 (1987), the full adder (from memory, sets computed): X1, X2, A1, A2, O1", 5, grid(3, 0, 1), adder,
			[][]int{{1, 2}, {1, 4, 5}}, [][]int{{1}, {2, 4}, {2, 5}}},
		{"de Kleer and Williams, Artificial Intelligence 32 (1987), the polybox (from memory, sets computed): M1, M2, M3, A1, A2", 5, grid(3, 0, 12), polybox,
			[][]int{{1, 2, 4}, {1, 3, 4, 5}}, [][]int{{1}, {4}, {2, 3}, {2, 5}}},
		{"Poole and Mackworth, Artificial Intelligence, example 5.23, house wiring: cb1, cb2, s1, s2, s3, l1, l2", 7, subsets(7, house), assumed,
			[][]int{{1, 3, 4, 6}, {1, 5, 7}}, [][]int{{1}, {3, 5}, {3, 7}, {4, 5}, {4, 7}, {5, 6}, {6, 7}}},
	}
}

// Published conflicts come out of the engine: from the choices of a group, by the way in which a contradiction and "why not" find
// them. Their hitting sets, and the corrections that the same search finds beside them, are the published diagnoses.
func TestPublishedConflicts(t *testing.T) {
	for _, x := range examples() {
		g := x.group(upTo(x.n))
		conflicts := explained(g)
		if !equalSets(conflicts, x.conflicts) {
			t.Errorf("%s: conflicts %v, published %v", x.source, conflicts, x.conflicts)
		}
		var family []search.Set
		for _, c := range conflicts {
			family = append(family, search.SetOf(c...))
		}
		if got := members(search.Hitting(family), 0); !equalSets(got, x.diagnoses) {
			t.Errorf("%s: diagnoses %v, published %v", x.source, got, x.diagnoses)
		}
		_, corrections, whole := search.Conflicts(x.n, func(set []int) bool {
			m := g.full
			for _, i := range set {
				m &= g.constraints[i].mask
			}
			return m != 0
		}, 0)
		if got := members(corrections, 1); !whole || !equalSets(got, x.diagnoses) {
			t.Errorf("%s: corrections %v, published %v", x.source, got, x.diagnoses)
		}
	}
}

// The conflict that is told first is the one of the order of blame. Source: Junker, QuickXplain, AAAI 2004, tables 1 and 2.
func TestPublishedOrderOfBlame(t *testing.T) {
	car := examples()[0]
	for _, c := range []struct{ order, want []int }{
		{[]int{1, 2, 3, 4, 5}, []int{1, 5}}, {[]int{5, 4, 3, 2, 1}, []int{4, 5}}, {[]int{4, 5, 1, 2, 3}, []int{4, 5}}, {[]int{5, 1, 2, 3, 4}, []int{1, 5}},
	} {
		if got := explained(car.group(c.order)); len(got) == 0 || !slices.Equal(got[0], c.want) {
			t.Errorf("order %v: %v, want %v first", c.order, got, c.want)
		}
	}
}

// Source: Reiter, Artificial Intelligence 32 (1987), the HS-tree example (family from memory, hitting sets computed).
func TestPublishedHittingSets(t *testing.T) {
	var family []search.Set
	for _, s := range [][]int{{2, 4, 5}, {1, 2, 3}, {1, 3, 5}, {2, 4, 6}, {2, 4}, {2, 3, 5}, {1, 6}} {
		family = append(family, search.SetOf(s...))
	}
	want := [][]int{{1, 2}, {1, 3, 4}, {1, 4, 5}, {2, 3, 6}, {2, 5, 6}, {3, 4, 6}}
	if got := members(search.Hitting(family), 0); !equalSets(got, want) {
		t.Errorf("hitting sets %v, want %v", got, want)
	}
}

// members are the items of sets, counted from first.
func members(sets []search.Set, first int) [][]int {
	var out [][]int
	for _, s := range sets {
		var one []int
		for _, i := range s.Items() {
			one = append(one, i+first)
		}
		out = append(out, one)
	}
	return out
}

func equalSets(a, b [][]int) bool {
	order := func(list [][]int) [][]int {
		list = slices.Clone(list)
		slices.SortFunc(list, slices.Compare)
		return list
	}
	return slices.EqualFunc(order(a), order(b), slices.Equal)
}
