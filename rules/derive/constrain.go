package derive

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"asleft/config/job"
	"asleft/config/setting"
	"asleft/rules/base"
)

// constraint is what a rule, a wish, a line of policy or a demand says about one setting, brought down to the
// choices of a group.
type constraint struct {
	level  base.Level
	id     string // the order inside a level
	rule   int32  // index of the ruleCode, -1 for wishes, policy and demands
	at     int    // place of the setting in the group
	mask   uint64
	prefer []uint64 // in order, instead of a mask: the first that leaves something is taken
	none   bool     // not applicable: constraints on this setting do not count
	unmet  string   // scope that is refused when a hard constraint finds nothing left

	effect *base.Effect // of a rule: what it says about the setting
	of     string       // that setting
	said   *RuleRef     // what stands behind it, where no effect does
}

// ref names what stands behind a constraint. Few are ever asked for it, so its words are made then.
func (p *program) ref(c *constraint) RuleRef {
	switch {
	case c.said != nil:
		return *c.said
	case c.effect == nil:
		return RuleRef{}
	}
	return p.rules[c.rule].ref(p.says(c.effect, c.of))
}

// says puts an effect on a setting into words.
func (p *program) says(e *base.Effect, name string) string {
	switch e.Verb {
	case base.Never:
		return name + " not " + words(e.Values)
	case base.AtMost, base.AtLeast:
		bound, _ := p.bound(e)
		return fmt.Sprintf("%s %s %s", name, strings.ReplaceAll(string(e.Verb), "-", " "), setting.Number(bound))
	case base.Prefer:
		return name + " rather " + words(e.Values)
	}
	return name + " = " + words(e.Values)
}

// constrain gathers the constraints of every group and sorts them by level and id.
func (p *program) constrain(in Input) {
	for i := range p.rules {
		code := &p.rules[i]
		for j := range code.rule.Effects {
			e := &code.rule.Effects[j]
			name := base.Fill(e.Setting, code.instance)
			for _, g := range p.bySet[name] {
				p.fromRule(p.groups[g], int32(i), e, name)
			}
		}
		for _, name := range code.rule.NotApplicable {
			for _, s := range p.matching(base.Fill(name, code.instance)) {
				ref := code.ref(s + " not applicable")
				for _, g := range p.bySet[s] {
					p.groups[g].constraints = append(p.groups[g].constraints, constraint{
						level: code.rule.Level, id: code.rule.ID, rule: int32(i), at: p.groups[g].place(s), none: true, said: &ref,
					})
				}
			}
		}
	}
	p.fromPeople(in)
	p.fromDemands(in.Demands)
	p.sortConstraints()
}

// sortConstraints puts the constraints of each group into the order in which they count.
func (p *program) sortConstraints() {
	for _, g := range p.groups {
		slices.SortStableFunc(g.constraints, func(a, b constraint) int {
			return cmp.Or(cmp.Compare(a.level, b.level), cmp.Compare(len(a.prefer), len(b.prefer)), compareIDs(&a, &b))
		})
	}
}

// compareIDs is the order inside a level: by rule and then by setting, as texts with a blank between, which sorts before
// all that the name of a rule has.
func compareIDs(a, b *constraint) int {
	if (a.rule < 0) != (b.rule < 0) {
		return cmp.Compare(a.wholeID(), b.wholeID())
	}
	return cmp.Or(cmp.Compare(a.id, b.id), cmp.Compare(a.of, b.of))
}

func (c *constraint) wholeID() string { return strings.TrimSuffix(c.id+" "+c.of, " ") }

func (c *ruleCode) ref(says string) RuleRef {
	return RuleRef{Rule: c.rule.ID, Level: c.rule.Level, Says: says, Why: c.rule.Why, Source: c.rule.Source, Pos: c.rule.Pos}
}

// fromRule turns one effect of a rule into a constraint of the group.
func (p *program) fromRule(g *group, index int32, e *base.Effect, name string) {
	rule := p.rules[index].rule
	c := constraint{level: rule.Level, id: rule.ID, rule: index, at: g.place(name), unmet: rule.Unmet, effect: e, of: name}
	switch e.Verb {
	case base.Require, base.Only:
		c.mask = g.mask(c.at, func(v setting.Value) bool { return slices.Contains(e.Values, v) })
	case base.Never:
		c.mask = g.mask(c.at, func(v setting.Value) bool { return !slices.Contains(e.Values, v) })
	case base.AtMost, base.AtLeast:
		bound, ok := p.bound(e)
		if !ok {
			return // the number is not known: a rule that uses it has a fact that says so
		}
		c.mask = g.mask(c.at, within(e.Verb, bound))
	case base.Prefer:
		for _, v := range e.Values {
			c.prefer = append(c.prefer, g.preferred(c.at, v)...)
		}
	}
	g.constraints = append(g.constraints, c)
}

