package derive

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"asleft/rules/base"
	"asleft/rules/internal/search"
)

// because lists the rules that had a say in a setting, the facts they read, and those that had none.
func (d *derivation) because(s *Setting, g *group, at int) {
	got := &d.state.groups[g.index]
	before := g.full
	for i := range g.constraints {
		c := &g.constraints[i]
		if i > 0 && g.constraints[i-1].level != c.level || i == 0 {
			before = levelBefore(g, got, c.level)
		}
		truth := d.program.holds(d.state, c)
		switch {
		case got.emptied && c.level > got.at:
			return // nothing was left for the levels below
		case truth != base.True || (c.none && c.at != at):
		case c.none:
			d.cite(s, c)
		case got.none&(1<<c.at) != 0:
			if c.at == at && c.level <= base.Wish { // defaults of what has no meaning are not missed
				s.NotMet = append(s.NotMet, NotMet{RuleRef: d.program.ref(c), Because: "The setting has no meaning in this install.", By: d.noneRules(g, at)})
			}
		case c.prefer == nil && before&c.mask == 0, c.prefer == nil && !c.level.Hard() && got.after[c.level]&c.mask == 0:
			if c.at == at {
				s.NotMet = append(s.NotMet, d.notMet(g, got, c))
			}
		case count(g, at, before&c.narrowed(got, before)) < count(g, at, before):
			d.cite(s, c)
		}
	}
}

// narrowed is the mask by which a constraint narrows what was left before its level.
func (c *constraint) narrowed(got *decided, before uint64) uint64 {
	if c.prefer == nil {
		return c.mask
	}
	m := firstLeft(c.prefer, before)
	if m&got.after[c.level] == 0 {
		return ^uint64(0) // others of its level left it another choice
	}
	return m
}

// levelBefore are the choices that the levels above left.
func levelBefore(g *group, got *decided, level base.Level) uint64 {
	if level == base.Safety {
		return g.full
	}
	return got.after[level-1]
}

// cite adds a rule to the reasons of a setting, with the facts that it read.
func (d *derivation) cite(s *Setting, c *constraint) {
	s.Rules = append(s.Rules, d.program.ref(c))
	for _, f := range d.factsOf(c.rule) {
		if !slices.Contains(s.Facts, f) {
			s.Facts = append(s.Facts, f)
		}
	}
}

// factsOf are the facts behind a rule that fires, as it sees them.
func (d *derivation) factsOf(rule int32) []FactRef {
	if rule < 0 {
		return nil
	}
	code := &d.program.rules[rule]
	v := view{p: d.program, st: d.state, assumed: code.rule.Level == base.Safety}
	return v.reasons(code.rule.When, code.instance)
}

func (d *derivation) noneRules(g *group, at int) []RuleRef {
	var out []RuleRef
	for i := range g.constraints {
		if c := &g.constraints[i]; c.none && c.at == at && d.program.holds(d.state, c) == base.True {
			out = append(out, d.program.ref(c))
		}
	}
	return out
}

// notMet says what left no room for a constraint.
func (d *derivation) notMet(g *group, got *decided, c *constraint) NotMet {
	n := NotMet{RuleRef: d.program.ref(c)}
	if g.full&c.mask == 0 {
		n.Because = fmt.Sprintf("%s cannot do that: it has %s.", g.device.Name, valuesOf(g, c.at, g.full))
		return n
	}
	above := blamed(d.counting(g, got, c.level))
	conflict := search.Conflict(len(above), func(set []int) bool {
		m := g.full & c.mask
		for _, i := range set {
			m &= above[i].mask
		}
		return m != 0
	})
	var says []string
	for _, i := range conflict {
		ref := d.program.ref(&above[i])
		n.By = append(n.By, ref)
		says = append(says, ref.Says)
	}
	n.Because = "Barred by " + strings.Join(says, " and ") + "."
	for _, ref := range n.By {
		n.Because += sentence(ref.Why)
	}
	if len(g.options) > 0 && len(g.settings) > 1 {
		n.Because += fmt.Sprintf(" One option of %s sets them together (%s).", g.device.Name, strings.Join(g.optionIDs(), ", "))
	}
	return n
}

// sentence is a reason as one more sentence: the shop writes its reasons without capital and stop.
func sentence(why string) string {
	first, size := utf8.DecodeRuneInString(why)
	if why == "" {
		return ""
	}
	return " " + string(unicode.ToUpper(first)) + strings.TrimSuffix(why[size:], ".") + "."
}

// counting are the masks that count for a group from the highest level down to the given one, itself included.
// Preferences stand with the mask that they came to.
func (d *derivation) counting(g *group, got *decided, down base.Level) []constraint {
	var out []constraint
	for i := range g.constraints {
		c := g.constraints[i]
		if c.level > down || c.none || got.none&(1<<c.at) != 0 || d.program.holds(d.state, &c) != base.True {
			continue
		}
		c.mask = c.narrowed(got, levelBefore(g, got, c.level))
		c.prefer = nil
		out = append(out, c)
	}
	return out
}

// blamed puts constraints into the order of blame: wishes before wiring before safety.
func blamed(list []constraint) []constraint {
	slices.SortStableFunc(list, func(a, b constraint) int { return cmp.Compare(b.level, a.level) })
	return list
}

// valuesOf lists the values of a setting in some choices.
func valuesOf(g *group, at int, choices uint64) string {
	var out []string
	for m := choices; m != 0; m &= m - 1 {
		v := g.choices[bits.TrailingZeros64(m)].values[at]
		if v != "" && !slices.Contains(out, string(v)) {
			out = append(out, string(v))
		}
	}
	if len(out) == 1 {
		return "only " + out[0]
	}
	return strings.Join(out, ", ")
}

// otherwise says in one sentence what would have to change for another value.
func (d *derivation) otherwise(s *Setting, g *group, at int) string {
	switch s.Kind {
	case Open: // said when it is known what is missing
		return ""
	case Impossible:
		return "What contradicts itself has to be settled first."
	case NotApplicable:
		return ""
	}
	if count(g, at, g.full) == 1 && !g.virtual {
		return fmt.Sprintf("Another device: %s knows no other value.", g.device.Profile.ID)
	}
	if len(s.Rules) == 0 {
		return "A wish or a line of policy: nothing else asks for a value."
	}
	first := s.Rules[0]
	facts := changeable(s.Facts)
	switch {
	case first.Rule == "wish":
		return "Another wish."
	case first.Rule == "policy limit" || first.Rule == "policy default":
		return "Another line of the shop's policy."
	case first.Level > base.Wish:
		return "A wish or a line of policy would be stronger than this default."
	case len(facts) == 0:
		return fmt.Sprintf("Nothing: %s holds in every install.", first.Rule)
	}
	return "Only if this were otherwise: " + strings.Join(facts, ", ") + "."
}

// changeable are the facts of a reason in words.
func changeable(facts []FactRef) []string {
	var out []string
	for _, f := range facts {
		if f.Name == "start.wanted" {
			continue
		}
		text := f.Name + " is " + f.Value
		if f.Value == "" {
			text = f.Name
		}
		if f.Assumed {
			text += " (not known, the worst is assumed)"
		}
		out = append(out, text)
	}
	return out
}
