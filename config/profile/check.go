package profile

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"asleft/config/setting"
	"asleft/config/source"
)

// check compares the tables of a profile with each other and notes every
// contradiction in the document.
func (p *Profile) check() {
	if p.Kind == Remote {
		p.checkRemote()
		return
	}
	p.checkChannels()
	p.checkAddresses()
	setBy := map[string][]string{}
	for _, o := range p.Options {
		p.checkOption(o, setBy)
	}
	for _, name := range slices.Sorted(maps.Keys(p.Fixed)) {
		path := []string{"fixed", name}
		if p.claim(setBy, name, path) {
			p.checkValue(name, p.Fixed[name], path)
		}
	}
	if p.Exit != nil {
		p.checkExit()
	}
}

// fault notes a contradiction. Messages quote names that people typed, so they
// are made visible here.
func (p *Profile) fault(problem source.Problem, path ...string) {
	problem.Message = source.Visible(problem.Message)
	p.Doc.Fault(problem, path...)
}

// claim notes who sets a setting. It refuses, at path, a setting that is set in
// a second place and one of a feed or output that the device does not have.
func (p *Profile) claim(setBy map[string][]string, name string, path []string) bool {
	if first, taken := setBy[name]; taken {
		p.fault(source.Problem{Message: fmt.Sprintf("%s is set in two places", name),
			Expected: "one option, or one line under [fixed]", Also: []source.Pos{p.Doc.Where(first...)}}, path...)
		return false
	}
	setBy[name] = path
	problem, missing := p.missingPart(name)
	if missing {
		p.fault(problem, path...)
	}
	return !missing
}

func (p *Profile) checkChannels() {
	var names []string
	for _, o := range p.Outputs {
		if o.Use == "aux" {
			names = append(names, o.Name)
		}
	}
	for _, c := range p.Channels {
		for i, name := range c.Fires {
			at := []string{"channel", fmt.Sprint(c.Number), "fires", fmt.Sprint(i)}
			if !slices.Contains(names, name) {
				p.fault(source.Problem{Message: fmt.Sprintf("channel %d fires %q, which is not a free output", c.Number, name),
					Expected: "one of " + list(names), Found: fmt.Sprintf("%q", name), Nearest: source.Nearest(name, names)}, at...)
			} else if slices.Contains(c.Fires[:i], name) {
				p.fault(source.Problem{Message: fmt.Sprintf("channel %d fires %q twice", c.Number, name), Expected: "each output once"}, at...)
			}
		}
	}
}

// checkAddresses: a keyed option stands inside the menus, and no two at one
// place of them.
func (p *Profile) checkAddresses() {
	first := map[[2]int]string{}
	for _, o := range p.Options {
		if o.How != "keyed" {
			continue
		}
		p.checkMenu(o)
		at := [2]int{o.Bank, o.Item}
		if other, taken := first[at]; taken {
			p.fault(source.Problem{Message: fmt.Sprintf("bank %d item %d is taken by option %s", o.Bank, o.Item, other),
				Expected: "a place for each option", Also: []source.Pos{p.Doc.Where("option", other, "item")}}, "option", o.ID, "item")
			continue
		}
		first[at] = o.ID
	}
}

// checkMenu: there is a way to key the option, and its place is inside the banks
// whose sizes [keying] tells.
func (p *Profile) checkMenu(o Option) {
	if p.Keying == nil {
		p.fault(source.Problem{Message: fmt.Sprintf("option %s is keyed, and the file does not say how the device is keyed", o.ID),
			Expected: "a [keying] table, or another `how`"}, "option", o.ID, "how")
		return
	}
	sizes := p.Keying.Sizes
	switch {
	case len(sizes) == 0:
	case o.Bank > len(sizes):
		p.fault(source.Problem{Message: fmt.Sprintf("[keying] tells the sizes of %d banks", len(sizes)), Expected: fmt.Sprintf("1 to %d", len(sizes)),
			Found: fmt.Sprint(o.Bank), Also: []source.Pos{p.Doc.Where("keying", "sizes")}}, "option", o.ID, "bank")
	case o.Item > sizes[o.Bank-1]:
		p.fault(source.Problem{Message: fmt.Sprintf("bank %d has %d items", o.Bank, sizes[o.Bank-1]), Expected: fmt.Sprintf("1 to %d", sizes[o.Bank-1]),
			Found: fmt.Sprint(o.Item), Also: []source.Pos{p.Doc.Where("keying", "sizes", fmt.Sprint(o.Bank-1))}}, "option", o.ID, "item")
	}
}

