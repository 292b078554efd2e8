package derive

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/config/source"
	"asleft/rules/base"
)

// group is the smallest set of settings of one device that is decided together: the settings of one option,
// or of several options that share a setting. Its choices are the combinations that the device can express,
// so a combination that it cannot express never comes up: that is the whole of a device limit.
type group struct {
	index    int32
	v        int32 // its variable
	device   *base.Fitted
	virtual  bool // no device has the settings; they stand for what the install needs
	settings []string
	options  []*profile.Option // keyed, strap, dial, cable or learned; none for fixed settings
	choices  []choice
	full     uint64
	factory  uint64 // bit of the factory choice, 0 for none

	constraints []constraint
}

// choice is one way to set the options of a group.
type choice struct {
	positions []string        // name of the value of each option
	values    []setting.Value // of each setting; "" when the setting has no meaning in this choice
}

// maxChoices bounds a group: its choices are the bits of one word.
const maxChoices = 62

func (g *group) place(name string) int { return slices.Index(g.settings, name) }

func (g *group) name() string { return strings.Join(g.settings, " with ") }

func (g *group) optionIDs() []string {
	var out []string
	for _, o := range g.options {
		out = append(out, o.ID)
	}
	return out
}

// mask are the choices whose value of the setting passes.
func (g *group) mask(at int, passes func(setting.Value) bool) uint64 {
	m := uint64(0)
	for i, c := range g.choices {
		if passes(c.values[at]) {
			m |= 1 << i
		}
	}
	return m
}

// addDevices makes the groups of all devices and remotes.
func (p *program) addDevices(in Input) error {
	var problems source.Problems
	devices := slices.Clone(p.facts.Devices)
	slices.SortStableFunc(devices, func(a, b base.Fitted) int { return cmp.Compare(kindRank(a), kindRank(b)) })
	for i := range devices {
		d := &devices[i]
		for _, options := range clusters(d.Profile.Options) {
			g := &group{device: d, options: options, settings: settingsOf(options)}
			if !g.combine() {
				problems = append(problems, d.Profile.Doc.Problem(source.Problem{
					Message:  fmt.Sprintf("the options %v have more than %d combinations", g.optionIDs(), maxChoices),
					Expected: "fewer values, or options that share no setting",
				}, "option", options[0].ID))
				continue
			}
			p.add(g)
		}
		fixed := fixedSettings(d.Profile)
		for _, name := range sortedNames(fixed) {
			if !p.has(d, name) {
				p.add(fixedGroup(d, name, fixed[name]))
			}
		}
	}
	if problems != nil {
		return problems
	}
	p.addGestures(in)
	return nil
}

func kindRank(d base.Fitted) int {
	if d.Profile.Kind == profile.Controller {
		return 0
	}
	return 1
}

func (p *program) add(g *group) {
	g.index = int32(len(p.groups))
	g.full = bitsBelow(len(g.choices))
	p.groups = append(p.groups, g)
	for _, s := range g.settings {
		p.bySet[s] = append(p.bySet[s], g.index)
	}
}

// first is the group of the first device that has a setting, which is the one that rules read; nil where none has it.
func (p *program) first(name string) *group {
	if groups := p.bySet[name]; len(groups) > 0 {
		return p.groups[groups[0]]
	}
	return nil
}

func (p *program) has(d *base.Fitted, name string) bool {
	return slices.ContainsFunc(p.bySet[name], func(i int32) bool { return p.groups[i].device == d })
}

// clusters joins options that share a setting, directly or through others.
func clusters(options []profile.Option) [][]*profile.Option {
	home := map[string]int{} // setting -> cluster
	var out [][]*profile.Option
	for i := range options {
		o := &options[i]
		if len(o.Values) == 0 {
			continue
		}
		names := settingsOf([]*profile.Option{o})
		mine := len(out)
		out = append(out, []*profile.Option{o})
		for _, s := range names {
			other, taken := home[s]
			if taken && other != mine {
				out[mine] = append(out[other], out[mine]...)
				out[other] = nil
				// order-free: every one that was there moves here
				for have, at := range home {
					if at == other {
						home[have] = mine
					}
				}
			}
			home[s] = mine
		}
	}
	return slices.DeleteFunc(out, func(c []*profile.Option) bool { return c == nil })
}

// settingsOf are all settings of the options, sorted.
func settingsOf(options []*profile.Option) []string {
	var out []string
	for _, o := range options {
		for _, v := range o.Values {
			// order-free: the list is sorted at the end
			for s := range v.Is {
				if !slices.Contains(out, s) {
					out = append(out, s)
				}
			}
		}
	}
	slices.Sort(out)
	return out
}