// bound is the number of an at-most or at-least.
func (p *program) bound(e *base.Effect) (float64, bool) {
	if e.Quantity == "" {
		return e.Number, true
	}
	n, ok := p.facts.Numbers[e.Quantity]
	return n.Value, ok
}

// within passes numbers inside the bound, and words such as "off", which are beyond every bound.
func within(verb base.Verb, bound float64) func(setting.Value) bool {
	return func(v setting.Value) bool {
		n, ok := v.Number()
		switch {
		case !ok:
			return true
		case verb == base.AtMost:
			return n <= bound
		}
		return n >= bound
	}
}

// preferred are the masks of one preference: a value, or all numbers from one end.
func (g *group) preferred(at int, v setting.Value) []uint64 {
	if v != "largest" && v != "smallest" {
		return []uint64{g.mask(at, func(x setting.Value) bool { return x == v })}
	}
	var numbers []float64
	for _, c := range g.choices {
		if n, ok := c.values[at].Number(); ok {
			numbers = append(numbers, n)
		}
	}
	slices.Sort(numbers)
	numbers = slices.Compact(numbers)
	if v == "largest" {
		slices.Reverse(numbers)
	}
	var out []uint64
	for _, n := range numbers {
		out = append(out, g.mask(at, func(x setting.Value) bool { m, ok := x.Number(); return ok && m == n }))
	}
	return out
}

func words(values []setting.Value) string {
	out := make([]string, len(values))
	for i, v := range values {
		out[i] = string(v)
	}
	return strings.Join(out, " or ")
}

// fromPeople turns wishes and policy into constraints.
func (p *program) fromPeople(in Input) {
	for _, w := range in.Job.Wishes {
		p.people(base.Wish, "wish "+w.Name, w.Device, w.Setting, equals(w.Value),
			RuleRef{Rule: "wish", Level: base.Wish, Says: w.Setting + " = " + w.Value, Why: wishWhy(w), Pos: in.Job.Doc.Where("wish", w.Name, "value")})
	}
	if in.Policy != nil {
		p.fromPolicy(in.Policy)
	}
}

// fromDemands turns what the button plan needs into constraints.
func (p *program) fromDemands(demands []Demand) {
	for i, d := range demands {
		p.people(d.Level, fmt.Sprintf("demand %s %03d", d.Key, i), d.Key.Device, d.Key.Setting, equals(string(d.Value)),
			RuleRef{Rule: "button plan", Level: d.Level, Says: d.Key.Setting + " = " + string(d.Value), Why: d.Why, Pos: d.Pos})
	}
}

func equals(value string) func(setting.Value) bool {
	return func(v setting.Value) bool { return string(v) == value }
}

func wishWhy(w job.Wish) string {
	if w.Reason != "" {
		return w.Reason
	}
	return "Asked for."
}

func (p *program) fromPolicy(policy *job.Policy) {
	for _, b := range policy.Limits {
		passes, says := within(base.AtMost, b.AtMost), fmt.Sprintf("%s at most %s", b.Setting, setting.Number(b.AtMost))
		if len(b.Values) > 0 {
			passes = func(v setting.Value) bool { return slices.Contains(b.Values, string(v)) }
			says = b.Setting + " = " + strings.Join(b.Values, " or ")
		}
		p.people(base.PolicyLimit, "limit "+b.Name, "", b.Setting, passes,
			RuleRef{Rule: "policy limit", Level: base.PolicyLimit, Says: says, Why: b.Reason, Pos: policy.Doc.Where("limit", b.Name)})
	}
	for _, b := range policy.Defaults {
		if len(b.Values) == 0 {
			continue
		}
		p.people(base.PolicyDefault, "default "+b.Name, "", b.Setting, equals(b.Values[0]),
			RuleRef{Rule: "policy default", Level: base.PolicyDefault, Says: b.Setting + " = " + b.Values[0], Why: b.Reason, Pos: policy.Doc.Where("default", b.Name)})
	}
}

// people adds a constraint that no rule stands behind. The setting may be a pattern of the vocabulary, and then
// stands for all of its instances. What no device has is kept for the list of what was not met.
func (p *program) people(level base.Level, id, device, name string, passes func(setting.Value) bool, ref RuleRef) {
	found := false
	for _, s := range p.matching(name) {
		for _, i := range p.bySet[s] {
			g := p.groups[i]
			if g.virtual || (device != "" && g.device.Name != device) {
				continue
			}
			found = true
			at := g.place(s)
			g.constraints = append(g.constraints, constraint{level: level, id: id + " " + s, rule: -1, at: at, mask: g.mask(at, passes), said: &ref})
		}
	}
	if !found {
		p.homeless = append(p.homeless, homeless{ref: ref, device: device, setting: name})
	}
}

// homeless is a wish, demand or line of policy about a setting that the device does not have.
type homeless struct {
	ref             RuleRef
	device, setting string
}