func (p *Profile) checkOption(o Option, setBy map[string][]string) {
	at := []string{"option", o.ID}
	if len(o.Values) < 2 {
		p.fault(source.Problem{Message: fmt.Sprintf("option %s has no choice", o.ID),
			Expected: "two values or more; what cannot be changed stands under [fixed]"}, at...)
		return
	}
	sets := slices.Sorted(maps.Keys(o.Values[0].Is))
	sound := map[string]bool{}
	for _, name := range sets {
		sound[name] = p.claim(setBy, name, o.path(0, name))
	}
	seen := map[string]string{}
	for i, v := range o.Values {
		if !sameKeys(v.Is, o.Values[0].Is) {
			p.fault(source.Problem{Message: fmt.Sprintf("value %s of option %s sets other settings than value %s", v.Name, o.ID, o.Values[0].Name),
				Expected: list(sets), Found: list(slices.Sorted(maps.Keys(v.Is)))}, o.path(i, "")...)
			continue
		}
		if twin, ok := seen[fmt.Sprint(v.Is)]; ok {
			p.fault(source.Problem{Message: fmt.Sprintf("values %s and %s of option %s mean the same", twin, v.Name, o.ID),
				Expected: "each value once"}, o.path(i, "")...)
		}
		seen[fmt.Sprint(v.Is)] = v.Name
		for _, name := range sets {
			if sound[name] {
				p.checkValue(name, v.Is[name], o.valuePath(i, name))
			}
		}
		p.checkMoves(o, i)
	}
}

// path is where the option says that its i-th value sets name; name "" is the
// value itself.
func (o Option) path(i int, name string) []string {
	switch {
	case o.Written && name == "":
		return []string{"option", o.ID, "value", o.Values[i].Name}
	case o.Written:
		return []string{"option", o.ID, "value", o.Values[i].Name, "is", name}
	case name == "":
		return []string{"option", o.ID, "values", fmt.Sprint(i)}
	}
	return []string{"option", o.ID, "setting"}
}

// valuePath is where the i-th value of name stands.
func (o Option) valuePath(i int, name string) []string {
	if o.Written {
		return o.path(i, name)
	}
	return o.path(i, "")
}

func sameKeys(a, b map[string]string) bool {
	return slices.Equal(slices.Sorted(maps.Keys(a)), slices.Sorted(maps.Keys(b)))
}

func (p *Profile) checkMoves(o Option, i int) {
	v := o.Values[i]
	for _, id := range slices.Sorted(maps.Keys(v.Moves)) {
		at := []string{"option", o.ID, "moves", v.Name, id}
		if o.Written {
			at = append(o.path(i, ""), "moves", id)
		}
		other, ok := p.Option(id)
		if !ok || id == o.ID {
			p.fault(source.Problem{Message: fmt.Sprintf("%q is no other option of the device", id),
				Expected: "the id of an option", Nearest: source.Nearest(id, p.optionIDs())}, at...)
			continue
		}
		if _, place := other.Value(v.Moves[id]); place < 0 {
			p.fault(source.Problem{Message: fmt.Sprintf("option %s has no value %q", id, v.Moves[id]),
				Expected: "one of " + list(other.names())}, at...)
		}
	}
}

