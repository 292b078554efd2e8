package proof

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

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

// inspection looks for flaws in one shape. Its world holds every install, with a card or without.
type inspection struct {
	*world
	says [][]says // by group
	gave []string // what was not decided within the limit
}

func inspect(s *shape) *inspection {
	w := newWorld(s, everyOne)
	return &inspection{world: w, says: w.saying()}
}

// find looks for an install of which all the formulas hold, and tells it as plainly as can be.
func (x *inspection) find(what string, all ...formula) ([]uint64, bool) {
	y := x.fresh()
	for _, f := range all {
		x.claim(f, lit(y, no))
	}
	values, end := x.solver.solve(&x.problem, conflicts, lit(y, yes))
	if end == search.GaveUp {
		x.gave = append(x.gave, what+" on "+x.name)
	}
	return values, end == search.Found
}

// firesFor is the formula that a saying is said for sure, and that its setting has a meaning.
func (x *inspection) firesFor(i int, s says) formula {
	return all(x.fires(s.rule, s.instance, certain), x.meant(i, s.at))
}

// meant is the formula that no rule takes a setting's meaning away for sure.
func (x *inspection) meant(i, at int) formula {
	out := all()
	for _, s := range x.says[i] {
		if s.none && s.at == at {
			out.kids = append(out.kids, x.not(x.fires(s.rule, s.instance, certain)))
		}
	}
	return out
}

// others is the formula that every other group keeps what hard rules say.
func (x *inspection) others(i int) formula {
	out := all()
	for j, keeps := range x.keeps {
		if j != i {
			out.kids = append(out.kids, literal(keeps, yes))
		}
	}
	return out
}

// witness tells an install: the facts that rules read and that are not as they are where nobody says anything.
func (x *inspection) witness(values []uint64, rules ...string) []string {
	read := map[string]bool{}
	for _, id := range rules {
		r, _ := x.base.Rule(id)
		for _, l := range r.When.Lines() {
			l.Leaves(func(leaf *base.Line, _ string) {
				if t, _, ok := x.base.Fact(leaf.Name); ok && leaf.Subject == base.OfFact {
					read[t.Pattern] = true
				}
			})
		}
	}
	var out []string
	facts := x.install(values)
	for _, name := range sorted(facts) {
		if f := x.facts[name]; read[f.kind.Pattern] && facts[name] != f.kind.Absent {
			out = append(out, name+" = "+facts[name])
		}
	}
	return out
}

// flaws looks at every shape: the first is the device whose abilities are left open.
func flaws(shapes []*shape) (out []Flaw, gave []string) {
	all := make([]*inspection, len(shapes))
	parts := make([][]Flaw, len(shapes))
	each(len(shapes), func(i int) {
		all[i] = inspect(shapes[i])
		if i > 0 {
			parts[i] = all[i].undecided()
		}
	})
	out = append(neverFires(all), all[0].disagreements()...)
	out = append(append(out, shadowed(all)...), outOfReach(all[1:])...)
	for _, p := range parts {
		out = append(out, p...)
	}
	for _, x := range all {
		gave = append(gave, x.gave...)
	}
	slices.SortStableFunc(out, func(a, b Flaw) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), slices.Compare(a.Rules, b.Rules), cmp.Compare(a.Subject, b.Subject))
	})
	return slices.CompactFunc(out, func(a, b Flaw) bool {
		return a.Kind == b.Kind && a.Subject == b.Subject && slices.Equal(a.Rules, b.Rules)
	}), gave
}

// neverFires are rules that fire on no shape, in none of their instances.
func neverFires(shapes []*inspection) []Flaw {
	var out []Flaw
	for _, r := range shapes[0].base.Rules {
		if !slices.ContainsFunc(shapes, func(x *inspection) bool { return x.canFire(r) }) {
			out = append(out, Flaw{Kind: NeverFires, Rules: []string{r.ID}, Says: fmt.Sprintf("The rule %s fires in no install.", r.ID), Pos: r.Pos})
		}
	}
	return out
}

// canFire reports whether a rule fires in an install. Where it reads settings, they are as hard rules leave them; a rule about facts alone
// may well fire where hard rules leave a setting nothing: that is refused elsewhere.
func (x *inspection) canFire(r *base.Rule) bool {
	kept := all()
	if len(r.Reads()) > 0 {
		kept = literal(x.kept, yes)
	}
	return slices.ContainsFunc(x.cases(r.Each), func(instance string) bool {
		_, found := x.find("whether "+r.ID+" fires", x.fires(r, instance, certain), kept)
		return found
	})
}

// disagreements are pairs of rules of one level that leave a setting no value in an install that nothing else refuses.
func (x *inspection) disagreements() []Flaw {
	var out []Flaw
	seen := map[string]bool{}
	for i, list := range x.says {
		for k, b := range list {
			for _, a := range list[:k] {
				key := a.rule.ID + " " + b.rule.ID
				if seen[key] || !opposed(a, b) {
					continue
				}
				values, found := x.find("whether "+key+" disagree", x.firesFor(i, a), x.firesFor(i, b), literal(x.card, yes), x.others(i))
				if seen[key] = found; found {
					out = append(out, Flaw{
						Kind: Disagree, Rules: []string{a.rule.ID, b.rule.ID}, Subject: x.groups[i].settings[a.at], Pos: a.rule.Pos,
						Witness: x.witness(values, a.rule.ID, b.rule.ID),
						Says: fmt.Sprintf("The rules %s (%s) and %s (%s) stand on one level and leave nothing between them.",
							a.rule.ID, x.text(i, a), b.rule.ID, x.text(i, b)),
					})
				}
			}
		}
	}
	return out
}

// opposed reports whether two rules of one level leave no choice together, though each leaves some.
func opposed(a, b says) bool {
	plain := func(s says) bool { return !s.none && !s.bound && s.prefer == nil && s.mask != 0 }
	return a.rule != b.rule && a.rule.Level == b.rule.Level && plain(a) && plain(b) && a.mask&b.mask == 0
}

// text is what a rule says of a setting, in words.
func (x *inspection) text(i int, s says) string {
	name, e := x.groups[i].settings[s.at], s.effect
	switch e.Verb {
	case base.Never:
		return name + " not " + listed(e)
	case base.AtMost, base.AtLeast:
		return fmt.Sprintf("%s %s %g", name, strings.ReplaceAll(string(e.Verb), "-", " "), e.Number)
	}
	return name + " = " + listed(e)
}

func listed(e base.Effect) string {
	var out []string
	for _, v := range e.Values {
		out = append(out, string(v))
	}
	return strings.Join(out, " or ")
}
