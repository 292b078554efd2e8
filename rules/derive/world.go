package derive

import (
	"cmp"
	"math/bits"
	"slices"

	"asleft/rules/base"
	"asleft/rules/internal/search"
)

// world is every install of a shape at once, as a problem for a solver: a variable for each fact, as it is and as safety
// rules see it, and for each group of settings. Its clauses say what is true of every install that gets a keying card:
//
//   - no constraint of the catalogue is broken, and facts that do not apply have no meaning;
//   - what safety sees of a fact is the fact, or, when nobody knows it, the worst;
//   - no rule that refuses remote start or the job fires;
//   - the choice of every group fulfils every hard constraint that counts.
//
// Wishes, policy and defaults are left out: they may choose anything that the hard levels leave. So the world holds more
// than there is, and what it does not hold does not exist. That is what makes a proof of it complete; a solution may be more
// than there is, and is therefore derived to see.
type world struct {
	p       *program
	problem search.Problem
	seen    []int // variable as safety rules see it; the fact's own where nothing is assumed
	fires   map[int]int
	places  map[int32]map[int]int // group, setting -> variable that tells whether the setting has no meaning
}

func newWorld(p *program) *world {
	w := factWorld(p)
	for _, g := range p.groups {
		w.hard(g)
	}
	return w
}

// newWorldWithout leaves the choice of one group free.
func newWorldWithout(p *program, without *group) *world {
	w := factWorld(p)
	for _, g := range p.groups {
		if g != without {
			w.hard(g)
		}
	}
	return w
}

// factWorld leaves the choices of all groups free.
func factWorld(p *program) *world {
	w := &world{p: p, seen: make([]int, len(p.vars)), fires: map[int]int{}, places: map[int32]map[int]int{}}
	for v := range p.vars {
		w.problem.Domains = append(w.problem.Domains, w.domain(v))
		w.seen[v] = v
	}
	for v := range p.vars {
		if p.vars[v].worst != 0 {
			w.assume(v)
		}
	}
	for i := range p.applying {
		w.applies(&p.applying[i])
	}
	for i := range p.nogoods {
		w.forbid(p.nogoods[i].when, p.nogoods[i].never, false)
	}
	for _, a := range p.sortedAbilities() {
		v := p.abilities[a]
		for _, i := range p.bySet[a.setting] {
			g := p.groups[i]
			mask := g.mask(g.place(a.setting), equals(a.value))
			w.clause(lit(int(v), able), lit(int(g.v), g.full&^mask))
		}
	}
	return w
}

func lit(v int, mask uint64) search.Literal { return search.Literal{Var: v, Mask: mask} }

func (w *world) clause(c ...search.Literal) { w.problem.Clauses = append(w.problem.Clauses, c) }

// fresh adds a variable of two values: 1 is no, 2 is yes.
func (w *world) fresh() int {
	w.problem.Domains = append(w.problem.Domains, unable|able)
	return len(w.problem.Domains) - 1
}

// domain is what a variable can be; only facts with a condition can be without meaning.
func (w *world) domain(v int) uint64 {
	x := &w.p.vars[v]
	if x.fact != nil && len(x.fact.Applies) == 0 {
		return x.full &^ noMeaning
	}
	return x.full
}

// assume adds the fact as safety rules see it: any word but the worst is there only if it is the fact's own.
func (w *world) assume(v int) {
	x := &w.p.vars[v]
	w.problem.Domains = append(w.problem.Domains, w.domain(v))
	seen := len(w.problem.Domains) - 1
	w.seen[v] = seen
	for m := x.full &^ noMeaning &^ x.worst; m != 0; m &= m - 1 {
		word := m & -m
		w.clause(lit(seen, w.domain(v)&^word), lit(v, word|noMeaning))
	}
}

// literal is a test of the program.
func (w *world) literal(t test, assumed bool) search.Literal {
	v := int(t.v)
	if assumed {
		v = w.seen[v]
	}
	return lit(v, t.mask)
}

// clauses are the clauses of a condition.
func (w *world) clauses(s span) [][]test {
	var out [][]test
	from := s.from
	for i := s.from; i < s.to; i++ {
		if w.p.tests[i].last {
			out = append(out, w.p.tests[from:i+1])
			from = i + 1
		}
	}
	return out
}

// fails are literals of which one holds if the condition does not: one for each of its clauses.
func (w *world) fails(s span, assumed bool) []search.Literal {
	var out []search.Literal
	for _, clause := range w.clauses(s) {
		if len(clause) == 1 {
			l := w.literal(clause[0], assumed)
			out = append(out, lit(l.Var, w.problem.Domains[l.Var]&^l.Mask))
			continue
		}
		y := w.fresh() // yes: every alternative of the clause fails
		for _, t := range clause {
			l := w.literal(t, assumed)
			w.clause(lit(y, unable), lit(l.Var, w.problem.Domains[l.Var]&^l.Mask))
		}
		out = append(out, lit(y, able))
	}
	return out
}

