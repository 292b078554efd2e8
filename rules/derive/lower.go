package derive

import (
	"slices"

	"asleft/rules/base"
)

// cnf is a condition as clauses that must all hold, each a list of alternatives. No clause at all is true; an
// empty clause is false. In Kleene's logic, too, "and" and "or" distribute over each other, so bringing a
// condition into this form changes none of its three values.
type cnf [][]test

var never = cnf{{}}

// impossible reports whether the condition is false whatever the facts.
func (c cnf) impossible() bool {
	return slices.ContainsFunc(c, func(clause []test) bool { return len(clause) == 0 })
}

// lower brings a condition for an instance into the program, and tells whether it is false whatever the facts.
func (p *program) lower(c base.Condition, instance string) (when span, never bool) {
	p.clauses = p.condition(p.clauses[:0], c, instance)
	when, never = p.emit(p.clauses), p.clauses.impossible()
	p.units = p.units[:0] // nothing reads the clauses any more
	return when, never
}

// condition lowers a condition for an instance; its clauses are added to out.
func (p *program) condition(out cnf, c base.Condition, instance string) cnf {
	for _, l := range c.All {
		if l.Subject == base.OfFact {
			out = append(out, p.unit(p.factIs(l, instance)))
			continue
		}
		out = append(out, p.line(l, instance)...)
	}
	if len(c.Any) > 0 {
		some := never
		for _, l := range c.Any {
			some = or(some, p.line(l, instance))
		}
		out = append(out, some...)
	}
	for _, l := range c.None {
		out = append(out, p.not(p.line(l, instance))...)
	}
	return out
}

// line lowers one sentence.
func (p *program) line(l *base.Line, instance string) cnf {
	switch l.Subject {
	case base.OfKind:
		return p.over(l)
	case base.OfCan:
		return constant(p.can(base.Fill(l.Name, instance), l.Values) != l.Not)
	case base.OfSetting:
		return p.settingIs(base.Fill(l.Name, instance), l)
	}
	return cnf{p.unit(p.factIs(l, instance))}
}

// factIs asks about a fact.
func (p *program) factIs(l *base.Line, instance string) test {
	v := p.fact(base.Fill(l.Name, instance))
	mask := uint64(0)
	for i, w := range p.vars[v].fact.Domain {
		if slices.Contains(l.Values, w) {
			mask |= 1 << i
		}
	}
	if l.Not {
		mask = p.vars[v].full &^ mask
	}
	return test{v: v, mask: mask}
}

// unit is a clause of one test. Units share their memory: there are thousands of them.
func (p *program) unit(t test) []test {
	p.units = append(p.units, t)
	n := len(p.units)
	return p.units[n-1 : n : n]
}

// settingIs asks about a setting of the first device that has it. A setting that no device has and no rule
// decides has no value.
func (p *program) settingIs(name string, l *base.Line) cnf {
	g := p.first(name)
	if g == nil {
		return constant(l.Not)
	}
	mask := uint64(0)
	at := g.place(name)
	for i, choice := range g.choices {
		if slices.Contains(l.Values, string(choice.values[at])) {
			mask |= 1 << i
		}
	}
	if l.Not {
		mask = g.full &^ mask
	}
	return cnf{{{v: g.v, mask: mask}}}
}

// can reports whether a device has one of the values, by option or fixed.
func (p *program) can(name string, values []string) bool {
	for _, i := range p.bySet[name] {
		g := p.groups[i]
		if g.device == nil || g.virtual {
			continue
		}
		at := g.place(name)
		for _, choice := range g.choices {
			if slices.Contains(values, string(choice.values[at])) {
				return true
			}
		}
	}
	return false
}

// over lowers a quantified line.
func (p *program) over(l *base.Line) cnf {
	var each []cnf
	for _, instance := range p.facts.InstancesOf(l.Kind) {
		var all cnf
		for _, in := range l.Inner {
			all = append(all, p.line(in, instance)...)
		}
		each = append(each, all)
	}
	var out cnf
	switch l.Over {
	case base.Every:
		for _, c := range each {
			out = append(out, c...)
		}
	case base.Some:
		out = never
		for _, c := range each {
			out = or(out, c)
		}
	case base.No:
		for _, c := range each {
			out = append(out, p.not(c)...)
		}
	case base.AtMostOne:
		for i := range each {
			for j := range each[:i] {
				out = append(out, p.not(append(slices.Clone(each[i]), each[j]...))...)
			}
		}
	}
	return out
}

func constant(holds bool) cnf {
	if holds {
		return nil
	}
	return never
}

// or distributes: (A and B) or (C and D) is (A or C) and (A or D) and (B or C) and (B or D).
func or(a, b cnf) cnf {
	var out cnf
	for _, x := range a {
		for _, y := range b {
			out = append(out, append(slices.Clone(x), y...))
		}
	}
	return out
}

// not turns a condition round: one of its clauses fails, and that with all its alternatives.
func (p *program) not(c cnf) cnf {
	out := never
	for _, clause := range c {
		var fails cnf
		for _, t := range clause {
			fails = append(fails, []test{{v: t.v, mask: p.full(t.v) &^ t.mask}})
		}
		out = or(out, fails)
	}
	return out
}

// full is every value of a variable.
func (p *program) full(v int32) uint64 {
	return p.vars[v].full
}

// emit appends the clauses to the program's tests.
func (p *program) emit(c cnf) span {
	s := span{from: int32(len(p.tests))}
	for _, clause := range c {
		for i, t := range clause {
			t.last = i == len(clause)-1
			p.tests = append(p.tests, t)
		}
	}
	s.to = int32(len(p.tests))
	return s
}