func (p *Profile) optionIDs() []string {
	var ids []string
	for _, o := range p.Options {
		ids = append(ids, o.ID)
	}
	return ids
}

func (o Option) names() []string {
	var names []string
	for _, v := range o.Values {
		names = append(names, v.Name)
	}
	return names
}

// missingPart looks for the feed or output that a setting speaks of.
func (p *Profile) missingPart(name string) (source.Problem, bool) {
	family, _ := setting.Find(name)
	parts, _ := family.Parts(name)
	if len(parts) == 0 {
		return source.Problem{}, false
	}
	stem, _, _ := strings.Cut(name, ".")
	switch stem {
	case "feed":
		_, ok := p.Feed(parts[0])
		return noPart("feed", parts[0], names(p.Feeds, func(f Feed) string { return f.Name })), !ok
	case "aux", "state-output":
		use := outputUse[stem]
		o, ok := p.Output(parts[0])
		return noPart("output for "+use, parts[0], names(p.Outputs, func(o Output) string { return o.Name })), !ok || o.Use != use
	}
	return source.Problem{Message: "gestures are taught to a remote and are no option of a device", Expected: "`teachable` in the remote's profile"}, true
}

// outputUse is the use of the outputs that a family of settings speaks of.
var outputUse = map[string]string{"aux": "aux", "state-output": "state"}

// checkValue: the feed or output must have the value, and the device what the
// value needs.
func (p *Profile) checkValue(name, value string, path []string) {
	family, _ := setting.Find(name)
	if parts, _ := family.Parts(name); len(parts) > 0 {
		if problem, bad := p.misfit(family.Pattern, parts[0], value); bad {
			p.fault(problem, path...)
		}
	}
	if lack := p.lacks(name, value); lack != "" {
		p.fault(source.Problem{Message: fmt.Sprintf("%s = %s needs %s, and the device has none", name, value, lack),
			Expected: "a table for it, or another value"}, path...)
	}
}

// misfit compares a value with the list of the feed or output it is for.
func (p *Profile) misfit(pattern, part, value string) (source.Problem, bool) {
	if pattern == "feed.NAME.role" {
		f, _ := p.Feed(part)
		return outside(value, f.Roles, "[feed."+part+"] roles")
	}
	o, _ := p.Output(part)
	return o.misfit(pattern, value)
}

func (o Output) misfit(pattern, value string) (source.Problem, bool) {
	table := "[output." + o.Name + "] "
	switch pattern {
	case "aux.N.behaviour":
		return outside(value, o.Behaviours, table+"behaviours")
	case "state-output.N.on":
		return outside(value, o.States, table+"states")
	case "aux.N.seconds":
		return outside(value, texts(o.Seconds), table+"seconds")
	case "aux.N.count":
		return outside(value, texts(o.Counts), table+"counts")
	}
	return source.Problem{}, false
}

// outside refuses a value that the part's own list does not have; an empty list
// says nothing.
func outside(value string, legal []string, where string) (source.Problem, bool) {
	if len(legal) == 0 || slices.Contains(legal, value) {
		return source.Problem{}, false
	}
	return source.Problem{Message: fmt.Sprintf("%s does not list %s", where, value), Expected: "one of " + list(legal),
		Found: fmt.Sprintf("%q", value), Nearest: source.Nearest(value, legal)}, true
}

func noPart(what, name string, all []string) source.Problem {
	return source.Problem{Message: fmt.Sprintf("the device has no %s %q", what, name), Expected: "one of " + list(all),
		Found: fmt.Sprintf("%q", name), Nearest: source.Nearest(name, all)}
}

func names[T any](all []T, name func(T) string) []string {
	var out []string
	for _, t := range all {
		out = append(out, name(t))
	}
	return out
}

func texts[T cmp.Ordered](all []T) []string {
	var out []string
	for _, n := range all {
		out = append(out, fmt.Sprint(n))
	}
	return out
}
