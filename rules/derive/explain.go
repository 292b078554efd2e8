package derive

import (
	"fmt"
	"slices"
	"strings"

	"asleft/config/setting"
	"asleft/config/source"
)

// Explanation is the chain from facts to the value of a setting.
type Explanation struct {
	Setting Setting
	Steps   []Step        // one for each rule that had a say, highest level first
	Through []Explanation // settings that those rules read, each explained in turn
}

// Step is one rule with what it read and said.
type Step struct {
	Rule  RuleRef
	Facts []FactRef
}

// Answers is a derivation that questions can be asked about, without deriving again.
type Answers struct {
	Result *Result
	d      *derivation
}

// Ask derives once. The error is that of Derive.
func Ask(in Input) (*Answers, error) {
	d, r, err := derived(in)
	if err != nil {
		return nil, err
	}
	return &Answers{Result: r, d: d}, nil
}

// Explain says why a setting has its value: which rules had a say, which facts and settings they read, and so on down
// to what was measured, asked or wished. key.Device may be "" when only one device has the setting. The error is
// source.Problems: a setting that this install does not have, with the nearest that it has.
func (a *Answers) Explain(key setting.Key) (Explanation, error) {
	g, at, err := a.d.find(key)
	if err != nil {
		return Explanation{}, err
	}
	return a.d.explain(a.Result, g, at, nil), nil
}

// Explain derives and explains one setting.
func Explain(in Input, key setting.Key) (Explanation, error) {
	a, err := Ask(in)
	if err != nil {
		return Explanation{}, err
	}
	return a.Explain(key)
}

// derived prepares and runs once, for questions about the result.
func derived(in Input) (*derivation, *Result, error) {
	d, err := prepare(in)
	if err != nil {
		return nil, nil, err
	}
	d.run()
	return d, d.report(), nil
}

// find is the group and place of a setting.
func (d *derivation) find(key setting.Key) (*group, int, error) {
	var devices, names []string
	var found *group
	for _, g := range d.program.groups {
		for _, name := range g.settings {
			if d.in.skips(name) {
				continue
			}
			names = append(names, name)
			if name == key.Setting && (key.Device == "" || key.Device == g.device.Name) {
				devices = append(devices, g.device.Name)
				if found == nil {
					found = g
				}
			}
		}
	}
	switch {
	case found == nil:
		return nil, 0, source.Problems{{
			Message: fmt.Sprintf("this install has no setting %s", key), Found: key.Setting, Nearest: source.Nearest(key.Setting, names),
		}}
	case len(devices) > 1:
		return nil, 0, source.Problems{{
			Message: fmt.Sprintf("several devices have the setting %s", key.Setting), Expected: "one of " + strings.Join(devices, ", ") + ", as DEVICE/SETTING",
		}}
	}
	return found, found.place(key.Setting), nil
}

// explain follows the rules behind a setting; above are the settings on the way down, so that shared ones are explained
// once.
func (d *derivation) explain(r *Result, g *group, at int, above []string) Explanation {
	name := g.settings[at]
	s, _ := r.Get(setting.Key{Device: g.device.Name, Setting: name})
	e := Explanation{Setting: s}
	above = append(slices.Clone(above), name)
	got := &d.state.groups[g.index]
	for i := range g.constraints {
		c := &g.constraints[i]
		ref := d.program.ref(c)
		if !slices.Contains(s.Rules, ref) || got.none&(1<<c.at) != 0 && !c.none {
			continue
		}
		step := Step{Rule: ref, Facts: d.factsOf(c.rule)}
		e.Steps = append(e.Steps, step)
		for _, f := range step.Facts {
			read, ok := strings.CutPrefix(f.Name, "setting ")
			through := d.program.first(read)
			if !ok || slices.Contains(above, read) || through == nil {
				continue
			}
			above = append(above, read)
			e.Through = append(e.Through, d.explain(r, through, through.place(read), above))
		}
	}
	return e
}
