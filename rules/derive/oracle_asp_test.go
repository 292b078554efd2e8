package derive

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"asleft/config/setting"
	"asleft/rules/base"
)

// asp writes a rule base, a shape of installs and its wishes and policy as an answer set program. It restates the meaning of
// lines, levels, preferences and missing facts on its own; it shares with the engine the reading of files, the lists of facts
// and instances, and which settings an option sets together. Each sentence and each step of a group has predicates of its own, so
// the program is stratified and has one answer.
type asp struct {
	strings.Builder
	p     *program
	nodes int
	facts map[string]int // facts that the program speaks of, by name
	order []string
}

func (a *asp) say(format string, args ...any) { fmt.Fprintf(&a.Builder, format+"\n", args...) }

// node makes the predicates t (true) and m (may be true) of a part of a condition.
func (a *asp) node() int {
	a.nodes++
	return a.nodes
}

const noWord = 99 // the value of a fact without meaning

func (a *asp) fact(name string) int {
	if i, ok := a.facts[name]; ok {
		return i
	}
	i := len(a.order)
	a.facts[name] = i
	a.order = append(a.order, name)
	t, instance, _ := a.p.facts.Base.Fact(name)
	for v := range t.Domain {
		a.say("dom(%d,%d).", i, v)
	}
	if w := slices.Index(t.Domain, t.Worst); w >= 0 {
		a.say("worst(%d,%d).", i, w)
	}
	if len(t.Applies) == 0 {
		a.say("poss_%d(X,I,V) :- raw(X,I,%d,V).", i, i)
		return i
	}
	var parts []int
	for _, l := range t.Applies {
		parts = append(parts, a.line(l, instance))
	}
	n := a.and(parts)
	a.say("poss_%d(X,I,V) :- raw(X,I,%d,V), m_%d(X,I).", i, i, n)
	a.say("poss_%d(X,I,%d) :- view(X), i(I), not t_%d(X,I).", i, noWord, n)
	return i
}

func (a *asp) and(parts []int) int {
	n := a.node()
	var t, m []string
	for _, p := range parts {
		t, m = append(t, fmt.Sprintf("t_%d(X,I)", p)), append(m, fmt.Sprintf("m_%d(X,I)", p))
	}
	t, m = append(t, "view(X)", "i(I)"), append(m, "view(X)", "i(I)")
	a.say("t_%d(X,I) :- %s.", n, strings.Join(t, ", "))
	a.say("m_%d(X,I) :- %s.", n, strings.Join(m, ", "))
	return n
}

func (a *asp) or(parts []int) int {
	n := a.node()
	a.say("#defined t_%d/2. #defined m_%d/2.", n, n)
	for _, p := range parts {
		a.say("t_%d(X,I) :- t_%d(X,I). m_%d(X,I) :- m_%d(X,I).", n, p, n, p)
	}
	return n
}

func (a *asp) not(p int) int {
	n := a.node()
	a.say("t_%d(X,I) :- view(X), i(I), not m_%d(X,I). m_%d(X,I) :- view(X), i(I), not t_%d(X,I).", n, p, n, p)
	return n
}

// test asks whether what is possible lies inside some values.
func (a *asp) test(predicate string, inside, outside []int) int {
	n := a.node()
	a.say("#defined o_%d/2. #defined m_%d/2.", n, n)
	for _, v := range inside {
		a.say("m_%d(X,I) :- %s(X,I,%d).", n, predicate, v)
	}
	for _, v := range outside {
		a.say("o_%d(X,I) :- %s(X,I,%d).", n, predicate, v)
	}
	a.say("t_%d(X,I) :- view(X), i(I), not o_%d(X,I).", n, n)
	return n
}

func (a *asp) condition(c base.Condition, instance string) int {
	var all []int
	for _, l := range c.All {
		all = append(all, a.line(l, instance))
	}
	if len(c.Any) > 0 {
		var some []int
		for _, l := range c.Any {
			some = append(some, a.line(l, instance))
		}
		all = append(all, a.or(some))
	}
	for _, l := range c.None {
		all = append(all, a.not(a.line(l, instance)))
	}
	return a.and(all)
}

func (a *asp) line(l *base.Line, instance string) int {
	name := base.Fill(l.Name, instance)
	switch l.Subject {
	case base.OfKind:
		return a.over(l)
	case base.OfCan:
		able := false
		for _, g := range a.p.groups {
			if at := g.place(name); at >= 0 && !g.virtual {
				able = able || slices.ContainsFunc(g.choices, func(c choice) bool { return slices.Contains(l.Values, string(c.values[at])) })
			}
		}
		if able != l.Not {
			return a.and(nil)
		}
		return a.or(nil)
	case base.OfSetting:
		return a.setting(name, l)
	}
	i := a.fact(name)
	t, _, _ := a.p.facts.Base.Fact(name)
	var yes, no []int
	for v, w := range t.Domain {
		if slices.Contains(l.Values, w) != l.Not {
			yes = append(yes, v)
		} else {
			no = append(no, v)
		}
	}
	if l.Not {
		yes = append(yes, noWord)
	} else {
		no = append(no, noWord)
	}
	return a.test(fmt.Sprintf("poss_%d", i), yes, no)
}

func (a *asp) setting(name string, l *base.Line) int {
	i := slices.IndexFunc(a.p.groups, func(g *group) bool { return g.place(name) >= 0 })
	if i < 0 {
		if l.Not {
			return a.and(nil)
		}
		return a.or(nil)
	}
	g := a.p.groups[i]
	var yes, no []int
	for c, x := range g.choices {
		if slices.Contains(l.Values, string(x.values[g.place(name)])) != l.Not {
			yes = append(yes, c)
		} else {
			no = append(no, c)
		}
	}
	return a.test(fmt.Sprintf("posg_%d", i), yes, no)
}

