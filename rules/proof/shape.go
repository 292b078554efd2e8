package proof

import (
	"slices"
	"strconv"

	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/rules/base"
)

// Bounds of the proof: so many instances of each kind at most. Every smaller number is covered as well, because each instance may
// be there or not.
const (
	maxOpenings  = 6
	maxCircuits  = 8
	maxFunctions = 4
	maxOutputs   = 4
	freeFeeds    = 4
)

// shape is what one proof is about: devices with the settings that they can hold, and the instances that an install may have.
type shape struct {
	base *base.Base
	name string // "demo-alder with demo-quartz"
	free bool   // abilities of the device are left open

	controller, module *profile.Profile // nil for the free device; a shape may have no module
	instances          map[string][]string
	groups             []*group
	home               map[string][]int // groups that hold a setting, the controller's first
}

// group is what a device sets together: the settings of options that share one. A choice is a value for each of its settings.
type group struct {
	device   *profile.Profile // nil for the free device, and where no device has the setting
	settings []string
	choices  [][]string // "" where the setting has no meaning in the choice
	virtual  bool       // no device has the setting: its value says what the install needs
	factory  int        // choice that comes from the factory, -1 for none
}

// Values that stand for all those of which no rule speaks.
const otherValue = "(any other)"

// shapeOf is the shape of a controller with a module, or without one (nil).
func shapeOf(b *base.Base, controller, module *profile.Profile) *shape {
	s := newShape(b, controller.ID)
	s.controller, s.module = controller, module
	devices := []*profile.Profile{controller}
	if module != nil {
		s.name += " with " + module.ID
		devices = append(devices, module)
	}
	for _, d := range devices {
		for _, f := range d.Feeds {
			s.instances["feed"] = append(s.instances["feed"], f.Name)
		}
		for _, o := range d.Outputs {
			s.instances["output"] = append(s.instances["output"], o.Name)
		}
		s.options(d)
	}
	slices.Sort(s.instances["feed"])
	s.instances["feed"] = slices.Compact(s.instances["feed"])
	slices.Sort(s.instances["output"])
	s.instances["output"] = slices.Compact(s.instances["output"])
	s.missing()
	return s
}

// freeShape is the shape of a device that has any settings, with any of their values.
func freeShape(b *base.Base) *shape {
	s := newShape(b, "a device whose abilities are left open")
	s.free = true
	s.instances["feed"] = numbered("f", freeFeeds)
	s.instances["output"] = numbered("", maxOutputs)
	for _, f := range setting.Families() {
		names := []string{f.Pattern}
		if f.Pattern == "feed.NAME.role" {
			names = nil
			for _, feed := range s.instances["feed"] {
				names = append(names, setting.Instance(f.Pattern, feed))
			}
		}
		for _, name := range names {
			if !base.OfPlan(name) {
				s.add(&group{settings: []string{name}, choices: column(s.spoken(name, f)), factory: -1})
			}
		}
	}
	return s
}

func newShape(b *base.Base, name string) *shape {
	return &shape{base: b, name: name, home: map[string][]int{}, instances: map[string][]string{
		"opening": numbered("o", maxOpenings), "circuit": numbered("c", maxCircuits), "function": numbered("f", maxFunctions), "remote": {"r1"},
	}}
}

func numbered(prefix string, n int) []string {
	var out []string
	for i := 1; i <= n; i++ {
		out = append(out, prefix+strconv.Itoa(i))
	}
	return out
}

func (s *shape) add(g *group) {
	for _, name := range g.settings {
		s.home[name] = append(s.home[name], len(s.groups))
	}
	s.groups = append(s.groups, g)
}

// instancesOf are the instances of a kind, fixed or not.
func (s *shape) instancesOf(kind string) []string {
	if kind == "" {
		return []string{""}
	}
	if words, fixed := s.base.Kinds[kind]; fixed {
		return words
	}
	return s.instances[kind]
}

// missing adds groups for settings that rules decide and no device has.
func (s *shape) missing() {
	for _, r := range s.base.Rules {
		for _, e := range r.Effects {
			for _, instance := range s.instancesOf(r.Each) {
				name := base.Fill(e.Setting, instance)
				if len(s.home[name]) > 0 || base.OfPlan(name) {
					continue
				}
				if f, ok := setting.Find(name); ok {
					s.add(&group{settings: []string{name}, choices: column(s.spoken(name, f)), virtual: true, factory: -1})
				}
			}
		}
	}
}

// spoken are the values of a setting of which the vocabulary or a rule speaks, and for numbers and sets one more for all others.
func (s *shape) spoken(name string, f setting.Family) []string {
	out := slices.Clone(f.Words)
	if f.Kind == setting.KindWord {
		return out
	}
	if f.Kind == setting.KindSet {
		out = []string{string(setting.None)}
	}
	say := func(pattern string, values ...string) {
		if p, ok := setting.Find(base.Fill(pattern, "x")); ok && p.Pattern == f.Pattern {
			out = append(out, values...)
		}
	}
	for _, r := range s.base.Rules {
		for _, e := range r.Effects {
			for _, v := range e.Values {
				say(e.Setting, string(v))
			}
		}
		for _, l := range r.When.Lines() {
			l.Leaves(func(leaf *base.Line, _ string) {
				if leaf.Subject != base.OfFact {
					say(leaf.Name, leaf.Values...)
				}
			})
		}
	}
	out = slices.DeleteFunc(out, func(v string) bool { return v == "largest" || v == "smallest" })
	slices.Sort(out)
	return append(slices.Compact(out), otherValue)
}

func column(values []string) [][]string {
	var out [][]string
	for _, v := range values {
		out = append(out, []string{v})
	}
	return out
}