// combine lists the choices of a group: every combination of values in which the options agree on the settings
// that they share. It reports false when there are too many.
func (g *group) combine() bool {
	all := []map[string]string{{}}
	names := [][]string{nil}
	for _, o := range g.options {
		var next []map[string]string
		var nextNames [][]string
		for i, have := range all {
			for _, v := range o.Values {
				joined, ok := merge(have, v.Is)
				if !ok {
					continue
				}
				next = append(next, joined)
				nextNames = append(nextNames, append(slices.Clone(names[i]), v.Name))
			}
		}
		all, names = next, nextNames
		if len(all) > maxChoices {
			return false
		}
	}
	for i, is := range all {
		c := choice{positions: names[i], values: make([]setting.Value, len(g.settings))}
		factory := true
		for k, o := range g.options {
			factory = factory && names[i][k] == o.Factory
		}
		for at, s := range g.settings {
			c.values[at] = setting.Value(is[s])
		}
		if factory {
			g.factory = 1 << len(g.choices)
		}
		g.choices = append(g.choices, c)
	}
	return len(g.choices) > 0 && len(g.settings) <= maxSettings
}

// merge joins two sets of setting = value; false when they disagree.
func merge(a, b map[string]string) (map[string]string, bool) {
	out := make(map[string]string, len(a)+len(b))
	for k, v := range a {
		out[k] = v
	}
	// order-free: any clash ends it the same way
	for k, v := range b {
		if have, ok := out[k]; ok && have != v {
			return nil, false
		}
		out[k] = v
	}
	return out, true
}

// fixedSettings are those by which a device works without any option: what its papers fix, and what its feeds
// and outputs can do in one way only.
func fixedSettings(p *profile.Profile) map[string]string {
	out := map[string]string{}
	for _, f := range p.Feeds {
		if len(f.Roles) == 1 {
			out[setting.Instance("feed.NAME.role", f.Name)] = f.Roles[0]
		}
	}
	for _, o := range p.Outputs {
		if o.Use != "aux" {
			continue
		}
		if len(o.Behaviours) == 1 {
			out[setting.Instance("aux.N.behaviour", o.Name)] = o.Behaviours[0]
		}
		if len(o.Seconds) == 1 {
			out[setting.Instance("aux.N.seconds", o.Name)] = string(setting.Number(o.Seconds[0]))
		}
		if len(o.Counts) == 1 {
			out[setting.Instance("aux.N.count", o.Name)] = strconv.Itoa(o.Counts[0])
		}
	}
	for k, v := range p.Fixed {
		out[k] = v
	}
	return out
}

func fixedGroup(d *base.Fitted, name, value string) *group {
	return &group{device: d, settings: []string{name}, choices: []choice{{values: []setting.Value{setting.Value(value)}}}}
}

// addGestures makes a group of each gesture that can be taught a channel, or sends a fixed one.
func (p *program) addGestures(in Input) {
	if in.Demands == nil {
		return
	}
	for i := range p.facts.Remotes {
		r := &p.facts.Remotes[i]
		for _, gesture := range r.Profile.Gestures {
			g := &group{device: r, settings: []string{setting.Instance("remote.R.gesture.G", r.Name, gesture.ID)}}
			channels := gesture.Teachable
			if gesture.Channel != 0 {
				channels = []int{gesture.Channel}
			}
			if gesture.Channel == 0 { // untaught, which is how it comes: first
				g.choices = append(g.choices, choice{values: []setting.Value{setting.None}})
			}
			for _, c := range channels {
				g.choices = append(g.choices, choice{values: []setting.Value{setting.Value(strconv.Itoa(c))}})
			}
			if len(g.choices) > 0 && len(g.choices) <= maxChoices {
				p.add(g)
			}
		}
	}
}

// addVirtual makes groups of settings that no device has and that rules speak of: they say what the install
// needs, and rules may read them.
func (p *program) addVirtual(in Input) {
	values := map[string][]setting.Value{}
	for _, r := range p.facts.Base.Rules {
		for _, e := range r.Effects {
			for _, instance := range p.instances(r.Each) {
				name := base.Fill(e.Setting, instance)
				if len(p.bySet[name]) == 0 && !in.skips(name) {
					values[name] = append(values[name], e.Values...)
				}
			}
		}
	}
	controller := p.facts.Controller()
	for _, name := range sortedNames(values) {
		family, _, ok := familyOf(name)
		if !ok {
			continue
		}
		list := values[name]
		if family.Kind == setting.KindWord {
			list = nil
			for _, w := range family.Words {
				list = append(list, setting.Value(w))
			}
		}
		g := &group{device: &controller, virtual: true, settings: []string{name}}
		for _, v := range list {
			if v == "largest" || v == "smallest" || slices.ContainsFunc(g.choices, func(c choice) bool { return c.values[0] == v }) {
				continue
			}
			g.choices = append(g.choices, choice{values: []setting.Value{v}})
		}
		if family.Kind != setting.KindWord {
			g.choices = append(g.choices, choice{values: []setting.Value{""}}) // any other value
		}
		if len(g.choices) <= maxChoices {
			p.add(g)
		}
	}
}

func sortedNames[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
