package proof

import (
	"slices"
	"strings"

	"asleft/config/setting"
	"asleft/rules/base"
	"asleft/rules/internal/search"
)

// fires is the formula that a rule fires for an instance, or may.
func (w *world) fires(r *base.Rule, instance string, q rail) formula {
	v := said
	if r.Level == base.Safety {
		v = safe
	}
	return w.present(r.Each, instance, w.condition(r.When, instance, v, q), false)
}

// constraints keeps out what no install can be. Each is said of what the job says. Of what is so, whether the job says it or not, only
// those are said that speak of the install itself: a fact that a reader works out follows from what is said, and from nothing else.
func (w *world) constraints() {
	for _, c := range w.base.Constraints {
		views := []view{said, whole}
		if trusting(c.Never) != "" {
			views = views[:1]
		}
		for _, v := range views {
			for _, instance := range w.instancesOf(c.Each) {
				never := w.condition(base.Condition{All: c.Never}, instance, v, certain)
				w.claim(w.not(w.present(c.Each, instance, never, false)))
			}
		}
	}
}

// shuts lists the scopes of which a refusal leaves no keying card.
func shuts(scope string) bool { return scope == "remote-start" || scope == "job" }

// carded says that nothing refuses remote start or the job. A rule that only may fire leaves the start open, and an open one has no card
// either; that is counted only where these eyes see as much as the engine's, which is with facts alone.
func (w *world) carded() {
	for _, r := range w.base.Rules {
		if shuts(r.Refuse) {
			w.silent(r, "", lit(w.card, no))
		}
	}
}

// silent says that a refusing rule does not fire; instance "" stands for all.
func (w *world) silent(r *base.Rule, only string, unless ...search.Literal) {
	q := certain
	if w.clear(r) {
		q = possible
	}
	for _, instance := range w.instancesOf(r.Each) {
		if only == "" || instance == only {
			w.claim(w.not(w.fires(r, instance, q)), unless...)
		}
	}
}

// clear reports whether these eyes see a rule's condition exactly as the engine's do: it reads no setting, and no fact of which it may not
// be known whether it has a meaning.
func (w *world) clear(r *base.Rule) bool {
	exact := true
	for _, l := range r.When.Lines() {
		l.Leaves(func(leaf *base.Line, _ string) {
			if leaf.Subject != base.OfFact {
				exact = exact && leaf.Subject == base.OfCan
				return
			}
			t, _, _ := w.base.Fact(leaf.Name)
			for _, a := range t.Applies {
				of, _, _ := w.base.Fact(a.Name)
				exact = exact && of != nil && of.Worst == "" && len(of.Applies) == 0
			}
		})
	}
	return exact
}

// says is what a rule says about one setting of a group.
type says struct {
	rule     *base.Rule
	instance string
	at       int
	effect   base.Effect
	mask     uint64   // choices left
	prefer   []uint64 // in order, in place of the mask: the first that leaves something is taken
	bound    bool     // by a number of the install: the choices left are not known here
	none     bool     // the setting has no meaning
}

// hard reports whether it bars choices whatever is wished, and which ones is known.
func (s says) hard() bool { return s.rule.Level.Hard() && !s.none && !s.bound && s.prefer == nil }

// limits reports whether it bars choices whatever is wished, be it by a number of the install.
func (s says) limits() bool { return s.rule.Level.Hard() && !s.none && s.prefer == nil }

// saying gathers what rules say about the settings of each group.
func (w *world) saying() [][]says {
	out := make([][]says, len(w.groups))
	for _, r := range w.base.Rules {
		for _, instance := range w.instancesOf(r.Each) {
			for _, e := range r.Effects {
				name := base.Fill(e.Setting, instance)
				for _, i := range w.home[name] {
					s := w.groups[i].effect(name, e)
					s.rule, s.instance = r, instance
					out[i] = append(out[i], s)
				}
			}
			for _, pattern := range r.NotApplicable {
				for _, name := range w.matching(base.Fill(pattern, instance)) {
					for _, i := range w.home[name] {
						at := slices.Index(w.groups[i].settings, name)
						out[i] = append(out[i], says{rule: r, instance: instance, at: at, none: true})
					}
				}
			}
		}
	}
	return out
}

