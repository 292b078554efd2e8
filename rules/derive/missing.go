package derive

import (
	"slices"

	"asleft/config/setting"
	"asleft/rules/base"
)

// missing lists the facts that are not known and that something depends on: a setting that a rule may change, a
// setting that safety decided by assuming the worst, a refusal that rests on an assumption.
func (d *derivation) missing(r *Result) []Missing {
	found := map[string]*Missing{}
	note := func(rule int32, settles string) {
		code := &d.program.rules[rule]
		safety := code.rule.Level == base.Safety
		for _, f := range (view{p: d.program, st: d.state}).unknowns(code) {
			m := found[f.Name]
			if m == nil {
				m = d.newMissing(f)
				found[f.Name] = m
			}
			m.Safety = m.Safety || safety
			if !slices.Contains(m.Settles, settles) {
				m.Settles = append(m.Settles, settles)
			}
		}
	}
	for _, g := range d.program.groups {
		for at, name := range g.settings {
			if !d.in.skips(name) {
				d.depends(g, at, func(rule int32) { note(rule, setting.Key{Device: g.device.Name, Setting: name}.String()) })
			}
		}
	}
	for i := range d.program.rules {
		code := &d.program.rules[i]
		if code.rule.Refuse != "" && d.state.truth[i] != base.False {
			scope := Scope{What: code.rule.Refuse}
			if code.rule.Refuse == "function" {
				scope.Name = code.instance
			}
			note(int32(i), scope.String())
		}
	}
	var out []Missing
	for _, name := range sortedNames(found) {
		m := found[name]
		slices.Sort(m.Settles)
		out = append(out, *m)
	}
	return out
}

func (d *derivation) newMissing(f FactRef) *Missing {
	r := d.program.facts.Read(f.Name)
	m := &Missing{
		Fact: f.Name, Title: r.Type.Title, KnownBy: r.Type.KnownBy, Measure: r.Type.Measure, Values: r.Type.Domain, Pos: r.Pos,
	}
	if r.Type.Assumes() {
		m.Assumed = r.Type.Worst
	}
	return m
}

// depends calls note for each rule whose unknown facts matter to the setting.
func (d *derivation) depends(g *group, at int, note func(rule int32)) {
	got := &d.state.groups[g.index]
	for i := range g.constraints {
		c := &g.constraints[i]
		if c.rule < 0 || got.none&(1<<c.at) != 0 && !c.none {
			continue
		}
		before := levelBefore(g, got, c.level)
		narrows := c.none || count(g, at, before&c.narrowed(got, before)) < count(g, at, before)
		if !narrows || (c.none && c.at != at) {
			continue
		}
		switch d.state.truth[c.rule] {
		case base.Unknown:
			if c.none || got.open {
				note(c.rule)
			}
		case base.True:
			if d.program.rules[c.rule].rule.Level == base.Safety && d.state.sure[c.rule] != base.True {
				note(c.rule)
			}
		}
	}
}

// unknowns are the facts that keep a rule from being decided without assuming anything.
func (v view) unknowns(code *ruleCode) []FactRef {
	var out []FactRef
	if code.rule.When.Eval(v, code.instance) != base.Unknown {
		return nil
	}
	for _, f := range v.reasons(code.rule.When, code.instance) {
		if _, known := v.p.byName[f.Name]; known && f.Value == "" && v.p.facts.Read(f.Name).State == base.NotKnown {
			out = append(out, f)
		}
	}
	return out
}
