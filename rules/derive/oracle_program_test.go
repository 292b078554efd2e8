package derive_test

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// world is what one call of the solver is asked about: files as they were written, read by the house's TOML reader and by nothing
// else of the house.
type world struct {
	book     *rulebook
	profiles map[string]*tree // by id
	policy   *tree
	installs []*install

	// All installs of a call have the same devices: then no setting waits for another in a circle, whatever the install, and the solver
	// has nothing to guess. module is "" without one.
	controller, module string
}

// install is a job file with what stands beside it.
type install struct {
	job      *tree
	policied bool     // the shop's policy is read with it
	demands  []demand // of the button plan; pass 2 if not nil
	complete []string // facts that turn out in any way: pattern, a blank, instance
	open     []unit   // groups that these keep open
}

// unit is a group of one device of an install.
type unit struct {
	device string
	group  int
}

type demand struct{ device, setting, value string }

// node is a rule, constraint or commissioning test for one instance.
type node struct {
	index    int
	rule     ruleText
	instance string
}

// write is the whole program. The second one is asked what all ways lead to in which missing facts can turn out.
func (w *world) write(second bool) *asp {
	a := &asp{second: second, book: w.book, policy: w.policy, bySet: map[string][]*group{}, names: map[string][]string{}, facts: map[string]bool{}, lines: map[string]maybe{}, asked: map[string]bool{}}
	a.say("%s%s%s%s", factsText, rolesText, exitText, deviceText)
	if second {
		a.say("%s", completeText)
	} else {
		a.say("#show. #show missing(I,F,N,W) : waits(I,W,K), lacks(I,K,F,N). #show reads(I,W,D,S) : waits(I,W,K), listens(I,K,D,S). #defined waits/3. #defined lacks/4. #defined listens/4. #defined complete/3.")
	}
	a.documents(w)
	a.gather(w)
	for _, r := range w.book.rules {
		for _, instance := range a.instances(r.each) {
			a.rules = append(a.rules, node{len(a.rules), r, instance})
		}
	}
	for _, n := range a.rules {
		a.rule(n)
	}
	for _, g := range a.groups {
		a.walk(g)
	}
	a.tests(w.book)
	return a
}

// documents writes what stands in the files.
func (a *asp) documents(w *world) {
	a.say("#defined tab/2. #defined e/3.")
	for _, id := range sorted(w.profiles) {
		w.profiles[id].write(&a.Builder, strconv.Quote(id), nil)
	}
	for _, kind := range sorted(w.book.kinds) {
		for _, word := range w.book.kinds[kind] {
			a.say("fixed(%q,%q).", kind, word)
		}
		a.names[kind] = w.book.kinds[kind]
	}
	for i, in := range w.installs {
		for _, kind := range []string{"circuit", "opening", "function", "remote"} {
			a.name(kind, in.job.keys(kind))
		}
		for _, d := range in.job.keys("device") {
			p := w.profiles[in.job.str("device", d, "profile")]
			a.name("feed", p.keys("feed"))
			a.name("output", p.keys("output"))
		}
		if !a.second || len(in.complete) > 0 {
			a.install(i, in)
		}
	}
}

// install writes what one install says, and what is asked about it.
func (a *asp) install(i int, in *install) {
	for _, k := range in.job.keys("vehicle", "facts") {
		if _, ok := a.book.facts["vehicle."+k]; ok {
			a.say("vehiclefact(%q,%q).", "vehicle."+k, k)
		}
	}
	a.say("i(%d).", i)
	in.job.write(&a.Builder, strconv.Itoa(i), nil)
	if in.demands != nil {
		a.say("pass2(%d).", i)
	}
	for _, d := range in.demands {
		a.say("demand(%d,%q,%q,%q).", i, d.device, d.setting, d.value)
		a.asked[d.setting] = true
	}
	for _, f := range in.complete {
		pattern, instance, _ := strings.Cut(f, " ")
		a.say("complete(%d,%q,%q).", i, pattern, instance)
	}
	for _, u := range in.open {
		a.say("wasopen(%d,%q,%d).", i, u.device, u.group)
	}
}

// name adds instances of a kind.
func (a *asp) name(kind string, names []string) {
	for _, n := range names {
		if !slices.Contains(a.names[kind], n) {
			a.names[kind] = append(a.names[kind], n)
		}
	}
}

