package derive

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"asleft/config/source"
	"asleft/rules/base"
)

// noMeaning is the bit of a fact that does not apply. It is in no "is" and in every "is not".
const noMeaning = uint64(1) << 63

// program is a rule base brought down to one set of devices and instances: propositions over variables. A
// variable is a fact (one bit a word) or a group of settings (one bit a choice). What a variable can still be
// is a machine word: one bit when it is known, several when it is not.
type program struct {
	facts  *base.Facts
	vars   []variable
	byName map[string]int32 // facts by name

	groups   []*group
	order    []int32            // groups in the order in which they are decided
	bySet    map[string][]int32 // groups that have the setting, first the controller's
	tests    []test
	rules    []ruleCode
	needs    []testCode
	applying []applyCode // facts with a condition, after the facts they read
	nogoods  []applyCode // constraints of the catalogue, as conditions that never hold
	homeless []homeless
	units    []test // memory of clauses while compiling
	clauses  cnf    // and of conditions
}

// variable is a fact or a group.
type variable struct {
	fact  *base.FactType // nil for a group
	name  string
	group int32
	full  uint64 // every value, and noMeaning for facts
	worst uint64 // of a fact, the bit that safety assumes when unknown; 0 for none
}

// test holds when the variable is inside the mask. Tests of a clause are alternatives; a condition is a list
// of clauses.
type test struct {
	v    int32
	last bool // ends its clause
	mask uint64
}

// span is a part of program.tests.
type span struct{ from, to int32 }

// ruleCode is a rule for one instance.
type ruleCode struct {
	rule     *base.Rule
	instance string
	when     span
	stage    int32 // number of groups, in their order, that must be decided before
	never    bool  // the condition is false whatever the facts
}

// testCode is a commissioning test for one instance.
type testCode struct {
	test     *base.Test
	instance string
	when     span
	never    bool
}

// applyCode is a fact that only sometimes has a meaning.
type applyCode struct {
	v     int32
	when  span
	never bool
}

// compile brings the rule base down to the install. The error is source.Problems: a device whose options tie
// together settings that rules decide one after the other.
func compile(in Input, facts *base.Facts) (*program, error) {
	p := &program{facts: facts, byName: make(map[string]int32, len(facts.Base.Facts)), bySet: map[string][]int32{}}
	p.rules = make([]ruleCode, 0, 2*len(facts.Base.Rules)) // about as many as come out, so that little is moved while they grow
	p.tests = make([]test, 0, 6*len(facts.Base.Rules))
	if err := p.addDevices(in); err != nil {
		return nil, err
	}
	p.addVirtual(in)
	for _, g := range p.groups {
		g.v = int32(len(p.vars))
		p.vars = append(p.vars, variable{name: g.name(), group: g.index, full: g.full})
	}
	p.lowerRules()
	p.lowerConstraints()
	p.lowerApplies()
	if err := p.arrange(); err != nil {
		return nil, err
	}
	p.constrain(in)
	return p, nil
}

// fact is the variable of a fact by its full name; it is made when first asked for.
func (p *program) fact(name string) int32 {
	if v, ok := p.byName[name]; ok {
		return v
	}
	t, _, ok := p.facts.Base.Fact(name)
	if !ok {
		panic("rules/derive: there is no fact " + name)
	}
	v := int32(len(p.vars))
	x := variable{fact: t, name: name, group: -1, full: noMeaning | bitsBelow(len(t.Domain))}
	if i := slices.Index(t.Domain, t.Worst); i >= 0 {
		x.worst = 1 << i
	}
	p.vars = append(p.vars, x)
	p.byName[name] = v
	return v
}

// bitsBelow has the lowest n bits.
func bitsBelow(n int) uint64 { return 1<<n - 1 }

// lowerRules makes one ruleCode of each rule and instance, and one testCode of each commissioning test.
func (p *program) lowerRules() {
	for _, r := range p.facts.Base.Rules {
		for _, instance := range p.instances(r.Each) {
			code := ruleCode{rule: r, instance: instance}
			code.when, code.never = p.lower(r.When, instance)
			p.rules = append(p.rules, code)
		}
	}
	for _, t := range p.facts.Base.Tests {
		for _, instance := range p.instances(t.Each) {
			code := testCode{test: t, instance: instance}
			code.when, code.never = p.lower(t.When, instance)
			p.needs = append(p.needs, code)
		}
	}
}

