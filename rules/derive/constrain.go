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
	ref    RuleRef
	unmet  string // scope that is refused when a hard constraint finds nothing left
}

// constrain gathers the constraints of every group and sorts them by level and id.
func (p *program) constrain(in Input) {
	for i := range p.rules {
		code := &p.rules[i]
		for _, e := range code.rule.Effects {
			for _, g := range p.bySet[base.Fill(e.Setting, code.instance)] {
				p.fromRule(p.groups[g], int32(i), code, e)
			}
		}
		for _, name := range code.rule.NotApplicable {
			for _, s := range p.matching(base.Fill(name, code.instance)) {
				for _, g := range p.bySet[s] {
					p.groups[g].constraints = append(p.groups[g].constraints, constraint{
						level: code.rule.Level, id: code.rule.ID, rule: int32(i), at: p.groups[g].place(s), none: true,
						ref: code.ref(s + " not applicable"),
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
			return cmp.Or(cmp.Compare(a.level, b.level), cmp.Compare(len(a.prefer), len(b.prefer)), cmp.Compare(a.id, b.id))
		})
	}
}

func (c *ruleCode) ref(says string) RuleRef {
	return RuleRef{Rule: c.rule.ID, Level: c.rule.Level, Says: says, Why: c.rule.Why, Source: c.rule.Source, Pos: c.rule.Pos}
}

// fromRule turns one effect of a rule into a constraint of the group.
func (p *program) fromRule(g *group, index int32, code *ruleCode, e base.Effect) {
	name := base.Fill(e.Setting, code.instance)
	c := constraint{level: code.rule.Level, id: code.rule.ID + " " + name, rule: index, at: g.place(name), unmet: code.rule.Unmet}
	switch e.Verb {
	case base.Require, base.Only:
		c.mask = g.mask(c.at, func(v setting.Value) bool { return slices.Contains(e.Values, v) })
		c.ref = code.ref(name + " = " + words(e.Values))
	case base.Never:
		c.mask = g.mask(c.at, func(v setting.Value) bool { return !slices.Contains(e.Values, v) })
		c.ref = code.ref(name + " not " + words(e.Values))
	case base.AtMost, base.AtLeast:
		bound, ok := p.bound(e)
		if !ok {
			return // the number is not known: a rule that uses it has a fact that says so
		}
		c.mask = g.mask(c.at, within(e.Verb, bound))
		c.ref = code.ref(fmt.Sprintf("%s %s %s", name, strings.ReplaceAll(string(e.Verb), "-", " "), setting.Number(bound)))
	case base.Prefer:
		for _, v := range e.Values {
			c.prefer = append(c.prefer, g.preferred(c.at, v)...)
		}
		c.ref = code.ref(name + " rather " + words(e.Values))
	}
	g.constraints = append(g.constraints, c)
}

// bound is the number of an at-most or at-least.
func (p *program) bound(e base.Effect) (float64, bool) {
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
			g.constraints = append(g.constraints, constraint{level: level, id: id + " " + s, rule: -1, at: at, mask: g.mask(at, passes), ref: ref})
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
