package proof

import (
	"fmt"
	"slices"
	"strings"
)

// undecided are settings of which the rules leave several values, and not the factory's, in an install of which everything is known and of
// which nobody wishes anything about the setting: then the first in the order of the device would be taken, and nobody said so.
//
// It is no search among samples. What the levels leave of a group follows from which of the rules about it fire, so it is written as a
// circuit of that: for each level and each choice a proposition that holds exactly when the choice is left (levels.go). The solver is
// asked for an install in which two choices are left that differ in the setting, and the factory's is not; where it finds none, there is
// none, for any install of the shape. Other settings may be what hard rules leave them, since anything of that may be wished.
func (x *inspection) undecided() []Flaw {
	var out []Flaw
	for i, g := range x.groups {
		if g.virtual || g.factory < 0 || !x.mayLoseFactory(i) {
			continue
		}
		left := x.leftAtLast(i)
		for at, name := range g.settings {
			values, found := x.twoLeft(i, at, left)
			if !found {
				continue
			}
			f := Flaw{Kind: Undecided, Subject: g.device.ID + ": " + name, Rules: x.firing(i, values)}
			f.Says = fmt.Sprintf("An install leaves %s at %s, and the factory's value of %s is not among them.", name, strings.Join(g.at(at, left, values), ", "), g.device.ID)
			f.Witness = x.witness(values, f.Rules...)
			out = append(out, f)
		}
	}
	return out
}

// mayLoseFactory reports whether any rule could bar the factory's choice.
func (x *inspection) mayLoseFactory(i int) bool {
	factory := uint64(1) << x.groups[i].factory
	return slices.ContainsFunc(x.says[i], func(s says) bool {
		return s.bound || s.prefer != nil || !s.none && s.mask&factory == 0
	})
}

// twoLeft looks for an install in which two choices are left that differ in a setting, and not the factory's.
func (x *inspection) twoLeft(i, at int, left []int) ([]uint64, bool) {
	g := x.groups[i]
	domain := x.problem.Domains[x.pick[i]]
	one, other := x.variable(domain), x.variable(domain)
	two := all(literal(x.known, yes), literal(x.kept, yes), literal(x.emptied[i], no), x.meant(i, at), literal(left[g.factory], no))
	for c := range g.choices {
		for _, v := range []int{one, other} {
			two.kids = append(two.kids, some(literal(v, domain&^(1<<c)), literal(left[c], yes)))
		}
		same := g.mask(g.settings[at], []string{g.choices[c][at]})
		two.kids = append(two.kids, some(literal(one, domain&^(1<<c)), literal(other, domain&^same)))
	}
	return x.find("whether "+g.settings[at]+" is decided", two)
}

// firing are the rules that say something of a group in an install.
func (x *inspection) firing(i int, values []uint64) []string {
	var out []string
	for _, s := range x.says[i] {
		if !s.none && !slices.Contains(out, s.rule.ID) && x.holds(x.fires(s.rule, s.instance, certain), values) {
			out = append(out, s.rule.ID)
		}
	}
	slices.Sort(out)
	return out
}

// holds is the truth of a formula in a solution.
func (x *inspection) holds(f formula, values []uint64) bool {
	if f.lit != nil {
		return f.lit.Var < len(values) && values[f.lit.Var]&f.lit.Mask != 0
	}
	for _, k := range f.kids {
		if x.holds(k, values) != f.all {
			return !f.all
		}
	}
	return f.all
}

// at are the values of a setting in the choices left in a solution.
func (g *group) at(at int, left []int, values []uint64) []string {
	var out []string
	for c, choice := range g.choices {
		if values[left[c]] == yes && !slices.Contains(out, choice[at]) {
			out = append(out, choice[at])
		}
	}
	return out
}