// lowerConstraints compiles what no install can be.
func (p *program) lowerConstraints() {
	for _, c := range p.facts.Base.Constraints {
		for _, instance := range p.instances(c.Each) {
			code := applyCode{v: -1}
			code.when, code.never = p.lower(base.Condition{All: c.Never}, instance)
			p.nogoods = append(p.nogoods, code)
		}
	}
}

// instances are those of a kind, or the one without a name.
func (p *program) instances(kind string) []string {
	if kind == "" {
		return []string{""}
	}
	return p.facts.InstancesOf(kind)
}

// lowerApplies compiles the conditions of facts that only sometimes apply, those that read others last. Facts
// that these conditions read become variables too, so the list grows while it is walked.
func (p *program) lowerApplies() {
	state := map[int32]int{}
	var visit func(v int32)
	visit = func(v int32) {
		x := p.vars[v]
		if x.fact == nil || len(x.fact.Applies) == 0 || state[v] != 0 {
			return
		}
		state[v] = 1
		_, instance, _ := p.facts.Base.Fact(x.name)
		c := p.condition(nil, base.Condition{All: x.fact.Applies}, instance)
		for _, clause := range c {
			for _, t := range clause {
				visit(t.v)
			}
		}
		p.applying = append(p.applying, applyCode{v: v, when: p.emit(c), never: c.impossible()})
	}
	for v := int32(0); int(v) < len(p.vars); v++ {
		visit(v)
	}
}

// arrange puts the groups into an order in which each is decided after those that its rules read, and gives
// each rule its stage.
func (p *program) arrange() error {
	waits := make([]map[int32]bool, len(p.groups)) // group -> groups that must come before
	for i := range waits {
		waits[i] = map[int32]bool{}
	}
	for i := range p.rules {
		reads := p.reads(p.rules[i].when)
		for _, g := range p.touched(&p.rules[i]) {
			for _, r := range reads {
				if r != g {
					waits[g][r] = true
				}
			}
		}
	}
	position := make([]int32, len(p.groups))
	placed := make([]bool, len(p.groups))
	for len(p.order) < len(p.groups) {
		next := int32(-1)
		for g := range p.groups {
			if !placed[g] && len(waits[g]) == 0 {
				next = int32(g)
				break
			}
		}
		if next < 0 {
			return p.circle(placed)
		}
		placed[next] = true
		position[next] = int32(len(p.order))
		p.order = append(p.order, next)
		for g := range waits {
			delete(waits[g], next)
		}
	}
	for i := range p.rules {
		for _, g := range p.reads(p.rules[i].when) {
			p.rules[i].stage = max(p.rules[i].stage, position[g]+1)
		}
	}
	slices.SortStableFunc(p.rules, func(a, b ruleCode) int { return cmp.Compare(a.stage, b.stage) })
	return nil
}

// circle reports groups that wait for each other because an option ties their settings together.
func (p *program) circle(placed []bool) error {
	var problems source.Problems
	for i, g := range p.groups {
		if placed[i] || len(g.settings) < 2 || g.device == nil {
			continue
		}
		problems = append(problems, g.device.Profile.Doc.Problem(source.Problem{
			Message: fmt.Sprintf("the options %v tie together settings that have to be decided one after the other", g.optionIDs()),
		}, "option", g.options[0].ID))
	}
	return problems
}

// reads are the groups that a condition asks about.
func (p *program) reads(s span) []int32 {
	var out []int32
	for _, t := range p.tests[s.from:s.to] {
		if g := p.vars[t.v].group; g >= 0 && !slices.Contains(out, g) {
			out = append(out, g)
		}
	}
	return out
}

// touched are the groups that a rule can change.
func (p *program) touched(r *ruleCode) []int32 {
	var out []int32
	for _, e := range r.rule.Effects {
		out = append(out, p.bySet[base.Fill(e.Setting, r.instance)]...)
	}
	for _, name := range r.rule.NotApplicable {
		for _, s := range p.matching(base.Fill(name, r.instance)) {
			out = append(out, p.bySet[s]...)
		}
	}
	return out
}

// matching are the settings of the devices that a name or a pattern of the vocabulary stands for.
func (p *program) matching(name string) []string {
	if _, ok := p.bySet[name]; ok {
		return []string{name}
	}
	if name == strings.ToLower(name) {
		return nil // no pattern: only patterns have large letters
	}
	var out []string
	// order-free: the list is sorted at the end
	for s := range p.bySet {
		if f, _, ok := familyOf(s); ok && f.Pattern == name {
			out = append(out, s)
		}
	}
	slices.Sort(out)
	return out
}