// gather makes the groups of all devices of the world, and of the settings that no device of some install has.
func (a *asp) gather(w *world) {
	for _, id := range sorted(w.profiles) {
		if id == w.controller || id == w.module {
			a.add(readGroups(id, w.profiles[id])...)
		}
	}
	for _, name := range a.names["remote"] {
		done := map[string]bool{}
		for _, in := range w.installs {
			if id := in.job.str("remote", name, "profile"); id != "" && in.demands != nil && !done[id] {
				done[id] = true
				a.add(gestures(id, name, w.profiles[id])...)
			}
		}
	}
	a.say("#defined hasset/2. #defined gesture/3. #defined spoken/2. #defined planned/1. #defined policied/1. #defined pass2/1.")
	for _, g := range a.groups {
		for _, s := range g.settings {
			if g.remote != "" {
				a.say("gesture(%q,%q,%q).", g.profile, g.remote, s)
			} else {
				a.say("hasset(%q,%q).", g.profile, s)
			}
		}
	}
	a.virtuals()
	a.people(w)
}

func (a *asp) add(groups ...*group) {
	for _, g := range groups {
		g.index = len(a.groups)
		a.groups = append(a.groups, g)
		for _, s := range g.settings {
			a.bySet[s] = append(a.bySet[s], g)
		}
	}
}

// virtuals makes a group of each setting that rules speak of.
func (a *asp) virtuals() {
	done := map[string]bool{}
	for _, r := range a.book.rules {
		for _, e := range r.effects {
			for _, instance := range a.instances(r.each) {
				name := fill(e.setting, instance)
				if r.each == "" {
					a.say("spoken(I,%q) :- i(I).", name)
				} else {
					a.say("spoken(I,%q) :- inst(I,%q,%q).", name, r.each, instance)
				}
				if done[name] {
					continue
				}
				done[name] = true
				if ofPlan(name) {
					a.say("planned(%q).", name)
				}
				if g := a.book.virtual(name); g != nil {
					a.add(g)
				}
			}
		}
	}
}

// people writes wishes and policy, as far as facts are made of them; patterns of the vocabulary stand for what devices have.
func (a *asp) people(w *world) {
	a.say("#defined wish/5. #defined demand/4. #defined homeless/2.")
	for i, in := range w.installs {
		if in.policied {
			a.say("policied(%d).", i)
			for _, kind := range []string{"limit", "default"} {
				for _, name := range w.policy.keys(kind) {
					s := w.policy.str(kind, name, "setting")
					a.say("%s.", map[string]string{"limit": fmt.Sprintf("limit(%d,%q,%q)", i, name, s), "default": fmt.Sprintf("default(%d,%q,%q,%q)", i, name, s, w.policy.str(kind, name, "value"))}[kind])
				}
			}
		}
		for _, name := range in.job.keys("wish") {
			t := in.job.get("wish", name)
			s, device := t.str("setting"), t.str("device")
			if device == "" {
				device = "controller"
			}
			v := canonical(s, t.str("value"))
			a.say("wished(%d,%q,%q). wish(%d,%q,%q,%q,%q).", i, name, v, i, name, s, v, device)
			a.asked[s] = true
			if f, ok := family(s); ok && f.Kind == "word" {
				a.say("wordy(%q).", s)
			}
		}
	}
	if !a.second {
		a.say("homeless(I,W) :- wish(I,W,S,_,D), not has(I,S,D). #show unmet(I,W) : homeless(I,W).")
	}
}

// rule writes when a rule holds: safety rules assume the worst of what nobody knows.
func (a *asp) rule(n node) {
	safety := n.rule.level == levels[0]
	x := map[bool]string{true: "a", false: "s"}[safety]
	g := "i(I)"
	if n.rule.each != "" {
		g = fmt.Sprintf("inst(I,%q,%q)", n.rule.each, n.instance)
	}
	views := "X = s, "
	if safety {
		views = "view(X), "
	}
	a.condition(n.index, views+g, n.rule, n.instance)
	i := n.index
	a.say("#defined true_%d/1. #defined unknown_%d/1. #defined assumed_%d/1. #defined y_%d/2. #defined n_%d/2.", i, i, i, i, i)
	a.say("true_%d(I) :- y_%d(%s,I), not n_%d(%s,I). unknown_%d(I) :- y_%d(%s,I), n_%d(%s,I).", i, i, x, i, x, i, i, x, i, x)
	if safety {
		a.say("assumed_%d(I) :- true_%d(I), n_%d(s,I).", i, i, i)
	}
	if n.rule.refuse == "remote-start" || n.rule.refuse == "job" {
		a.say("startrefused(I) :- y_%d(s,I), not n_%d(s,I). startunsure(I) :- y_%d(s,I), n_%d(s,I).", i, i, i, i)
	}
	if a.second {
		return
	}
	if n.rule.refuse != "" || n.rule.caution || len(n.rule.prove) > 0 {
		a.say("#show true(I,%d) : true_%d(I). #show unknown(I,%d) : unknown_%d(I). #show assumed(I,%d) : assumed_%d(I).", i, i, i, i, i, i)
	}
	if n.rule.refuse != "" {
		scope := map[bool]string{true: n.rule.refuse + "_" + n.instance, false: n.rule.refuse}[n.rule.refuse == "function"] // no blank: answers are split at blanks
		a.say("waits(I,%q,%d) :- unknown_%d(I). waits(I,%q,%d) :- assumed_%d(I).", scope, i, i, scope, i, i)
	}
	a.lacking(n)
}

