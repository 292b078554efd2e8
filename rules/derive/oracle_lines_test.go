package derive_test

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/setting"
)

// asp writes sentences as an answer set program. Each sentence becomes two atoms: it may be true, and it may be false; a sentence
// of which both hold is unknown. That is strong Kleene logic, said without a third value.
type asp struct {
	strings.Builder
	book   *rulebook
	groups []*group
	bySet  map[string][]*group
	names  map[string][]string // instances by kind, of all installs of a call together
	facts  map[string]bool     // facts that are written already, by pattern and instance
	lines  map[string]maybe    // sentences that are written already
	nodes  int
	rules  []node          // in the order of levels and ids, one for each instance
	policy *tree           // the shop's
	asked  map[string]bool // settings that somebody wishes or demands
	second bool            // the missing facts turn out in all ways, and only what they all lead to is asked
}

// maybe are the two atoms of a sentence. X stands for the view (what safety sees, or what all others see), I for the install.
type maybe struct{ yes, no string }

func (a *asp) say(format string, args ...any) { fmt.Fprintf(&a.Builder, format+"\n", args...) }

func (a *asp) fresh() int {
	a.nodes++
	return a.nodes
}

// noWord is what a fact without meaning has in place of a value.
const noWord = "~"

// tell writes what the catalogue says about a fact, once.
func (a *asp) tell(name string) (pattern, instance string, f factText) {
	pattern, instance, f = a.book.factNamed(name)
	key := pattern + " " + instance
	if a.facts[key] {
		return pattern, instance, f
	}
	a.facts[key] = true
	a.say("asksabout(%q,%q,%q).", pattern, instance, f.each)
	for _, w := range f.domain {
		a.say("word(%q,%q).", pattern, w)
	}
	if f.absent != "" {
		a.say("absent(%q,%q).", pattern, f.absent)
	}
	if f.worst != "" {
		a.say("worst(%q,%q).", pattern, f.worst)
	}
	subject, rest, _ := strings.Cut(name, ".")
	if slices.Contains([]string{"wish", "limit", "default", "known"}, subject) && a.book.facts[name].domain == nil {
		a.say("%sfact(%q,%q).", subject, name, rest)
	}
	if len(f.applies) > 0 {
		var yes []string
		for _, text := range f.applies {
			m := a.line(text, instance)
			yes = append(yes, m.yes)
			a.say("an(%q,%q,X,I) :- %s.", pattern, instance, m.no)
		}
		a.say("applies(%q). ay(%q,%q,X,I) :- %s.", pattern, pattern, instance, strings.Join(yes, ", "))
	}
	return pattern, instance, f
}

// line writes one sentence for an instance.
func (a *asp) line(text, instance string) maybe {
	key := text + "\x00" + instance
	if !strings.Contains(text, "NAME") {
		key = text
	}
	if m, ok := a.lines[key]; ok {
		return m
	}
	m := a.sentence(text, instance)
	a.lines[key] = m
	return m
}

func (a *asp) sentence(text, instance string) maybe {
	for _, q := range []string{"at most one ", "every ", "some ", "no "} {
		if rest, ok := strings.CutPrefix(text, q); ok {
			kind, inner, _ := strings.Cut(rest, ": ")
			return a.over(strings.TrimSpace(q), kind, strings.Split(inner, " and "))
		}
	}
	words := strings.Split(text, " ")
	switch words[0] {
	case "can", "cannot":
		return a.can(fill(words[2], instance), alternatives(words[4:]), words[0] == "cannot")
	case "setting":
		values, not := afterIs(words[3:])
		return a.setting(fill(words[1], instance), values, not)
	}
	values, not := afterIs(words[2:])
	return a.fact(fill(words[0], instance), values, not)
}

// afterIs reads "not a or b".
func afterIs(words []string) (values []string, not bool) {
	if words[0] == "not" {
		return alternatives(words[1:]), true
	}
	return alternatives(words), false
}

func alternatives(words []string) []string {
	var out []string
	for i := 0; i < len(words); i += 2 {
		out = append(out, words[i])
	}
	return out
}

func (a *asp) fact(name string, values []string, not bool) maybe {
	pattern, instance, f := a.tell(name)
	n := a.fresh()
	a.say("leaf(%d,%q,%q).", n, pattern, instance)
	for _, w := range append(slices.Clone(f.domain), noWord) {
		if slices.Contains(values, w) != not {
			a.say("in(%d,%q).", n, w)
		}
	}
	return maybe{fmt.Sprintf("fy(%d,X,I)", n), fmt.Sprintf("fn(%d,X,I)", n)}
}

// can asks what the devices are able to do; that is always known.
func (a *asp) can(name string, values []string, not bool) maybe {
	n := a.fresh()
	for i := range values {
		values[i] = canonical(name, values[i])
	}
	a.say("#defined able_%d/1.", n)
	for _, g := range a.bySet[name] {
		at := slices.Index(g.settings, name)
		if g.profile != "" && slices.ContainsFunc(g.choices, func(c []string) bool { return slices.Contains(values, c[at]) }) {
			a.say("able_%d(I) :- unit%d(I,_).", n, g.index)
		}
	}
	a.say("unable_%d(I) :- i(I), not able_%d(I).", n, n)
	if not {
		return maybe{fmt.Sprintf("unable_%d(I)", n), fmt.Sprintf("able_%d(I)", n)}
	}
	return maybe{fmt.Sprintf("able_%d(I)", n), fmt.Sprintf("unable_%d(I)", n)}
}

