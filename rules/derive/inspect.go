package derive

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"asleft/config/profile"
	"asleft/config/source"
	"asleft/rules/base"
	"asleft/rules/internal/search"
)

// Flaw is something that a rule base says about itself when it is looked at as a whole.
type Flaw struct {
	Kind    FlawKind
	Rules   []string // ids of the rules concerned
	Subject string   // setting or value concerned, "" for none
	Says    string   // one sentence
	Witness []string // an install that shows it, as fact = value, sorted; nil where the flaw is that there is none
	Pos     source.Pos
}

// FlawKind names what is wrong.
type FlawKind string

// The kinds of flaw.
const (
	NeverFires  FlawKind = "never-fires" // the rule's condition holds in no install
	Disagree    FlawKind = "disagree"    // two rules of one level leave nothing between them
	Shadowed    FlawKind = "shadowed"    // higher rules always say it already
	Undecided   FlawKind = "undecided"   // rules leave several values and not the factory's
	Unreachable FlawKind = "unreachable" // no install can come to this value of a device
)

// Inspect looks for flaws of a rule base: over every install of a device whose abilities are left open, and of the devices
// given. That a rule never fires, is shadowed, or a value is out of reach is proved by a complete search (see world.go) and so
// is that two rules disagree; settings left undecided are looked for among samples installs of each device, from a fixed
// start, so the search finds the same ones each time.
func Inspect(b *base.Base, controllers []*profile.Profile, samples int) ([]Flaw, error) {
	free, err := imagine(b, freeDevice(b), nil, 2, true)
	if err != nil {
		return nil, err
	}
	shapes := []*program{free}
	for _, c := range controllers {
		p, err := imagine(b, c, nil, 2, false)
		if err != nil {
			return nil, err
		}
		shapes = append(shapes, p)
	}
	flaws := neverFires(shapes)
	flaws = append(flaws, disagreements(free)...)
	flaws = append(flaws, shadowed(shapes)...)
	flaws = append(flaws, outOfReach(shapes[1:])...)
	for _, p := range shapes[1:] {
		flaws = append(flaws, undecided(p, samples)...)
	}
	slices.SortStableFunc(flaws, func(a, b Flaw) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), slices.Compare(a.Rules, b.Rules), cmp.Compare(a.Subject, b.Subject))
	})
	return flaws, nil
}

// solve looks for an install of a world with more conditions.
func (w *world) solve(add func(*world)) ([]uint64, bool) {
	values, end := search.Solve(w.with(add), proofDecisions)
	return values, end == search.Found
}

// neverFires are rules that fire on no shape, in none of their instances.
func neverFires(shapes []*program) []Flaw {
	fires := map[string]bool{}
	for _, p := range shapes {
		facts, settings := factWorld(p), newWorld(p)
		for i := range p.rules {
			r := &p.rules[i]
			if fires[r.rule.ID] || r.never {
				continue
			}
			w := facts // a rule may well fire where hard rules leave a setting nothing: that is refused elsewhere
			if len(p.reads(r.when)) > 0 {
				w = settings
			}
			values, found := w.solve(func(w *world) { w.demand(r.when, r.never, w.assumed(i)) })
			fires[r.rule.ID] = found
			for k := i + 1; found && k < len(p.rules); k++ { // the same install may fire others
				if o := &p.rules[k]; !o.never && w.firesIn(values, k) && (w == settings || len(p.reads(o.when)) == 0) {
					fires[o.rule.ID] = true
				}
			}
		}
	}
	var out []Flaw
	for _, r := range shapes[0].facts.Base.Rules {
		if !fires[r.ID] {
			out = append(out, Flaw{Kind: NeverFires, Rules: []string{r.ID}, Says: fmt.Sprintf("The rule %s fires in no install.", r.ID), Pos: r.Pos})
		}
	}
	return out
}

// firesIn reports whether a rule fires in a solution.
func (w *world) firesIn(values []uint64, rule int) bool {
	for _, clause := range w.clauses(w.p.rules[rule].when) {
		if !slices.ContainsFunc(clause, func(t test) bool {
			l := w.literal(t, w.assumed(rule))
			return values[l.Var]&l.Mask != 0
		}) {
			return false
		}
	}
	return true
}

// disagreements are pairs of rules of one level that leave a setting no value in an install that nothing else refuses.
func disagreements(p *program) []Flaw {
	var out []Flaw
	seen := map[string]bool{}
	for _, g := range p.groups {
		if g.virtual {
			continue
		}
		var w *world
		for i := range g.constraints {
			for j := range g.constraints[:i] {
				a, b := &g.constraints[j], &g.constraints[i]
				if a.level != b.level || a.mere() || b.mere() || a.rule < 0 || b.rule < 0 || a.mask&b.mask != 0 || a.mask == 0 || b.mask == 0 {
					continue
				}
				x, y := p.rules[a.rule].rule, p.rules[b.rule].rule
				if key := x.ID + " " + y.ID; !seen[key] {
					if w == nil {
						w = newWorldWithout(p, g)
					}
					values, found := w.solve(func(w *world) { w.bothCount(g, a, b) })
					seen[key] = found
					if found {
						out = append(out, Flaw{
							Kind: Disagree, Rules: []string{x.ID, y.ID}, Subject: g.settings[a.at], Witness: w.witness(values), Pos: x.Pos,
							Says: fmt.Sprintf("The rules %s (%s) and %s (%s) stand on one level and leave nothing between them.", x.ID, a.ref.Says, y.ID, b.ref.Says),
						})
					}
				}
			}
		}
	}
	return out
}