// lacking writes which missing facts a rule waits for, and which settings it reads: those of lines that are unknown, where nothing is
// assumed.
func (a *asp) lacking(n node) {
	for _, text := range slices.Concat(n.rule.all, n.rule.any, n.rule.none) {
		m := a.line(text, n.instance)
		both := fmt.Sprintf("waits(I,_,%d), X = s, %s, %s", n.index, m.yes, m.no)
		for _, f := range a.leaves(text, n.instance) {
			pattern, instance, _ := a.book.factNamed(f)
			a.say("lacks(I,%d,%q,%q) :- %s, missing(I,%q,%q).", n.index, pattern, instance, both, pattern, instance)
		}
		if name, ok := strings.CutPrefix(text, "setting "); ok {
			name, _, _ = strings.Cut(name, " ")
			a.say("listens(I,%d,D,%q) :- %s, first(I,%q,D).", n.index, fill(name, n.instance), both, fill(name, n.instance))
		}
	}
}

// leaves are the facts that a line reads; no line about all of a kind reads a setting.
func (a *asp) leaves(text, instance string) []string {
	for _, q := range []string{"at most one ", "every ", "some ", "no "} {
		if rest, ok := strings.CutPrefix(text, q); ok {
			kind, inner, _ := strings.Cut(rest, ": ")
			var out []string
			for _, name := range a.names[kind] {
				for _, line := range strings.Split(inner, " and ") {
					out = append(out, a.leaves(line, name)...)
				}
			}
			return out
		}
	}
	switch first, _, _ := strings.Cut(text, " "); first {
	case "can", "cannot", "setting":
		return nil
	default:
		return []string{fill(first, instance)}
	}
}

// tests writes which commissioning tests may apply, and what no install can be.
func (a *asp) tests(b *rulebook) {
	k := len(a.rules)
	for t, test := range b.tests {
		if a.second {
			break
		}
		for _, instance := range a.instances(test.each) {
			a.condition(k, strings.Replace(guard(test.each, instance), "view(X)", "X = s", 1), test.ruleText, instance)
			a.say("#defined y_%d/2. #show test(I,%d,%q) : y_%d(s,I).", k, t, instance, k)
			k++
		}
	}
	last := map[bool]string{true: ":- y_%[1]d(s,I), not n_%[1]d(s,I), complete(I,_,_).", false: "#show odd(I) : y_%[1]d(s,I), not n_%[1]d(s,I)."}[a.second]
	for _, c := range b.constraints {
		for _, instance := range a.instances(c.each) {
			a.condition(k, strings.Replace(guard(c.each, instance), "view(X)", "X = s", 1), c, instance)
			a.say("#defined y_%[1]d/2. #defined n_%[1]d/2. "+last, k)
			k++
		}
	}
}

// atom is one of the solver's answers.
type atom struct {
	name string
	args []string
}

// text is an argument without its quotes; number is one as a number.
func (x atom) text(i int) string {
	if s, err := strconv.Unquote(x.args[i]); err == nil {
		return s
	}
	return x.args[i]
}

func (x atom) number(i int) int {
	n, _ := strconv.Atoi(x.args[i])
	return n
}

// parseAtom takes name(a,b(c,d),"e") apart.
func parseAtom(text string) atom {
	name, rest, has := strings.Cut(text, "(")
	x := atom{name: name}
	if !has {
		return x
	}
	depth, from := 0, 0
	quoted := false
	for i, c := range rest {
		switch {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '(':
			depth++
		case depth > 0 && c == ')':
			depth--
		case depth == 0 && (c == ',' || c == ')'):
			x.args = append(x.args, rest[from:i])
			from = i + 1
		}
	}
	return x
}
