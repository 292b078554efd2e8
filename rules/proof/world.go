package proof

import (
	"slices"

	"asleft/rules/base"
	"asleft/rules/internal/search"
)

// Bits of a fact's variable beside its words, and of variables that are yes or no.
const (
	noMeaning = uint64(1) << 63
	notKnown  = uint64(1) << 62
	no        = uint64(1)
	yes       = uint64(2)
)

// view is with whose eyes a fact is seen.
type view int

const (
	actual view = iota // as it is, whether anybody knows or not: unsafe is unsafe
	said               // as rules below safety see it: known, not known, or without meaning
	safe               // as rules of safety see it: the worst in place of what is not known
	borne              // as safe, and where no value is the worst, as it is
	whole              // as rules below safety would see it if nothing were missing
	views
)

// fact is a fact with each pair of eyes.
type fact struct {
	kind *base.FactType
	at   [views]int // variable by view
}

// world holds every install of a shape that gets a keying card, as a problem for a solver; see the package comment.
type world struct {
	*shape
	problem search.Problem
	solver  *session
	facts   map[string]*fact
	there   map[string]int // presence of opening, circuit and function, by "kind name"
	able    map[string]int // of a free device: "SETTING to VALUE"
	has     map[string]int // of a free device: it has the setting at all

	card  int // yes only if nothing refuses remote start or the job
	known int // yes only if nothing is missing
	kept  int // yes only if every group keeps what hard rules say

	pick    []int   // what a device holds, by group
	read    []int   // what rules read of it: the same, or not known
	keeps   []int   // yes only if the group keeps what hard rules say
	emptied []int   // yes only where hard rules may leave nothing, for a refusal of a smaller thing
	refused []int   // the same of safety alone
	open    [][]int // yes only where a missing fact may leave a setting of the group open, by its place
}

func lit(v int, mask uint64) search.Literal { return search.Literal{Var: v, Mask: mask} }

func (w *world) clause(c ...search.Literal) { w.problem.Clauses = append(w.problem.Clauses, c) }

func (w *world) variable(domain uint64) int {
	w.problem.Domains = append(w.problem.Domains, domain)
	return len(w.problem.Domains) - 1
}

func (w *world) fresh() int { return w.variable(no | yes) }

// scope says which installs a world holds.
type scope bool

const (
	cardsOnly scope = false // those that get a card
	everyOne  scope = true  // all; the variables card and kept say of which kind one is
)

// newWorld encodes a shape.
func newWorld(s *shape, holds scope) *world {
	w := &world{shape: s, solver: newSession(), facts: map[string]*fact{}, there: map[string]int{}, able: map[string]int{}, has: map[string]int{}}
	for _, kind := range []string{"opening", "circuit", "function"} {
		for _, name := range s.instances[kind] {
			w.there[kind+" "+name] = w.fresh()
		}
	}
	w.card, w.known, w.kept = w.fresh(), w.fresh(), w.fresh()
	if holds == cardsOnly { // said first of all, so that the solver settles it for good
		w.clause(lit(w.card, yes))
		w.clause(lit(w.kept, yes))
	}
	for _, g := range s.groups {
		keeps := w.fresh()
		w.keeps = append(w.keeps, keeps)
		w.clause(lit(w.kept, no), lit(keeps, yes))
		v := w.variable(uint64(1)<<len(g.choices) - 1)
		w.pick = append(w.pick, v)
		w.read = append(w.read, w.variable(w.problem.Domains[v]|notKnown))
		if s.free {
			w.abilities(g, v)
		}
	}
	w.feeds()
	w.constraints()
	w.settings()
	w.carded()
	return w
}

// abilities leaves open whether a device has a setting, and which values. A setting that it does not have may still be decided: then its
// value says what the install needs.
func (w *world) abilities(g *group, v int) {
	has := w.fresh()
	w.has[g.settings[0]] = has
	for i, c := range g.choices {
		able := w.fresh()
		w.able[g.settings[0]+" to "+c[0]] = able
		w.clause(lit(able, no), lit(has, yes))
		w.clause(lit(v, w.problem.Domains[v]&^(1<<i)), lit(able, yes), lit(has, no))
	}
}

