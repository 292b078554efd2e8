package proof

import (
	"fmt"
	"slices"

	"asleft/rules/base"
)

// shadowed are rules that decide settings and nothing else, and in no install bar a choice that the other hard rules of
// their level and above leave.
func shadowed(shapes []*inspection) []Flaw {
	var out []Flaw
	for _, r := range shapes[0].base.Rules {
		if len(r.Effects) == 0 || r.Refuse != "" || r.Caution != "" || len(r.Prove) > 0 || len(r.NotApplicable) > 0 {
			continue
		}
		spoken := false
		if !slices.ContainsFunc(shapes, func(x *inspection) bool { return x.matters(r, &spoken) }) && spoken {
			out = append(out, Flaw{Kind: Shadowed, Rules: []string{r.ID}, Says: fmt.Sprintf("The rule %s never bars a value that higher rules leave.", r.ID), Pos: r.Pos})
		}
	}
	return out
}

// matters reports whether a rule says something that no others do: it prefers, it is bound by a number that only a job gives, or it
// bars a choice that is left. It notes when the shape has a setting of which the rule bars anything at all.
func (x *inspection) matters(r *base.Rule, spoken *bool) bool {
	for i, list := range x.says {
		full := x.problem.Domains[x.pick[i]]
		for _, s := range list {
			if s.rule != r {
				continue
			}
			if s.prefer != nil || s.bound {
				return true
			}
			if s.mask == full {
				continue
			}
			*spoken = true
			if x.bars(i, s, full) {
				return true
			}
		}
	}
	return false
}

// bars reports whether in some install a saying counts and bars a choice that all other hard rules of its level and above leave.
func (x *inspection) bars(i int, s says, full uint64) bool {
	left := all()
	for _, o := range x.says[i] {
		if o.hard() && o.rule != s.rule && o.rule.Level <= s.rule.Level {
			left.kids = append(left.kids, some(literal(x.pick[i], o.mask), x.not(x.firesFor(i, o))))
		}
	}
	_, found := x.find("whether "+s.rule.ID+" is shadowed", x.firesFor(i, s), literal(x.pick[i], full&^s.mask), left, x.others(i))
	return found
}

// outOfReach are values of devices that hard rules bar in every install of every shape that has the device.
func outOfReach(shapes []*inspection) []Flaw {
	reached := map[string]bool{}
	var out []Flaw
	for _, x := range shapes {
		for i, g := range x.groups {
			if g.virtual || len(g.choices) < 2 {
				continue
			}
			for at, name := range g.settings {
				for _, v := range g.valuesOf(at) {
					key := fmt.Sprintf("%s: %s = %s", g.device.ID, name, v)
					if !reached[key] && x.reaches(i, at, v) {
						reached[key] = true
					} else if !reached[key] {
						out = append(out, Flaw{Kind: Unreachable, Subject: key, Says: fmt.Sprintf("No install comes to %s = %s on %s.", name, v, g.device.ID)})
					}
				}
			}
		}
	}
	return slices.DeleteFunc(out, func(f Flaw) bool { return reached[f.Subject] })
}

// reaches reports whether an install gives a setting a value by hard rules, or leaves it there as the factory did, without a meaning.
func (x *inspection) reaches(i, at int, value string) bool {
	g := x.groups[i]
	mask := g.mask(g.settings[at], []string{value})
	plain := all(literal(x.kept, yes), literal(x.emptied[i], no), literal(x.refused[i], no))
	for _, open := range x.open[i] {
		plain.kids = append(plain.kids, literal(open, no))
	}
	what := "whether " + g.settings[at] + " = " + value + " is reached"
	if _, found := x.find(what, plain, x.meant(i, at), literal(x.pick[i], mask)); found {
		return true
	}
	if g.factory < 0 || mask&(1<<g.factory) == 0 {
		return false
	}
	_, found := x.find(what, literal(x.kept, yes), x.not(x.meant(i, at)))
	return found
}

// valuesOf are the values of a setting in the choices, each once.
func (g *group) valuesOf(at int) []string {
	var out []string
	for _, c := range g.choices {
		if c[at] != "" && !slices.Contains(out, c[at]) {
			out = append(out, c[at])
		}
	}
	return out
}