// setting asks what the first device that has the setting can still be set to.
func (a *asp) setting(name string, values []string, not bool) maybe {
	n := a.fresh()
	for i := range values {
		values[i] = canonical(name, values[i])
	}
	a.say("#defined sy_%d/1. #defined sn_%d/1.", n, n)
	for _, g := range a.bySet[name] {
		at := slices.Index(g.settings, name)
		for c, choice := range g.choices {
			which := "sn"
			if slices.Contains(values, choice[at]) != not {
				which = "sy"
			}
			a.say("%s_%d(I) :- first(I,%q,D), poss%d(I,D,%d).", which, n, name, g.index, c)
		}
	}
	which := "sn"
	if not {
		which = "sy"
	}
	a.say("%s_%d(I) :- i(I), not first(I,%q,_).", which, n, name)
	return maybe{fmt.Sprintf("sy_%d(I)", n), fmt.Sprintf("sn_%d(I)", n)}
}

// over writes a sentence about all instances of a kind.
func (a *asp) over(quantifier, kind string, inner []string) maybe {
	n := a.fresh()
	for _, name := range a.names[kind] {
		var yes []string
		for _, text := range inner {
			m := a.line(text, name)
			yes = append(yes, m.yes)
			a.say("en_%d(%q,X,I) :- inst(I,%q,%q), view(X), %s.", n, name, kind, name, m.no)
		}
		a.say("ey_%d(%q,X,I) :- inst(I,%q,%q), view(X), %s.", n, name, kind, name, strings.Join(yes, ", "))
	}
	yes, no := fmt.Sprintf("qy_%d(X,I)", n), fmt.Sprintf("qn_%d(X,I)", n)
	// For sure false, and for sure true.
	a.say("ef_%d(X,I) :- inst(I,%q,N), view(X), not ey_%d(N,X,I).", n, kind, n)
	a.say("et_%d(N,X,I) :- inst(I,%q,N), view(X), not en_%d(N,X,I).", n, kind, n)
	switch quantifier {
	case "every":
		a.say("%s :- view(X), i(I), not ef_%d(X,I). %s :- en_%d(_,X,I).", yes, n, no, n)
	case "some":
		a.say("ea_%d(X,I) :- et_%d(_,X,I). %s :- ey_%d(_,X,I). %s :- view(X), i(I), not ea_%d(X,I).", n, n, yes, n, no, n)
	case "no":
		a.say("ea_%d(X,I) :- et_%d(_,X,I). %s :- view(X), i(I), not ea_%d(X,I). %s :- ey_%d(_,X,I).", n, n, yes, n, no, n)
	default:
		a.say("ea_%d(X,I) :- et_%d(N,X,I), et_%d(M,X,I), N != M.", n, n, n)
		a.say("%s :- view(X), i(I), not ea_%d(X,I). %s :- ey_%d(N,X,I), ey_%d(M,X,I), N != M.", yes, n, no, n, n)
	}
	return maybe{yes, no}
}

// condition writes when a rule may fire (y) and may not (n), in the view X.
func (a *asp) condition(n int, guard string, r ruleText, instance string) {
	var yes []string
	for _, text := range r.all {
		m := a.line(text, instance)
		yes = append(yes, m.yes)
		a.say("n_%d(X,I) :- %s, %s.", n, guard, m.no)
	}
	for _, text := range r.none {
		m := a.line(text, instance)
		yes = append(yes, m.no)
		a.say("n_%d(X,I) :- %s, %s.", n, guard, m.yes)
	}
	if len(r.any) > 0 {
		var no []string
		for _, text := range r.any {
			m := a.line(text, instance)
			a.say("any_%d(X,I) :- %s, %s.", n, guard, m.yes)
			no = append(no, m.no)
		}
		a.say("n_%d(X,I) :- %s, %s.", n, guard, strings.Join(no, ", "))
		yes = append(yes, fmt.Sprintf("any_%d(X,I)", n))
	}
	a.say("y_%d(X,I) :- %s.", n, strings.Join(append([]string{guard}, yes...), ", "))
}

// instances are those of a kind; a rule without one has one nameless instance.
func (a *asp) instances(kind string) []string {
	if kind == "" {
		return []string{""}
	}
	return a.names[kind]
}

func guard(kind, instance string) string {
	if kind == "" {
		return "view(X), i(I)"
	}
	return fmt.Sprintf("view(X), inst(I,%q,%q)", kind, instance)
}

// ofPlan tells settings that are decided from the button plan.
func ofPlan(name string) bool {
	return strings.HasPrefix(name, "aux.") || strings.HasPrefix(name, "state-output.") || strings.HasPrefix(name, "remote.")
}

// isPattern tells a name that stands for many settings.
func isPattern(name string) bool { return strings.ToLower(name) != name }

// meant reports whether a name or pattern stands for a setting.
func meant(name, s string) bool {
	if !isPattern(name) {
		return name == s
	}
	f, ok := setting.Find(s)
	return ok && f.Pattern == name
}
