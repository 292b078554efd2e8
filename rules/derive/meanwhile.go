package derive

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/setting"
	"asleft/rules/base"
)

// safe are the choices that no rule of safety bars, nor may bar once what is missing is known.
func (d *derivation) safe(g *group) uint64 {
	got, left := &d.state.groups[g.index], g.full
	for i := range g.constraints {
		c := &g.constraints[i]
		if c.level == base.Safety && !c.mere() && got.none&(1<<c.at) == 0 && d.program.holds(d.state, c) != base.False {
			left &= c.mask
		}
	}
	return left
}

// meanwhile is the choice that a device is set to although a missing fact leaves its settings open, or a refusal of a lesser part leaves
// them nothing: one that safety leaves whatever turns out, and of those one that the deepest level left. It is 0 where safety bars
// nothing, so that the device may keep what it holds, and where safety leaves nothing.
func (d *derivation) meanwhile(g *group) uint64 {
	got, safe := &d.state.groups[g.index], d.safe(g)
	if !got.open && !got.emptied || safe == g.full {
		return 0
	}
	for level := base.Factory; level >= base.Safety; level-- {
		if m := got.after[level] & safe; m&g.factory != 0 {
			return g.factory
		} else if m != 0 {
			return m & -m
		}
	}
	return safe & -safe
}

// undecidedBySafety is the refusal of a group for which safety may leave nothing, once a missing fact is known: no value of it is sure to be
// safe. Its scope is that of one of the rules, or the whole job.
func (d *derivation) undecidedBySafety(g *group) (Finding, bool) {
	got := &d.state.groups[g.index]
	if !got.open || got.emptied || got.clash || g.virtual || d.safe(g) != 0 {
		return Finding{}, false
	}
	f := Finding{Unmet: true, Open: true}
	var says []string
	for i := range g.constraints {
		c := &g.constraints[i]
		if c.level == base.Safety && !c.mere() && c.rule >= 0 && d.program.holds(d.state, c) != base.False {
			d.blame(&f, c)
			says = append(says, f.Rules[len(f.Rules)-1].Says)
		}
	}
	if f.Scope.What == "" {
		f.Scope, f.Source, f.Cure = Scope{What: "job"}, "the rules named", "Find out the missing facts."
	}
	f.Why = strings.TrimSpace(fmt.Sprintf("%s No value is sure to be safe beside %s.", f.Why, strings.Join(says, " and ")))
	return f, true
}

// until says which missing facts would settle a setting that is open, or for which settings it waits that nothing is left for.
func (d *derivation) until(r *Result, key setting.Key) string {
	var facts []string
	for _, m := range r.Missing {
		if slices.Contains(m.Settles, key.String()) {
			facts = append(facts, m.Fact)
		}
	}
	if len(facts) > 0 {
		return haveTo(facts, "be found out first")
	}
	return haveTo(d.undecided(key), "be decided first")
}

// undecided are the settings without a value that a setting waits for: those that its rules read, else those that one option sets
// together with it.
func (d *derivation) undecided(key setting.Key) []string {
	g, at, err := d.find(key)
	if err != nil {
		return nil
	}
	var out []string
	d.depends(g, at, func(rule int32) {
		code := &d.program.rules[rule]
		for _, f := range (view{p: d.program, st: d.state}).reasons(code.rule.When, code.instance) {
			if name, ok := strings.CutPrefix(f.Name, "setting "); ok && f.Value == "" && !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
	})
	if len(out) == 0 {
		out = slices.DeleteFunc(slices.Clone(g.settings), func(name string) bool { return name == key.Setting })
	}
	slices.Sort(out)
	return out
}

// haveTo lists what has to be done something with.
func haveTo(names []string, do string) string {
	last := len(names) - 1
	switch {
	case last < 0:
		return "What it rests on has to " + do
	case last == 0:
		return names[0] + " has to " + do
	}
	return strings.Join(names[:last], ", ") + " and " + names[last] + " have to " + do
}

// settledBy tells of each open setting what would settle it, and what is set meanwhile.
func (d *derivation) settledBy(r *Result) {
	for i := range r.Settings {
		if s := &r.Settings[i]; s.Kind == Open {
			s.Otherwise = d.until(r, s.Key) + "."
			if s.Value != "" {
				s.Otherwise = strings.TrimSuffix(s.Otherwise, ".") + "; until then what is safe either way is set."
			}
		}
	}
}