// matching are the settings of the shape that a name or a pattern stands for.
func (w *world) matching(name string) []string {
	if name == strings.ToLower(name) {
		return []string{name}
	}
	var out []string
	for _, s := range sorted(w.home) {
		if f, ok := setting.Find(s); ok && f.Pattern == name {
			out = append(out, s)
		}
	}
	return out
}

// settings says what hard rules leave of each group.
func (w *world) settings() {
	asked := w.asked()
	for i, list := range w.saying() {
		w.group(i, list, asked[i])
	}
}

// asked are the groups that some rule reads.
func (w *world) asked() map[int]bool {
	out := map[int]bool{}
	for _, r := range w.base.Rules {
		for _, pattern := range r.Reads() {
			for _, name := range append(w.matching(pattern), pattern) {
				for _, i := range w.home[name] {
					out[i] = true
				}
			}
		}
	}
	return out
}

// group says that a choice fulfils every hard rule that fires, with three ways out: the setting has no meaning; the rules leave nothing, and
// only a smaller thing than remote start is refused for it; or remote start is not wanted and a missing fact leaves the setting open. Then
// what safety leaves is keyed, and where safety bars nothing, the device holds what it held: so only the rules below safety have the last two
// ways out. Safety has one where it leaves nothing itself. A wanted start has no card while a setting is open, and what is keyed of an
// open one is safe whatever turns out; so a choice also fulfils the rules of which the engine does not know whether they fire, and that do.
func (w *world) group(i int, list []says, asked bool) {
	w.emptied = append(w.emptied, w.empties(i, list, base.PolicyLimit))
	w.refused = append(w.refused, w.empties(i, list, base.Safety))
	ways := []search.Literal{lit(w.emptied[i], yes)}
	var open []int
	for at := range w.groups[i].settings {
		open = append(open, w.opens(i, list, at))
		ways = append(ways, lit(open[at], yes))
	}
	w.open = append(w.open, open)
	for _, s := range list {
		if !s.hard() {
			continue
		}
		unless := []search.Literal{lit(w.keeps[i], no), lit(w.pick[i], s.mask), lit(open[s.at], yes), lit(w.emptied[i], yes)}
		if s.rule.Level == base.Safety {
			unless = []search.Literal{lit(w.keeps[i], no), lit(w.pick[i], s.mask), lit(w.refused[i], yes)}
		}
		if meaningless, any := w.meaningless(list, s.at); any {
			y := w.fresh()
			w.claim(meaningless, lit(y, no))
			unless = append(unless, lit(y, yes))
		}
		w.claim(w.not(w.fires(s.rule, s.instance, certain)), unless...)
		w.claim(w.not(w.truly(s.rule, s.instance)), unless...)
	}
	if asked {
		w.reading(i, list, ways)
	}
}

// truly is the formula that a rule would fire if what is missing were known, but for what safety assumes.
func (w *world) truly(r *base.Rule, instance string) formula {
	v := whole
	if r.Level == base.Safety {
		v = borne
	}
	return w.present(r.Each, instance, w.condition(r.When, instance, v, certain), false)
}

// limited are the formulas that the shop's policy limits a setting of the group, which may bar anything.
func (w *world) limited(i int) []formula {
	var out []formula
	for _, name := range w.groups[i].settings {
		f := w.fact("limit." + name)
		out = append(out, literal(f.at[said], 1<<slices.Index(f.kind.Domain, base.Given)))
	}
	return out
}

// meaningless is the formula that a rule takes the meaning of a setting away; false when no rule ever does. Only a rule that fires does;
// where these eyes see less than the engine's, one that may fire is taken for one.
func (w *world) meaningless(list []says, at int) (formula, bool) {
	any := some()
	for _, s := range list {
		if !s.none || s.at != at {
			continue
		}
		q := possible
		if w.clear(s.rule) {
			q = certain
		}
		any.kids = append(any.kids, w.fires(s.rule, s.instance, q))
	}
	return any, len(any.kids) > 0
}