// feeds ties what a feed can do in one way only to the setting of its role: both are read from the same line of a profile.
func (w *world) feeds() {
	for _, feed := range w.instances["feed"] {
		role := "feed." + feed + ".role"
		f := w.fact("feed." + feed + ".fixed-role")
		for _, i := range w.home[role] {
			g := w.groups[i]
			if !w.free {
				only := "none"
				if len(g.choices) == 1 {
					only = g.choices[0][0]
				}
				w.clause(lit(f.at[said], 1<<slices.Index(f.kind.Domain, only)))
				continue
			}
			for at, word := range f.kind.Domain {
				if mask := g.mask(role, []string{word}); word != "none" {
					w.clause(lit(f.at[said], w.problem.Domains[f.at[said]]&^(1<<at)), lit(w.pick[i], mask))
				}
			}
		}
	}
}

// fact is a fact by its full name; it is made when first asked for.
func (w *world) fact(name string) *fact {
	if f, ok := w.facts[name]; ok {
		return f
	}
	t, instance, ok := w.base.Fact(name)
	if !ok {
		panic("rules/proof: there is no fact " + name)
	}
	words := uint64(1)<<len(t.Domain) - 1
	f := &fact{kind: t}
	w.facts[name] = f
	if t.Worst == "" && len(t.Applies) == 0 {
		v := w.variable(words)
		f.at = [views]int{v, v, v, v, v}
		return f
	}
	meaning := uint64(0)
	if len(t.Applies) > 0 {
		meaning = noMeaning
	}
	unknown := uint64(0)
	if t.Worst != "" {
		unknown = notKnown
	}
	is, told := w.variable(words|meaning), w.variable(words|unknown)
	w.sameWords(told, is, words, noMeaning)
	w.clause(lit(w.known, no), lit(told, words))
	assumed := told
	if t.Assumes() {
		assumed = w.assumed(told, words, 1<<slices.Index(t.Domain, t.Worst))
	}
	f.at = [views]int{is, told, assumed, assumed, is}
	if !t.Assumes() {
		f.at[borne] = is
	}
	if meaning != 0 {
		before := f.at
		f.at[said] = w.variable(words | meaning | notKnown)
		f.at[safe] = w.variable(words | meaning | notKnown)
		f.at[borne] = f.at[safe]
		w.applies(f, instance, before, words)
	}
	return f
}

// sameWords says that a word of the first is a word of the second, or one of what else is allowed.
func (w *world) sameWords(v, of int, words, or uint64) {
	for m := words; m != 0; m &= m - 1 {
		word := m & -m
		w.clause(lit(v, w.problem.Domains[v]&^word), lit(of, (word|or)&w.problem.Domains[of]))
	}
}

// assumed is a variable with the worst in place of the unknown.
func (w *world) assumed(told int, words, worst uint64) int {
	v := w.variable(words)
	w.sameWords(v, told, words&^worst, 0)
	w.clause(lit(v, words&^worst), lit(told, worst|notKnown))
	return v
}

// applies ties a fact's having a meaning to its condition, for each pair of eyes. Where it is not known whether the fact applies,
// nothing is known about it.
func (w *world) applies(f *fact, instance string, before [views]int, words uint64) {
	when := base.Condition{All: f.kind.Applies}
	for _, v := range []view{actual, said, safe} {
		at := f.at[v]
		sure, maybe := w.condition(when, instance, v, certain), w.condition(when, instance, v, possible)
		w.claim(w.not(sure), lit(at, w.problem.Domains[at]&^noMeaning))
		w.claim(maybe, lit(at, noMeaning))
		if v == actual {
			continue
		}
		w.claim(sure, lit(at, noMeaning|notKnown))
		w.claim(w.not(maybe), lit(at, words|notKnown))
		w.sameWords(at, before[v], words, 0)
		w.claim(w.not(sure), lit(at, words|noMeaning), lit(before[v], notKnown&w.problem.Domains[before[v]]))
	}
}
