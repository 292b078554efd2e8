package derive

import (
	"slices"
	"strings"

	"asleft/config/setting"
	"asleft/rules/base"
)

// missing lists the facts that are not known and that something depends on: a setting that a rule may change, a
// setting that safety decided by assuming the worst, a refusal that rests on an assumption. What reads a setting that is open
// depends on what that one depends on.
func (d *derivation) missing(r *Result) []Missing {
	found := gaps{facts: map[string]*Missing{}, behind: map[string][]string{}}
	for _, i := range d.program.order {
		g := d.program.groups[i]
		for at, name := range g.settings {
			if d.in.skips(name) {
				continue
			}
			key := setting.Key{Device: g.device.Name, Setting: name}
			d.depends(g, at, func(rule int32) {
				_, listed := r.Get(key)
				d.note(found, rule, key.String(), listed)
			})
		}
	}
	for i := range d.program.rules {
		code := &d.program.rules[i]
		if code.rule.Refuse != "" && d.state.truth[i] != base.False {
			scope := Scope{What: code.rule.Refuse}
			if code.rule.Refuse == "function" {
				scope.Name = code.instance
			}
			d.note(found, int32(i), scope.String(), true)
		}
	}
	var out []Missing
	for _, name := range sortedNames(found.facts) {
		m := found.facts[name]
		slices.Sort(m.Settles)
		out = append(out, *m)
	}
	return out
}

// gaps are the missing facts found so far.
type gaps struct {
	facts  map[string]*Missing
	behind map[string][]string // what depends on missing facts -> their names; settings that are not listed are in here too
}

// note adds the facts that a rule waits for to those on which a setting or a refusal depends.
func (d *derivation) note(found gaps, rule int32, settles string, listed bool) {
	code := &d.program.rules[rule]
	for _, name := range d.unknowns(code, found.behind) {
		if !slices.Contains(found.behind[settles], name) {
			found.behind[settles] = append(found.behind[settles], name)
		}
		if !listed {
			continue
		}
		m := found.facts[name]
		if m == nil {
			m = d.newMissing(name)
			found.facts[name] = m
		}
		m.Safety = m.Safety || code.rule.Level == base.Safety
		if !slices.Contains(m.Settles, settles) {
			m.Settles = append(m.Settles, settles)
		}
	}
}

func (d *derivation) newMissing(fact string) *Missing {
	r := d.program.facts.Read(fact)
	m := &Missing{
		Fact: fact, Title: r.Type.Title, KnownBy: r.Type.KnownBy, Measure: r.Type.Measure, Values: r.Type.Domain, Pos: r.Pos,
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

// unknowns are the facts that keep a rule from being decided without assuming anything, and those behind the open settings that it
// reads; groups are asked in the order in which they are decided, so what is behind those is known.
func (d *derivation) unknowns(code *ruleCode, behind map[string][]string) []string {
	v := view{p: d.program, st: d.state}
	if code.rule.When.Eval(v, code.instance) != base.Unknown {
		return nil
	}
	var out []string
	for _, f := range v.reasons(code.rule.When, code.instance) {
		if name, ok := strings.CutPrefix(f.Name, "setting "); ok {
			if g := d.program.first(name); g != nil && d.state.groups[g.index].open {
				out = append(out, behind[setting.Key{Device: g.device.Name, Setting: name}.String()]...)
			}
			continue
		}
		if _, known := d.program.byName[f.Name]; known && f.Value == "" && d.program.facts.Read(f.Name).State == base.NotKnown {
			out = append(out, f.Name)
		}
	}
	return out
}