// empties makes a variable that is yes only if the rules of a level and above leave nothing of a group and one of the hard rules names a scope
// that goes without. At the level of the shop's limits a limit may bar a choice as well; a number of the install may at any level.
func (w *world) empties(i int, list []says, level base.Level) int {
	y := w.fresh()
	soft := some()
	for _, s := range list {
		if s.limits() && s.rule.Unmet != "" && !shuts(s.rule.Unmet) {
			soft.kids = append(soft.kids, w.fires(s.rule, s.instance, possible))
		}
	}
	w.claim(soft, lit(y, no))
	if len(soft.kids) == 0 {
		return y
	}
	for c := range w.groups[i].choices {
		barred := some()
		if level == base.PolicyLimit {
			barred.kids = w.limited(i)
		}
		for _, s := range list {
			if s.limits() && s.rule.Level <= level && (s.bound || s.mask&(1<<c) == 0) {
				barred.kids = append(barred.kids, w.fires(s.rule, s.instance, possible))
			}
		}
		w.claim(barred, lit(y, no))
	}
	return y
}

// opens makes a variable that is yes only if remote start is not wanted, it is not known whether some rule about the group fires, and the rules
// that are known to fire leave a setting two values, or one that a rule of which it is not known bars.
func (w *world) opens(i int, list []says, at int) int {
	y := w.fresh()
	wanted := w.fact("start.wanted")
	w.clause(lit(y, no), lit(wanted.at[said], 1<<slices.Index(wanted.kind.Domain, "no")))
	w.claim(w.unsure(list, func(s says) bool { return s.none || s.limits() }), lit(y, no))
	domain := w.problem.Domains[w.pick[i]]
	one, other, barred := w.variable(domain), w.variable(domain), w.fresh()
	w.leaves(list, one, lit(y, no))
	w.leaves(list, other, lit(y, no), lit(barred, yes))
	for _, value := range w.groups[i].values(at) {
		w.clause(lit(y, no), lit(barred, yes), lit(one, domain&^value), lit(other, domain&^value))
	}
	bars := some()
	for _, s := range list {
		if s.bound {
			s.mask = 0
		}
		if s.limits() && s.at == at {
			bars.kids = append(bars.kids, all(w.unsure([]says{s}, func(says) bool { return true }), literal(one, domain&^s.mask)))
		}
	}
	w.claim(bars, lit(barred, no))
	return y
}

// values are the choices of each value of a setting.
func (g *group) values(at int) []uint64 {
	var out []uint64
	for i, c := range g.choices {
		if first := slices.IndexFunc(g.choices, func(o []string) bool { return o[at] == c[at] }); first == i {
			out = append(out, g.mask(g.settings[at], []string{c[at]}))
		}
	}
	return out
}

// leaves says that the rules known to fire leave a choice, unless one of the literals holds.
func (w *world) leaves(list []says, choice int, unless ...search.Literal) {
	for _, s := range list {
		if !s.hard() {
			continue
		}
		or := append([]search.Literal{lit(choice, s.mask)}, unless...)
		if meaningless, any := w.meaningless(list, s.at); any {
			y := w.fresh()
			w.claim(meaningless, lit(y, no))
			or = append(or, lit(y, yes))
		}
		w.claim(w.not(w.fires(s.rule, s.instance, certain)), or...)
	}
}

// unsure is the formula that it is not known whether one of the rules fires.
func (w *world) unsure(list []says, counts func(says) bool) formula {
	any := some()
	for _, s := range list {
		if counts(s) {
			any.kids = append(any.kids, all(w.fires(s.rule, s.instance, possible), w.not(w.fires(s.rule, s.instance, certain))))
		}
	}
	return any
}

// reading gives a group a second variable for what rules read of it, which may be "not known" where the choice is open, or where
// nobody knows whether a setting of the group has a meaning.
func (w *world) reading(i int, list []says, ways []search.Literal) {
	domain := w.problem.Domains[w.pick[i]]
	v := w.read[i]
	for m := domain; m != 0; m &= m - 1 {
		choice := m & -m
		w.clause(lit(v, w.problem.Domains[v]&^choice), lit(w.pick[i], choice))
	}
	w.claim(w.unsure(list, func(s says) bool { return s.none }), append([]search.Literal{lit(v, domain)}, ways...)...)
}