// bothCount says that two constraints count, in an install that gets a card.
func (w *world) bothCount(g *group, a, b *constraint) {
	for _, c := range []*constraint{a, b} {
		r := &w.p.rules[c.rule]
		w.demand(r.when, r.never, w.assumed(int(c.rule)))
		w.meant(g, c.at)
	}
	w.carded(Scope{What: "remote-start"})
}

// meant says that no rule takes a setting's meaning away.
func (w *world) meant(g *group, at int) {
	for i := range g.constraints {
		if c := &g.constraints[i]; c.none && c.at == at {
			r := &w.p.rules[c.rule]
			w.forbid(r.when, r.never, w.assumed(int(c.rule)))
		}
	}
}

// shadowed are rules that decide settings and nothing else, and in no install bar a choice that the other hard rules of
// their level and above leave.
func shadowed(shapes []*program) []Flaw {
	matters := map[string]bool{}
	for _, p := range shapes {
		for _, g := range p.groups {
			var w *world
			for i := range g.constraints {
				c := &g.constraints[i]
				if c.rule < 0 || matters[p.rules[c.rule].rule.ID] || c.mask == g.full && c.prefer == nil && !c.none {
					continue
				}
				id := p.rules[c.rule].rule.ID
				if c.none || c.prefer != nil {
					matters[id] = true // it says what no other kind of rule says
					continue
				}
				if w == nil {
					w = newWorldWithout(p, g)
				}
				_, found := w.solve(func(w *world) { w.bars(g, c) })
				matters[id] = found
			}
		}
	}
	var out []Flaw
	for _, r := range shapes[0].facts.Base.Rules {
		if len(r.Effects) == 0 || matters[r.ID] || r.Refuse != "" || r.Caution != "" || len(r.Prove) > 0 {
			continue
		}
		if !spokenOf(shapes, r) {
			continue
		}
		out = append(out, Flaw{Kind: Shadowed, Rules: []string{r.ID}, Says: fmt.Sprintf("The rule %s never bars a value that higher rules leave.", r.ID), Pos: r.Pos})
	}
	return out
}

// spokenOf reports whether a shape has a setting of the rule: bounds by numbers that only a job gives say nothing here.
func spokenOf(shapes []*program, r *base.Rule) bool {
	for _, p := range shapes {
		for _, g := range p.groups {
			for i := range g.constraints {
				if c := &g.constraints[i]; c.rule >= 0 && p.rules[c.rule].rule == r && c.mask != g.full {
					return true
				}
			}
		}
	}
	return false
}

// bars says that a constraint counts and bars the choice taken, while all hard constraints of its level and above, but it,
// are fulfilled.
func (w *world) bars(g *group, c *constraint) {
	r := &w.p.rules[c.rule]
	w.demand(r.when, r.never, w.assumed(int(c.rule)))
	w.meant(g, c.at)
	w.clause(lit(int(g.v), g.full&^c.mask))
	for i := range g.constraints {
		o := &g.constraints[i]
		if o == c || o.mere() || o.rule < 0 || o.level > c.level || !o.level.Hard() || w.p.rules[o.rule].rule == r.rule {
			continue
		}
		or := []search.Literal{lit(int(g.v), o.mask)}
		if none, ok := w.none(g, o.at); ok {
			or = append(or, lit(none, able))
		}
		q := &w.p.rules[o.rule]
		w.forbid(q.when, q.never, w.assumed(int(o.rule)), or...)
	}
}

// outOfReach are values of devices that the hard levels bar in every install.
func outOfReach(shapes []*program) []Flaw {
	var out []Flaw
	for _, p := range shapes {
		w := newWorld(p)
		for _, g := range p.groups {
			if g.virtual || len(g.choices) < 2 {
				continue
			}
			for at, s := range g.settings {
				for _, v := range strings.Split(valueList(g, at), " ") {
					if !w.reached(g, at, g.mask(at, equals(v))) {
						out = append(out, Flaw{
							Kind: Unreachable, Subject: fmt.Sprintf("%s: %s = %s", g.device.Profile.ID, s, v), Pos: g.device.Pos,
							Says: fmt.Sprintf("No install comes to %s = %s on %s.", s, v, g.device.Profile.ID),
						})
					}
				}
			}
		}
	}
	return out
}

// reached reports whether an install gives a setting one of the choices of the mask, or leaves it there as the factory did,
// without a meaning.
func (w *world) reached(g *group, at int, mask uint64) bool {
	_, found := w.solve(func(w *world) {
		w.meant(g, at)
		w.clause(lit(int(g.v), mask))
	})
	if !found && mask&g.factory != 0 {
		_, found = w.solve(func(w *world) {
			if none, ok := w.none(g, at); ok {
				w.clause(lit(none, able))
			} else {
				w.clause()
			}
		})
	}
	return found
}

func valueList(g *group, at int) string {
	var out []string
	for _, c := range g.choices {
		if v := string(c.values[at]); v != "" && !slices.Contains(out, v) {
			out = append(out, v)
		}
	}
	return strings.Join(out, " ")
}

// witness writes an install of a solution as lines: facts that are known and that differ from what nobody would write down.
func (w *world) witness(values []uint64) []string {
	facts := w.install(values)
	var out []string
	for _, name := range sortedNames(facts) {
		f, _, ok := w.p.facts.Base.Fact(name)
		if ok && facts[name] != f.Absent {
			out = append(out, name+" = "+facts[name])
		}
	}
	return out
}
