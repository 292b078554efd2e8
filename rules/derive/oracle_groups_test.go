package derive_test

import (
	"slices"
	"strconv"
	"strings"

	"asleft/config/setting"
)

// group is a set of settings that a device decides together, as the oracle reads it out of a profile: the settings of an option, of
// options that share a setting, one that is fixed, or a gesture. A virtual group is a setting that no device of some install has.
type group struct {
	index    int
	profile  string // id; "" for a virtual group
	remote   string // name of the remote in the job, for a gesture
	settings []string
	options  []optionText
	places   [][]string // positions of the options, by choice
	choices  [][]string // value of each setting, by choice; "" where it has no meaning
	factory  int        // -1 without one

	list   []constraint // what is said about it, in the order of the walk
	speaks map[int]bool // levels at which something is said
}

type optionText struct {
	id, how, factory string
	names            []string            // of the positions
	is               []map[string]string // what each position sets
}

// readOptions reads the options of a profile.
func readOptions(p *tree) []optionText {
	var out []optionText
	for _, id := range p.keys("option") {
		t := p.get("option", id)
		o := optionText{id: id, how: t.str("how"), factory: t.str("factory")}
		for _, name := range t.words("values") {
			o.names = append(o.names, name)
			o.is = append(o.is, map[string]string{t.str("setting"): canonical(t.str("setting"), name)})
		}
		for _, name := range t.keys("value") {
			o.names = append(o.names, name)
			o.is = append(o.is, readValues(t.get("value", name, "is")))
		}
		if len(o.names) > 0 {
			out = append(out, o)
		}
	}
	return out
}

func readValues(t *tree) map[string]string {
	out := map[string]string{}
	for _, s := range t.keys() {
		out[s] = canonical(s, t.str(s))
	}
	return out
}

// speaksOf are the settings of an option, sorted.
func (o optionText) speaksOf() []string {
	var out []string
	for _, is := range o.is {
		for s := range is {
			out = append(out, s)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// readGroups reads the groups of a controller or module.
func readGroups(id string, p *tree) []*group {
	var out []*group
	taken := map[string]bool{}
	for _, options := range together(readOptions(p)) {
		g := &group{profile: id, options: options, factory: -1}
		for _, o := range options {
			g.settings = append(g.settings, o.speaksOf()...)
		}
		slices.Sort(g.settings)
		g.settings = slices.Compact(g.settings)
		g.combine(0, map[string]string{}, nil)
		for _, s := range g.settings {
			taken[s] = true
		}
		out = append(out, g)
	}
	fixed := fixedValues(p)
	for _, s := range sorted(fixed) {
		if !taken[s] {
			out = append(out, &group{profile: id, settings: []string{s}, choices: [][]string{{fixed[s]}}, places: [][]string{nil}, factory: -1})
		}
	}
	return out
}

// together joins options that share a setting, however far away.
func together(options []optionText) [][]optionText {
	var out [][]optionText
	for _, o := range options {
		mine := []optionText{o}
		var rest [][]optionText
		for _, other := range out {
			if slices.ContainsFunc(other, func(x optionText) bool {
				return slices.ContainsFunc(x.speaksOf(), func(s string) bool { return slices.Contains(o.speaksOf(), s) })
			}) {
				mine = append(other, mine...)
			} else {
				rest = append(rest, other)
			}
		}
		out = append(rest, mine)
	}
	return out
}

// combine lists the ways to set the options, the first option changing slowest, that agree on the settings they share.
func (g *group) combine(i int, have map[string]string, names []string) {
	if i == len(g.options) {
		row := make([]string, len(g.settings))
		factory := true
		for at, s := range g.settings {
			row[at] = have[s]
		}
		for k, o := range g.options {
			factory = factory && names[k] == o.factory
		}
		if factory {
			g.factory = len(g.choices)
		}
		g.choices = append(g.choices, row)
		g.places = append(g.places, slices.Clone(names))
		return
	}
	o := g.options[i]
	for k, is := range o.is {
		next, agrees := map[string]string{}, true
		for s, v := range have {
			next[s] = v
		}
		for s, v := range is {
			agrees = agrees && (next[s] == "" || next[s] == v)
			next[s] = v
		}
		if agrees {
			g.combine(i+1, next, append(names[:i:i], o.names[k]))
		}
	}
}

// fixedValues are those by which a device works without an option: what its papers fix, and feeds and outputs that can do one thing.
func fixedValues(p *tree) map[string]string {
	out := map[string]string{}
	for _, f := range p.keys("feed") {
		if roles := p.words("feed", f, "roles"); len(roles) == 1 {
			out["feed."+f+".role"] = roles[0]
		}
	}
	for _, o := range p.keys("output") {
		if p.str("output", o, "use") != "aux" {
			continue
		}
		if b := p.words("output", o, "behaviours"); len(b) == 1 {
			out["aux."+o+".behaviour"] = b[0]
		}
		for key, name := range map[string]string{"seconds": "seconds", "counts": "count"} {
			if t := p.get("output", o, key); t != nil && len(t.nums) == 1 {
				s := "aux." + o + "." + name
				out[s] = canonical(s, strconv.FormatFloat(t.nums[0], 'f', -1, 64))
			}
		}
	}
	for s, v := range readValues(p.get("fixed")) {
		out[s] = v
	}
	return out
}

// gestures are the groups of a remote: what each gesture sends, or can be taught.
func gestures(id, name string, p *tree) []*group {
	var out []*group
	for _, gesture := range p.keys("gesture") {
		g := &group{profile: id, remote: name, settings: []string{"remote." + name + ".gesture." + gesture}, factory: -1}
		if c := p.str("gesture", gesture, "channel"); c != "" {
			g.choices = [][]string{{c}}
		} else {
			g.choices = [][]string{{"none"}}
			if t := p.get("gesture", gesture, "teachable"); t != nil {
				for _, n := range t.nums {
					g.choices = append(g.choices, []string{strconv.Itoa(int(n))})
				}
			}
		}
		g.places = make([][]string, len(g.choices))
		out = append(out, g)
	}
	return out
}

// virtual is a setting that no device has: its choices are the vocabulary, or the numbers and words that rules name, and any other.
func (b *rulebook) virtual(name string) *group {
	f, ok := setting.Find(name)
	if !ok {
		return nil
	}
	g := &group{settings: []string{name}, factory: -1}
	if f.Kind == setting.KindWord {
		for _, w := range f.Words {
			g.choices = append(g.choices, []string{w})
		}
		return g
	}
	for _, r := range b.rules {
		for _, e := range r.effects {
			if e.verb == "at-most" || e.verb == "at-least" || !sameSetting(e.setting, name) {
				continue
			}
			for _, v := range e.values {
				if v != "largest" && v != "smallest" && !slices.ContainsFunc(g.choices, func(c []string) bool { return c[0] == v }) {
					g.choices = append(g.choices, []string{v})
				}
			}
		}
	}
	g.choices = append(g.choices, []string{""})
	return g
}

// sameSetting reports whether a setting of a rule, which may have the part NAME, can be the setting of that name.
func sameSetting(pattern, name string) bool {
	x, y := strings.Split(pattern, "."), strings.Split(name, ".")
	return slices.EqualFunc(x, y, func(p, q string) bool { return p == "NAME" || p == q })
}

func sorted[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
