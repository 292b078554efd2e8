package proof

import (
	"cmp"
	"math/bits"
	"runtime"
	"slices"
	"strings"
	"sync"

	"asleft/config/profile"
	"asleft/rules/base"
	"asleft/rules/internal/search"
)

// conflicts bounds the search of one case. What is not decided within it is reported, never taken for proved.
const conflicts = 200000

// Gap is an install that is unsafe and gets a keying card.
type Gap struct {
	Clause   *base.Unsafe
	Instance string
	Shapes   []string          // devices for which there is such an install; the one given is of the first
	Facts    map[string]string // as they are, whether the job says them or not
	Telling  map[string]string // those that are not as they are where nobody says anything, and of which the clause or a rule may speak
	Unsaid   []string          // facts that the job does not say, sorted
	Settings map[string]string // what the devices hold in the end, of settings that the clause reads
	Job      string            // such an install as a job file that a card is made for; "" where none was found
}

// Proof says what was looked at, and what was found.
type Proof struct {
	Clauses, Cases int
	Shapes         []string
	Gaps           []Gap    // by clause and instance
	GaveUp         []string // cases that were not decided within the limit
}

// Prove looks at every clause of safety for every shape: each controller with each module and without one, and a device whose abilities
// are left open.
func Prove(b *base.Base, controllers, modules []*profile.Profile) *Proof {
	return prove(shapesOf(b, controllers, modules))
}

// shapesOf are all shapes: the device whose abilities are left open first.
func shapesOf(b *base.Base, controllers, modules []*profile.Profile) []*shape {
	shapes := []*shape{freeShape(b)}
	for _, c := range controllers {
		shapes = append(shapes, shapeOf(b, c, nil))
		for _, m := range modules {
			shapes = append(shapes, shapeOf(b, c, m))
		}
	}
	return shapes
}

// each does something for every number below n, as many at once as there are processors.
func each(n int, do func(i int)) {
	var wait sync.WaitGroup
	free := make(chan bool, runtime.GOMAXPROCS(0))
	for i := range n {
		free <- true
		wait.Go(func() {
			do(i)
			<-free
		})
	}
	wait.Wait()
}

func prove(shapes []*shape) *Proof {
	clauses := shapes[0].base.Unsafe
	parts := make([]Proof, len(shapes))
	each(len(shapes), func(i int) { parts[i].shape(shapes[i], clauses) })
	out := &Proof{Clauses: len(clauses)}
	for i := range parts {
		out.join(&parts[i])
	}
	return out
}

// join adds what was found for one more shape. Gaps of one clause and instance are one gap.
func (p *Proof) join(part *Proof) {
	p.Cases += part.Cases
	p.Shapes = append(p.Shapes, part.Shapes...)
	p.GaveUp = append(p.GaveUp, part.GaveUp...)
	for _, g := range part.Gaps {
		at := slices.IndexFunc(p.Gaps, func(o Gap) bool { return o.Clause == g.Clause })
		if at < 0 {
			p.Gaps = append(p.Gaps, g)
		} else if !slices.Contains(p.Gaps[at].Shapes, g.Shapes[0]) {
			p.Gaps[at].Shapes = append(p.Gaps[at].Shapes, g.Shapes[0])
		}
	}
	slices.SortStableFunc(p.Gaps, func(a, b Gap) int { return cmp.Compare(a.Clause.ID, b.Clause.ID) })
}

