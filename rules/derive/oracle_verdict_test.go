package derive_test

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"asleft/rules/derive"
)

// answer is what the solver said about one install.
type answer struct {
	units   map[unit]*decision
	rules   map[int]truth
	tests   map[int][]string             // instances of commissioning tests that may apply
	missing map[string]map[string]string // fact -> what rests on it -> why: "open" or "key"
	reads   []reading                    // what rests on settings that may be open
	unmet   []string                     // names of wishes
	refused bool                         // however the missing facts turn out
	odd     bool                         // breaks a constraint of the catalogue: no way of turning out counts
}

// truth is that of a rule, as its level sees it; assumed is one that holds only because safety assumes the worst.
type truth struct{ holds, unknown, assumed bool }

// decision is how far a group of a device has come.
type decision struct {
	pick          int
	open, lost    bool
	settled       bool // however the missing facts turn out
	emptied       int  // level, -1
	clash         bool
	none          map[int]int          // place -> level
	several       map[[2]int]bool      // place and level: the level left several values
	barred        map[int]bool         // by place
	counts        []string             // constraints, of a group that failed
	risks         []string             // rules of safety, of an open group of which no choice is sure to be safe
	sets          map[string][][]int   // their choices, by set
	before, after map[int]map[int]bool // choices by level
}

// readAnswers sorts the atoms by install.
func readAnswers(atoms []atom, installs int) []*answer {
	out := make([]*answer, installs)
	for i := range out {
		out[i] = &answer{units: map[unit]*decision{}, rules: map[int]truth{}, tests: map[int][]string{}, missing: map[string]map[string]string{}}
	}
	for _, x := range atoms {
		out[x.number(0)].note(x)
	}
	return out
}

func (a *answer) note(x atom) {
	switch x.name {
	case "true", "unknown", "assumed":
		r := a.rules[x.number(1)]
		r.holds, r.unknown, r.assumed = r.holds || x.name == "true", r.unknown || x.name == "unknown", r.assumed || x.name == "assumed"
		a.rules[x.number(1)] = r
	case "test":
		a.tests[x.number(1)] = append(a.tests[x.number(1)], x.text(2))
	case "missing":
		a.noteMissing(x)
	case "reads":
		what, why := x.waiting(1)
		a.reads = append(a.reads, reading{what, why, x.text(2) + " " + x.text(3)})
	case "odd":
		a.odd = true
	case "unmet":
		a.unmet = append(a.unmet, x.text(1))
	default:
		u := unit{x.text(1), x.number(2)}
		if a.units[u] == nil {
			a.units[u] = &decision{emptied: -1, none: map[int]int{}, several: map[[2]int]bool{}, barred: map[int]bool{}, sets: map[string][][]int{}, before: map[int]map[int]bool{}, after: map[int]map[int]bool{}}
		}
		a.units[u].note(x)
	}
}

func (a *answer) noteMissing(x atom) {
	fact := fill(x.text(1), x.text(2))
	if a.missing[fact] == nil {
		a.missing[fact] = map[string]string{}
	}
	what, why := x.waiting(3)
	rests(a.missing[fact], what, why)
}

// reading says that something waits for a setting, and why.
type reading struct{ what, why, setting string }

// waiting is what waits: a setting, and why it does, or a scope.
func (x atom) waiting(i int) (what, why string) {
	w := parseAtom(x.args[i])
	if len(w.args) == 2 {
		return w.text(0) + " " + w.text(1), w.name
	}
	return strings.ReplaceAll(x.text(i), "_", " "), w.name
}

// rests notes that something rests on a fact; it reports whether that is new.
func rests(on map[string]string, what, why string) bool {
	have, ok := on[what]
	if ok && (have == "key" || why != "key") {
		return false
	}
	on[what] = why
	return true
}

// through is all that rests on each missing fact: what reads a setting that is still open rests on what that one rests on.
func (x *answer) through(a *asp) map[string]map[string]string {
	out := map[string]map[string]string{}
	for fact, direct := range x.missing {
		on := maps.Clone(direct)
		for again := true; again; {
			again = false
			for _, r := range x.reads {
				device, s, _ := strings.Cut(r.setting, " ")
				if _, ok := on[r.setting]; ok && x.stillOpen(a, device, s) {
					again = rests(on, r.what, r.why) || again
				}
			}
		}
		out[fact] = on
	}
	return out
}

func (d *decision) note(x atom) {
	put := func(m map[int]map[int]bool) {
		if m[x.number(3)] == nil {
			m[x.number(3)] = map[int]bool{}
		}
		m[x.number(3)][x.number(4)] = true
	}
	switch x.name {
	case "pick":
		d.pick = x.number(3)
	case "open":
		d.open = true
	case "lost":
		d.lost = true
	case "emptied":
		d.emptied = x.number(3)
	case "clash":
		d.clash = true
	case "none":
		if have, ok := d.none[x.number(3)]; !ok || x.number(4) < have {
			d.none[x.number(3)] = x.number(4)
		}
	case "several":
		d.several[[2]int{x.number(3), x.number(4)}] = true
	case "barred":
		d.barred[x.number(3)] = true
	case "counts":
		d.counts = append(d.counts, x.args[3])
	case "risk":
		d.risks = append(d.risks, x.args[3])
	case "in":
		k, j := x.args[3], x.number(4)
		for len(d.sets[k]) < j {
			d.sets[k] = append(d.sets[k], nil)
		}
		d.sets[k][j-1] = append(d.sets[k][j-1], x.number(5))
	case "before":
		put(d.before)
	case "after":
		put(d.after)
	}
}