func (a *asp) over(l *base.Line) int {
	var each []int
	for _, instance := range a.p.facts.InstancesOf(l.Kind) {
		var all []int
		for _, in := range l.Inner {
			all = append(all, a.line(in, instance))
		}
		each = append(each, a.and(all))
	}
	switch l.Over {
	case base.Every:
		return a.and(each)
	case base.Some:
		return a.or(each)
	case base.No:
		return a.not(a.or(each))
	}
	var pairs []int
	for i := range each {
		for j := range i {
			pairs = append(pairs, a.not(a.and([]int{each[i], each[j]})))
		}
	}
	return a.and(pairs)
}

// says is a constraint as the oracle sees it.
type says struct {
	level  base.Level
	id     string
	at     int
	mask   []bool   // of choices; nil for a preference and for "not applicable"
	prefer [][]bool // in order
	none   bool
	node   int // its condition, 0 for what always holds
	safety bool
}

// gather lists what rules and people say about a group, in the order of the walk.
func (a *asp) gather(g *group, in Input, conditions map[string]int) []says {
	var out []says
	for _, r := range a.p.facts.Base.Rules {
		for _, instance := range a.p.instances(r.Each) {
			node := conditions[r.ID+" "+instance]
			for _, e := range r.Effects {
				name := base.Fill(e.Setting, instance)
				at := g.place(name)
				if at < 0 {
					continue
				}
				s := says{level: r.Level, id: r.ID + " " + name, at: at, node: node, safety: r.Level == base.Safety}
				if e.Verb == base.Prefer {
					s.prefer = preferences(g, at, e.Values)
				} else if s.mask = a.allowed(g, at, e); s.mask == nil {
					continue
				}
				out = append(out, s)
			}
			for _, name := range r.NotApplicable {
				for at, mine := range g.settings {
					f, _ := setting.Find(mine)
					if name := base.Fill(name, instance); mine == name || f.Pattern == name {
						out = append(out, says{level: r.Level, id: r.ID, at: at, none: true, node: node, safety: r.Level == base.Safety})
					}
				}
			}
		}
	}
	if !g.virtual {
		out = append(out, people(g, in)...)
	}
	slices.SortStableFunc(out, func(x, y says) int {
		return cmp.Or(cmp.Compare(x.level, y.level), cmp.Compare(len(x.prefer), len(y.prefer)), cmp.Compare(x.id, y.id))
	})
	return out
}

func choices(g *group, at int, passes func(v setting.Value) bool) []bool {
	out := make([]bool, len(g.choices))
	for i, c := range g.choices {
		out[i] = passes(c.values[at])
	}
	return out
}

// allowed are the choices that an effect lets pass; nil when its number is not known.
func (a *asp) allowed(g *group, at int, e base.Effect) []bool {
	bound := e.Number
	if e.Quantity != "" {
		n, ok := a.p.facts.Numbers[e.Quantity]
		if !ok {
			return nil
		}
		bound = n.Value
	}
	return choices(g, at, func(v setting.Value) bool {
		listed := slices.Contains(e.Values, v)
		n, number := v.Number()
		switch e.Verb {
		case base.Never:
			return !listed
		case base.AtMost:
			return !number || n <= bound
		case base.AtLeast:
			return !number || n >= bound
		}
		return listed
	})
}

func preferences(g *group, at int, values []setting.Value) [][]bool {
	var out [][]bool
	for _, v := range values {
		if v != "largest" && v != "smallest" {
			out = append(out, choices(g, at, func(x setting.Value) bool { return x == v }))
			continue
		}
		var numbers []float64
		for _, c := range g.choices {
			if n, ok := c.values[at].Number(); ok && !slices.Contains(numbers, n) {
				numbers = append(numbers, n)
			}
		}
		slices.SortFunc(numbers, func(x, y float64) int {
			if v == "largest" {
				return cmp.Compare(y, x)
			}
			return cmp.Compare(x, y)
		})
		for _, n := range numbers {
			out = append(out, choices(g, at, func(x setting.Value) bool { m, ok := x.Number(); return ok && m == n }))
		}
	}
	return out
}

// people are the wishes and the policy.
func people(g *group, in Input) []says {
	var out []says
	for at, name := range g.settings {
		f, _ := setting.Find(name)
		means := func(s string) bool { return s == name || s == f.Pattern }
		for _, w := range in.Job.Wishes {
			if means(w.Setting) && (w.Device == "" || w.Device == g.device.Name) {
				out = append(out, says{level: base.Wish, id: "wish " + w.Name + " " + name, at: at, mask: choices(g, at, func(v setting.Value) bool { return string(v) == w.Value })})
			}
		}
		if in.Policy == nil {
			continue
		}
		for _, b := range in.Policy.Limits {
			if means(b.Setting) {
				out = append(out, says{level: base.PolicyLimit, id: "limit " + b.Name + " " + name, at: at, mask: choices(g, at, func(v setting.Value) bool {
					n, number := v.Number()
					return slices.Contains(b.Values, string(v)) || (len(b.Values) == 0 && (!number || n <= b.AtMost))
				})})
			}
		}
		for _, b := range in.Policy.Defaults {
			if means(b.Setting) && len(b.Values) > 0 {
				out = append(out, says{level: base.PolicyDefault, id: "default " + b.Name + " " + name, at: at, mask: choices(g, at, func(v setting.Value) bool { return string(v) == b.Values[0] })})
			}
		}
	}
	return out
}