// shape proves every clause for one shape.
func (p *Proof) shape(s *shape, clauses []*base.Unsafe) {
	w := newWorld(s, cardsOnly)
	p.Shapes = append(p.Shapes, s.name)
	for _, u := range clauses {
		for _, instance := range s.cases(u.Each) {
			p.Cases++
			broken := lit(w.broken(u, instance), yes)
			values, end := w.solver.solve(&w.problem, conflicts, broken)
			switch end {
			case search.Found:
				p.Gaps = append(p.Gaps, w.gap(u, instance, w.plainer(values, broken)))
			case search.GaveUp:
				p.GaveUp = append(p.GaveUp, strings.TrimSpace(u.ID+" "+instance)+" on "+s.name)
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

// broken is a variable that is yes only in an install that breaks a clause and gets a card for its scope.
func (w *world) broken(u *base.Unsafe, instance string) int {
	y := w.fresh()
	w.claim(w.present(u.Each, instance, w.condition(u.When, instance, actual, certain), false), lit(y, no))
	if u.Scope == "function" {
		for _, r := range w.base.Rules {
			if r.Refuse == "function" {
				w.silent(r, instance, lit(y, no))
			}
		}
	}
	return y
}

// plainer looks for an install like the one found in which as little is there as can be, the job says as much as can be, and facts have the
// value that is taken where nobody says anything.
func (w *world) plainer(values []uint64, assumed ...search.Literal) []uint64 {
	for _, wish := range w.wishes() {
		if found, end := w.solver.solve(&w.problem, conflicts, append(assumed, wish)...); end == search.Found {
			assumed, values = append(assumed, wish), found
		}
	}
	return values
}

func (w *world) wishes() []search.Literal {
	var out []search.Literal
	for _, name := range sorted(w.there) {
		out = append(out, lit(w.there[name], no))
	}
	for _, name := range sorted(w.facts) {
		f := w.facts[name]
		if told := f.at[said]; w.problem.Domains[told]&notKnown != 0 {
			out = append(out, lit(told, w.problem.Domains[told]&^notKnown))
		}
		if at := slices.Index(f.kind.Domain, f.kind.Absent); at >= 0 {
			out = append(out, lit(f.at[actual], 1<<at))
		}
	}
	return out
}

// gap reads a solution.
func (w *world) gap(u *base.Unsafe, instance string, values []uint64) Gap {
	g := Gap{Clause: u, Instance: instance, Shapes: []string{w.name}, Facts: map[string]string{}, Settings: map[string]string{}, Telling: map[string]string{}}
	for _, name := range sorted(w.facts) {
		f := w.facts[name]
		if !w.exists(f, name, values) || values[f.at[actual]]&noMeaning != 0 {
			continue
		}
		g.Facts[name] = f.kind.Domain[bits.TrailingZeros64(values[f.at[actual]])]
		if g.Facts[name] != f.kind.Absent && w.choice(f, name) {
			g.Telling[name] = g.Facts[name]
		}
		if values[f.at[said]] == notKnown {
			g.Unsaid = append(g.Unsaid, name)
		}
	}
	for _, l := range u.When.Lines() {
		l.Leaves(func(leaf *base.Line, _ string) {
			name := base.Fill(leaf.Name, instance)
			if leaf.Subject == base.OfSetting {
				w.holds(&g, name, values)
			}
		})
	}
	return g
}

// install is what an install says of itself: its facts that are known and have a meaning.
func (w *world) install(values []uint64) map[string]string {
	out := map[string]string{}
	for _, name := range sorted(w.facts) {
		f := w.facts[name]
		if f.at[said] >= len(values) || !w.exists(f, name, values) {
			continue
		}
		if word := values[f.at[said]]; word&(notKnown|noMeaning) == 0 {
			out[name] = f.kind.Domain[bits.TrailingZeros64(word)]
		}
	}
	return out
}

// choice reports whether a fact is one that a job says: what follows from devices and other lines is not.
func (w *world) choice(f *fact, name string) bool {
	return !f.kind.Always || name == "start.wanted" || name == "start.path" || strings.HasPrefix(name, "function.") || strings.HasPrefix(name, "joined.")
}

// holds notes what a device holds of a setting.
func (w *world) holds(g *Gap, name string, values []uint64) {
	for _, i := range w.home[name] {
		group := w.groups[i]
		if group.virtual || w.free && values[w.has[name]] == no {
			continue
		}
		choice := group.choices[bits.TrailingZeros64(values[w.pick[i]])]
		g.Settings[name] = choice[slices.Index(group.settings, name)]
	}
}

// exists reports whether the instance that a fact speaks of is there.
func (w *world) exists(f *fact, name string, values []uint64) bool {
	_, instance, _ := w.base.Fact(name)
	there, ok := w.there[f.kind.Each+" "+instance]
	return !ok || values[there] == yes
}