// kind says how free a setting was left, and by which level.
func (d *decision) kind(g *group, at int) (derive.Kind, int) {
	level, none := d.none[at]
	switch {
	case none:
		return derive.NotApplicable, level
	case d.emptied >= 0:
		return derive.Impossible, d.emptied
	case d.clash:
		return derive.Impossible, wish
	case d.open && !d.settled && (d.left(g, at, policyLimit) || d.barred[at]):
		return derive.Open, len(levels) - 1
	case g.choices[d.pick][at] == "":
		return derive.NotApplicable, slices.Index(levels, "device")
	case g.profile != "" && !g.differs(at):
		return derive.Forced, slices.Index(levels, "device")
	}
	for level := range len(levels) - 1 {
		if !d.left(g, at, level) {
			if level <= policyLimit {
				return derive.Forced, level
			}
			return derive.Chosen, level
		}
	}
	return derive.Chosen, len(levels) - 1
}

// left reports whether the levels down to one left several values. Levels that say nothing are not in the answer.
func (d *decision) left(g *group, at, level int) bool {
	for ; level >= 0; level-- {
		if g.speaks[level] {
			return d.several[[2]int{at, level}]
		}
	}
	return g.differs(at)
}

// settings are the lines of an install's settings; settled ones have a value and nothing else that can be compared.
func (a *asp) settings(in *install, x *answer) []string {
	var out []string
	for u, d := range x.units {
		g := a.groups[u.group]
		for at, s := range g.settings {
			if ofPlan(s) && in.demands == nil || g.unlisted(d) {
				continue
			}
			kind, level := d.kind(g, at)
			line := fmt.Sprintf("setting %s %s: %s", u.device, s, kind)
			switch {
			case kind == derive.Open || kind == derive.Impossible:
			case d.settled:
				line = fmt.Sprintf("setting %s %s = %s settled", u.device, s, g.choices[d.pick][at])
			case d.open:
				line += " " + levels[level]
				if kind != derive.NotApplicable {
					line += ": " + g.choices[d.pick][at]
				}
			default:
				line += fmt.Sprintf(" = %s, %s%s", g.choices[d.pick][at], levels[level], g.position(s, d.pick))
			}
			out = append(out, line)
		}
	}
	return out
}

// unlisted reports whether no device has the setting and no rule asks for it here.
func (g *group) unlisted(d *decision) bool {
	return g.profile == "" && !d.lost && len(d.none) == 0 && d.emptied < 0
}

// position is the first option that sets the setting, with the position that it is put to.
func (g *group) position(s string, pick int) string {
	for i, o := range g.options {
		if slices.Contains(o.speaksOf(), s) {
			return ", " + o.id + ": " + g.places[pick][i]
		}
	}
	return ""
}

// conflict is what cannot hold together in a group: of all that counts, from the lowest level up, the least that still leaves nothing,
// the blame as far down as it can be.
func (a *asp) conflict(g *group, d *decision) []says {
	down := d.emptied
	if d.clash {
		down = wish
	}
	var all []says
	for _, k := range d.counts {
		if s := a.saying(g, k); s.level <= down {
			s.passes = d.passes(k, s)
			all = append(all, s)
		}
	}
	slices.SortStableFunc(all, func(x, y says) int { return x.compare(y) })
	for i := len(all) - 1; i >= 0; i-- { // the least blamed is let go first
		if rest := slices.Delete(slices.Clone(all), i, i+1); nothing(g, rest) {
			all = rest
		}
	}
	return all
}

// nothing reports whether no choice passes all.
func nothing(g *group, list []says) bool {
	for c := range g.choices {
		if !slices.ContainsFunc(list, func(s says) bool { return !s.passes[c] }) {
			return false
		}
	}
	return true
}

// says is a constraint in a conflict.
type says struct {
	level    int
	id, rule string
	scope    string // what is refused when it finds nothing left
	prefer   bool
	passes   map[int]bool
}

// compare puts lower levels first, and those of a level in the order of the walk.
func (s says) compare(o says) int {
	switch {
	case s.level != o.level:
		return o.level - s.level
	case s.prefer != o.prefer:
		return compareFlag(s.prefer, o.prefer)
	}
	return strings.Compare(s.id, o.id)
}

// saying finds a constraint by the solver's term.
func (a *asp) saying(g *group, term string) says {
	x := parseAtom(term)
	switch x.name {
	case "w":
		return says{level: wish, id: "wish " + x.text(0) + " " + g.settings[x.number(1)], rule: "wish"}
	case "d":
		return says{level: wiring, id: "demand " + x.text(0), rule: "button plan"}
	}
	k, _ := strconv.Atoi(term)
	c := g.list[k]
	s := says{level: c.level, id: c.id, prefer: c.prefer, rule: "policy limit"}
	if c.node >= 0 {
		n := a.rules[c.node]
		s.rule, s.scope = n.rule.id, n.rule.unmet
		if s.scope == "function" {
			s.scope += " " + n.instance
		}
	}
	return s
}

// passes are the choices that a constraint let pass; of a preference those of the first set that found something and kept it.
func (d *decision) passes(k string, s says) map[int]bool {
	out := map[int]bool{}
	if !s.prefer {
		for _, c := range slices.Concat(d.sets[k]...) {
			out[c] = true
		}
		return out
	}
	for _, set := range d.sets[k] {
		if slices.ContainsFunc(set, func(c int) bool { return d.before[s.level][c] }) {
			if slices.ContainsFunc(set, func(c int) bool { return d.after[s.level][c] }) {
				for _, c := range set {
					out[c] = true
				}
				return out
			}
			break
		}
	}
	for c := range 64 {
		out[c] = true
	}
	return out
}
