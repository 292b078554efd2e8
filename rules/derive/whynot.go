package derive

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"

	"asleft/config/setting"
	"asleft/config/source"
	"asleft/rules/base"
	"asleft/rules/internal/search"
)

// Conflict is one minimal set of rules, wishes and lines of policy that cannot hold together with what was asked for,
// with the facts that make those rules fire. Nothing in it could be left out.
type Conflict struct {
	Rules  []RuleRef // in the order of blame: wishes, policy, place, wiring, safety last
	Facts  []FactRef // behind the rules, down through the settings that they read
	Device string    // what the device can do about it, "" when that has no part
	Hard   bool      // nothing below policy limits has a part: no wish can change it
}

// NotThis says why a setting does not have a certain value.
type NotThis struct {
	Setting   Setting
	Value     setting.Value
	Is        bool // it has the value
	Conflicts []Conflict
	More      int  // minimal conflicts beyond those given
	Whole     bool // all minimal conflicts were found
}

// maxConflicts bounds the list of minimal conflicts.
const maxConflicts = 256

// WhyNot gives the minimal conflicts that keep a setting from a value; without all, only the first in the order of
// blame (wishes before wiring before safety). Where nothing down to the wishes forbids the value, defaults do, and
// they stand as the conflict. The error is source.Problems, as for Explain, or a value that the setting never has.
func (a *Answers) WhyNot(key setting.Key, value setting.Value, all bool) (NotThis, error) {
	g, at, err := a.d.find(key)
	if err != nil {
		return NotThis{}, err
	}
	family, _, _ := familyOf(g.settings[at])
	parsed, err := family.Parse(string(value))
	if err != nil {
		return NotThis{}, source.Problems{{
			Message: fmt.Sprintf("%s has no value %q", g.settings[at], value), Expected: family.Expected(), Found: string(value),
			Nearest: source.Nearest(string(value), family.Words),
		}}
	}
	n := NotThis{Value: parsed, Whole: true}
	n.Setting, _ = a.Result.Get(setting.Key{Device: g.device.Name, Setting: g.settings[at]})
	n.Is = n.Setting.Value == parsed
	if !n.Is {
		a.d.whyNot(&n, g, at, all)
	}
	return n, nil
}

// WhyNot derives and asks about one setting and value.
func WhyNot(in Input, key setting.Key, value setting.Value, all bool) (NotThis, error) {
	a, err := Ask(in)
	if err != nil {
		return NotThis{}, err
	}
	return a.WhyNot(key, value, all)
}

// whyNot fills the conflicts.
func (d *derivation) whyNot(n *NotThis, g *group, at int, all bool) {
	wanted := g.mask(at, func(v setting.Value) bool { return v == n.Value })
	got := &d.state.groups[g.index]
	switch {
	case wanted == 0:
		n.Conflicts = []Conflict{{Device: d.ability(g, at), Hard: true}}
		return
	case got.none&(1<<at) != 0:
		c := Conflict{Rules: d.noneRules(g, at), Hard: true}
		for i := range g.constraints {
			if x := &g.constraints[i]; x.none && x.at == at && d.program.holds(d.state, x) == base.True {
				c.Facts = d.deep(c.Facts, x.rule, nil)
			}
		}
		n.Conflicts = []Conflict{c}
		return
	}
	for _, down := range []base.Level{base.Wish, base.TradeDefault} {
		list := blamed(d.counting(g, got, down))
		left := func(set []int) bool {
			m := wanted
			for _, i := range set {
				m &= list[i].mask
			}
			return m != 0
		}
		everything := make([]int, len(list))
		for i := range list {
			everything[i] = i
		}
		if left(everything) {
			continue
		}
		d.enumerate(n, g, list, left, all)
		return
	}
	n.Conflicts = []Conflict{{Device: d.factoryStands(g, at)}}
}

// enumerate gives the minimal conflicts of a list.
func (d *derivation) enumerate(n *NotThis, g *group, list []constraint, left func([]int) bool, all bool) {
	list = list[:min(len(list), 64)]
	sets, _, whole := search.Conflicts(len(list), left, maxConflicts)
	n.Whole = whole
	for _, set := range sets {
		if !all && len(n.Conflicts) == 1 {
			n.More = len(sets) - 1
			break
		}
		n.Conflicts = append(n.Conflicts, d.conflict(g, list, set.Items()))
	}
}

// conflict writes a minimal conflict out.
func (d *derivation) conflict(g *group, list []constraint, items []int) Conflict {
	c := Conflict{Hard: true}
	for _, i := range items {
		c.Rules = append(c.Rules, d.program.ref(&list[i]))
		c.Facts = d.deep(c.Facts, list[i].rule, nil)
		c.Hard = c.Hard && list[i].level.Hard()
	}
	if !g.virtual && len(g.choices) < 1<<len(g.settings) || len(g.settings) > 1 {
		c.Device = d.ability(g, -1)
	}
	return c
}

// ability says what a device can do, in one sentence: about one setting, or about all of the group.
func (d *derivation) ability(g *group, at int) string {
	if g.virtual {
		return ""
	}
	var out []string
	for i, name := range g.settings {
		if at < 0 || at == i {
			out = append(out, name+": "+valuesOf(g, i, g.full))
		}
	}
	text := fmt.Sprintf("%s (%s) has %s", g.device.Name, g.device.Profile.ID, strings.Join(out, "; "))
	if len(g.settings) > 1 && len(g.options) > 0 {
		text += ", set together by " + strings.Join(g.optionIDs(), ", ")
	}
	return text + "."
}

// factoryStands is the reason when nothing forbids a value and nothing asks for it.
func (d *derivation) factoryStands(g *group, at int) string {
	pick := bits.TrailingZeros64(d.state.groups[g.index].pick)
	return fmt.Sprintf("Nothing forbids it and nothing asks for it: %s stays as it comes, %s.", g.settings[at], g.choices[pick].values[at])
}

// deep adds the facts behind a rule, and those behind the settings that it reads, each once.
func (d *derivation) deep(out []FactRef, rule int32, seen []string) []FactRef {
	for _, f := range d.factsOf(rule) {
		if !slices.Contains(out, f) {
			out = append(out, f)
		}
		name, ok := strings.CutPrefix(f.Name, "setting ")
		g := d.program.first(name)
		if !ok || slices.Contains(seen, name) || g == nil {
			continue
		}
		seen = append(seen, name)
		at := g.place(name)
		var s Setting
		d.because(&s, g, at)
		for i := range g.constraints {
			if slices.Contains(s.Rules, d.program.ref(&g.constraints[i])) {
				out = d.deep(out, g.constraints[i].rule, seen)
			}
		}
	}
	return out
}
