package proof

import (
	"math/bits"

	"asleft/rules/base"
	"asleft/rules/internal/search"
)

// conflicts bounds the search of one case. What is not decided within it is reported, never taken for proved.
const conflicts = 200000

// Gap is an install that is unsafe and gets a keying card.
type Gap struct {
	Clause   *base.Unsafe
	Instance string
	Shape    string
	Facts    map[string]string // as they are; those that the job does not say stand in Unsaid too
	Unsaid   []string
	Settings map[string]string // what the devices hold
}

// Proof says what was looked at.
type Proof struct {
	Clauses, Cases, Shapes int
	Gaps                   []Gap
	GaveUp                 []string
}

// shape proves every clause for one shape.
func (p *Proof) shape(s *shape, clauses []*base.Unsafe) {
	w := newWorld(s)
	p.Shapes++
	for _, u := range clauses {
		for _, instance := range s.cases(u.Each) {
			p.Cases++
			problem := w.broken(u, instance)
			values, end := solve(problem, conflicts)
			switch end {
			case search.Found:
				p.Gaps = append(p.Gaps, w.gap(u, instance, values))
			case search.GaveUp:
				p.GaveUp = append(p.GaveUp, u.ID+" "+instance+" on "+s.name)
			}
		}
	}
}

// cases are the instances for which a clause is looked at. Openings, circuits and functions are alike: whatever install has one that
// breaks the clause, the same install with the names changed has it as the first.
func (s *shape) cases(kind string) []string {
	list := s.instancesOf(kind)
	if kind == "opening" || kind == "circuit" || kind == "function" {
		return list[:1]
	}
	return list
}

// broken is the problem of an install that breaks a clause and gets a card for its scope.
func (w *world) broken(u *base.Unsafe, instance string) search.Problem {
	domains, clauses := len(w.problem.Domains), len(w.problem.Clauses)
	known := map[string]bool{}
	for name := range w.facts { // order-free: fills a set
		known[name] = true
	}
	w.claim(w.present(u.Each, instance, w.condition(u.When, instance, actual, certain), false))
	if u.Scope == "function" {
		for _, r := range w.base.Rules {
			if r.Refuse == "function" {
				w.silent(r, instance)
			}
		}
	}
	p := search.Problem{Domains: append([]uint64(nil), w.problem.Domains...)}
	p.Clauses = append(append(p.Clauses, w.problem.Clauses[clauses:]...), w.problem.Clauses[:clauses]...) // what is asked comes first
	w.problem.Domains, w.problem.Clauses = w.problem.Domains[:domains], w.problem.Clauses[:clauses]
	for _, name := range sorted(w.facts) {
		if !known[name] {
			delete(w.facts, name)
		}
	}
	return p
}

// gap reads a solution.
func (w *world) gap(u *base.Unsafe, instance string, values []uint64) Gap {
	g := Gap{Clause: u, Instance: instance, Shape: w.name, Facts: map[string]string{}, Settings: map[string]string{}}
	for _, name := range sorted(w.facts) {
		f := w.facts[name]
		if !w.exists(f, name, values) || values[f.at[actual]]&noMeaning != 0 {
			continue
		}
		g.Facts[name] = f.kind.Domain[bits.TrailingZeros64(values[f.at[actual]])]
		if values[f.at[said]] == notKnown {
			g.Unsaid = append(g.Unsaid, name)
		}
	}
	for i, group := range w.groups {
		if group.virtual {
			continue
		}
		choice := group.choices[bits.TrailingZeros64(values[w.pick[i]])]
		for at, name := range group.settings {
			if w.free && values[w.has[name]] == no {
				continue
			}
			g.Settings[name] = choice[at]
		}
	}
	return g
}

// exists reports whether the instance that a fact speaks of is there.
func (w *world) exists(f *fact, name string, values []uint64) bool {
	_, instance, _ := w.base.Fact(name)
	there, ok := w.there[f.kind.Each+" "+instance]
	return !ok || values[there] == yes
}
