package proof

import (
	"slices"
	"strconv"

	"asleft/config/profile"
	"asleft/config/setting"
)

// options adds the groups of a device: its options, joined where they share a setting, and what it does in one way only.
func (s *shape) options(p *profile.Profile) {
	var open [][]profile.Option // sets of options that share settings
	for _, o := range p.Options {
		if len(o.Values) == 0 {
			continue
		}
		mine := []profile.Option{o}
		var apart [][]profile.Option
		for _, set := range open {
			if share(set, o) {
				mine = append(set, mine...)
			} else {
				apart = append(apart, set)
			}
		}
		open = append(apart, mine)
	}
	own := map[string]bool{}
	for _, set := range open {
		g := combined(set)
		g.device = p
		for _, name := range g.settings {
			own[name] = true
		}
		s.add(g)
	}
	fixed := fixedOf(p)
	for _, name := range sorted(fixed) {
		if !own[name] {
			s.add(&group{device: p, settings: []string{name}, choices: [][]string{{fixed[name]}}, factory: -1})
		}
	}
}

// share reports whether an option has a setting in common with others.
func share(set []profile.Option, o profile.Option) bool {
	names := namesOf(o)
	return slices.ContainsFunc(set, func(other profile.Option) bool {
		return slices.ContainsFunc(namesOf(other), func(name string) bool { return slices.Contains(names, name) })
	})
}

func namesOf(o profile.Option) []string {
	var out []string
	for _, v := range o.Values {
		out = append(out, sorted(v.Is)...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// way is one way to set some options.
type way struct {
	is      map[string]string
	factory bool // every option stands as it comes from the factory
}

// combined is every way to set options that agree on the settings they share.
func combined(set []profile.Option) *group {
	g := &group{factory: -1}
	ways := []way{{factory: true}}
	for _, o := range set {
		g.settings = append(g.settings, namesOf(o)...)
		var next []way
		for _, have := range ways {
			for _, v := range o.Values {
				if joined, ok := agree(have.is, v.Is); ok {
					next = append(next, way{joined, have.factory && v.Name == o.Factory})
				}
			}
		}
		ways = next
	}
	slices.Sort(g.settings)
	g.settings = slices.Compact(g.settings)
	for at, w := range ways {
		choice := make([]string, len(g.settings))
		for at, name := range g.settings {
			choice[at] = w.is[name]
		}
		if w.factory {
			g.factory = at
		}
		g.choices = append(g.choices, choice)
	}
	return g
}

// agree joins two sets of setting = value; false when they differ on one.
func agree(a, b map[string]string) (map[string]string, bool) {
	out := map[string]string{}
	for _, name := range sorted(a) {
		out[name] = a[name]
	}
	for _, name := range sorted(b) {
		if have, ok := out[name]; ok && have != b[name] {
			return nil, false
		}
		out[name] = b[name]
	}
	return out, true
}

// fixedOf is what a device does without an option: what its papers fix, and feeds and outputs that know one way only.
func fixedOf(p *profile.Profile) map[string]string {
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
	for _, name := range sorted(p.Fixed) {
		out[name] = p.Fixed[name]
	}
	return out
}

// sorted are the keys of a map, in order.
func sorted[V any](m map[string]V) []string {
	var out []string
	for name := range m {
		out = append(out, name)
	}
	slices.Sort(out)
	return out
}