// forbid says that a condition does not hold, unless one of the other literals does.
func (w *world) forbid(s span, never, assumed bool, or ...search.Literal) {
	if !never {
		w.clause(append(w.fails(s, assumed), or...)...)
	}
}

// demand says that a condition holds, unless one of the other literals does.
func (w *world) demand(s span, never, assumed bool, or ...search.Literal) {
	if never {
		w.clause(or...)
		return
	}
	for _, clause := range w.clauses(s) {
		c := append([]search.Literal(nil), or...)
		for _, t := range clause {
			c = append(c, w.literal(t, assumed))
		}
		w.clause(c...)
	}
}

// applies ties a fact's having a meaning to its condition, as it is and as safety sees it.
func (w *world) applies(a *applyCode) {
	for _, assumed := range []bool{false, true} {
		v := int(a.v)
		if assumed {
			v = w.seen[v]
		}
		if assumed && v == int(a.v) {
			continue
		}
		w.demand(a.when, a.never, assumed, lit(v, noMeaning))
		w.forbid(a.when, a.never, assumed, lit(v, w.domain(int(a.v))&^noMeaning))
	}
}

// assumed reports whether a rule sees the worst in place of the unknown.
func (w *world) assumed(rule int) bool { return w.p.rules[rule].rule.Level == base.Safety }

// fire is a variable that is yes only if the rule fires.
func (w *world) fire(rule int) int {
	if f, ok := w.fires[rule]; ok {
		return f
	}
	f := w.fresh()
	w.fires[rule] = f
	r := &w.p.rules[rule]
	w.demand(r.when, r.never, w.assumed(rule), lit(f, unable))
	return f
}

// hard says that the choice of a group fulfils what the hard levels demand.
func (w *world) hard(g *group) {
	for i := range g.constraints {
		c := &g.constraints[i]
		if !c.level.Hard() || c.mere() || c.rule < 0 {
			continue
		}
		or := []search.Literal{lit(int(g.v), c.mask)}
		if none, ok := w.none(g, c.at); ok {
			or = append(or, lit(none, able))
		}
		r := &w.p.rules[c.rule]
		w.forbid(r.when, r.never, w.assumed(int(c.rule)), or...)
	}
}

// none is a variable that is yes only if a rule says that the setting has no meaning; false when no rule ever does.
func (w *world) none(g *group, at int) (int, bool) {
	if v, ok := w.places[g.index][at]; ok {
		return v, true
	}
	var rules []search.Literal
	for i := range g.constraints {
		if c := &g.constraints[i]; c.none && c.at == at {
			rules = append(rules, lit(w.fire(int(c.rule)), able))
		}
	}
	if rules == nil {
		return 0, false
	}
	v := w.fresh()
	if w.places[g.index] == nil {
		w.places[g.index] = map[int]int{}
	}
	w.places[g.index][at] = v
	w.clause(append(rules, lit(v, unable))...)
	return v, true
}

// carded says that nothing refuses the scope.
func (w *world) carded(scope Scope) {
	for i := range w.p.rules {
		r := &w.p.rules[i]
		if r.rule.Refuse == "" || (Scope{What: r.rule.Refuse} != scope && r.rule.Refuse != "job" && (r.rule.Refuse != "function" || r.instance != scope.Name || scope.What != "function")) {
			continue
		}
		w.forbid(r.when, r.never, w.assumed(i))
	}
}

// sortedAbilities are the abilities that are variables, in one order.
func (p *program) sortedAbilities() []ability {
	out := make([]ability, 0, len(p.abilities))
	for a := range p.abilities {
		out = append(out, a)
	}
	slices.SortFunc(out, func(a, b ability) int {
		return cmp.Or(cmp.Compare(a.setting, b.setting), cmp.Compare(a.value, b.value))
	})
	return out
}

// with is the problem with more conditions; the world itself stays as it is.
func (w *world) with(add func(*world)) search.Problem {
	domains, clauses := len(w.problem.Domains), len(w.problem.Clauses)
	add(w)
	p := search.Problem{
		Domains: append([]uint64(nil), w.problem.Domains...),
		Clauses: append([]search.Clause(nil), w.problem.Clauses...),
	}
	// order-free: each is looked at by itself
	for rule, v := range w.fires {
		if v >= domains {
			delete(w.fires, rule)
		}
	}
	// order-free: each is looked at by itself
	for _, places := range w.places {
		// order-free: as above
		for at, v := range places {
			if v >= domains {
				delete(places, at)
			}
		}
	}
	w.problem.Domains, w.problem.Clauses = w.problem.Domains[:domains], w.problem.Clauses[:clauses]
	return p
}

// install is a solution as facts: what safety sees as the worst and is not so is not known.
func (w *world) install(values []uint64) map[string]string {
	out := map[string]string{}
	for v := range w.p.vars {
		x := &w.p.vars[v]
		if x.fact == nil || values[v] == noMeaning {
			continue
		}
		if seen := values[w.seen[v]]; seen != values[v] && seen == x.worst {
			continue
		}
		out[x.name] = x.fact.Domain[bits.TrailingZeros64(values[v])]
	}
	return out
}
