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
		p.claim(setBy, name, path)
		p.checkAssignment(name, p.Fixed[name], path)
	}
	if p.Exit != nil {
		p.checkExit()
	}
}

func (p *Profile) fault(problem source.Problem, path ...string) { p.Doc.Fault(problem, path...) }

// claim notes who sets a setting and refuses a second one.
func (p *Profile) claim(setBy map[string][]string, name string, path []string) {
	if first, taken := setBy[name]; taken {
		p.fault(source.Problem{Message: fmt.Sprintf("%s is set in two places", name),
			Expected: "one option, or one line under [fixed]", Also: []source.Pos{p.Doc.Where(first...)}}, path...)
		return
	}
	setBy[name] = path
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

// checkAddresses: two keyed options cannot stand at one place of the menus.
func (p *Profile) checkAddresses() {
	first := map[[2]int]string{}
	for _, o := range p.Options {
		if o.How != "keyed" {
			continue
		}
		at := [2]int{o.Bank, o.Item}
		if other, taken := first[at]; taken {
			p.fault(source.Problem{Message: fmt.Sprintf("bank %d item %d is taken by option %s", o.Bank, o.Item, other),
				Expected: "a place for each option", Also: []source.Pos{p.Doc.Where("option", other, "item")}}, "option", o.ID, "item")
			continue
		}
		first[at] = o.ID
	}
}

func (p *Profile) checkOption(o Option, setBy map[string][]string) {
	at := []string{"option", o.ID}
	if len(o.Values) < 2 {
		p.fault(source.Problem{Message: fmt.Sprintf("option %s has no choice", o.ID),
			Expected: "two values or more; what cannot be changed stands under [fixed]"}, at...)
		return
	}
	for _, name := range slices.Sorted(maps.Keys(o.Values[0].Is)) {
		p.claim(setBy, name, o.path(0, name))
	}
	seen := map[string]string{}
	for i, v := range o.Values {
		if !sameKeys(v.Is, o.Values[0].Is) {
			p.fault(source.Problem{Message: fmt.Sprintf("value %s of option %s sets other settings than value %s", v.Name, o.ID, o.Values[0].Name),
				Expected: list(slices.Sorted(maps.Keys(o.Values[0].Is))), Found: list(slices.Sorted(maps.Keys(v.Is)))}, o.path(i, "")...)
			continue
		}
		if twin, ok := seen[fmt.Sprint(v.Is)]; ok {
			p.fault(source.Problem{Message: fmt.Sprintf("values %s and %s of option %s mean the same", twin, v.Name, o.ID),
				Expected: "each value once"}, o.path(i, "")...)
		}
		seen[fmt.Sprint(v.Is)] = v.Name
		for _, name := range slices.Sorted(maps.Keys(v.Is)) {
			p.checkAssignment(name, v.Is[name], o.path(i, name))
		}
		p.checkMoves(o, i)
	}
}

// path is where a setting of the option's i-th value stands in the file; name
// "" is the value itself.
func (o Option) path(i int, name string) []string {
	if o.Written {
		if name == "" {
			return []string{"option", o.ID, "value", o.Values[i].Name}
		}
		return []string{"option", o.ID, "value", o.Values[i].Name, "is", name}
	}
	return []string{"option", o.ID, "values", fmt.Sprint(i)}
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

// checkAssignment: the parts a setting speaks of must exist and the device must
// be able to do what the value says.
func (p *Profile) checkAssignment(name, value string, path []string) {
	if value == "" {
		return
	}
	family, _ := setting.Find(name)
	if parts, ok := family.Parts(name); ok && len(parts) > 0 {
		if problem, bad := p.misfit(family.Pattern, parts[0], value); bad {
			p.fault(problem, path...)
			return
		}
	}
	if lack := p.lacks(name, value); lack != "" {
		p.fault(source.Problem{Message: fmt.Sprintf("%s = %s needs %s, and the device has none", name, value, lack),
			Expected: "a table for it, or another value"}, path...)
	}
}

// misfit compares an instance with the feed or output that it speaks of.
func (p *Profile) misfit(pattern, part, value string) (source.Problem, bool) {
	stem, _, _ := strings.Cut(pattern, ".")
	use := map[string]string{"aux": "aux", "state-output": "state"}[stem]
	switch {
	case pattern == "feed.NAME.role":
		f, ok := p.Feed(part)
		if !ok {
			return noPart("feed", part, names(p.Feeds, func(f Feed) string { return f.Name })), true
		}
		return outside(value, f.Roles, "[feed."+part+"] roles")
	case use != "":
		o, ok := p.Output(part)
		if !ok || o.Use != use {
			return noPart("output for "+use, part, names(p.Outputs, func(o Output) string { return o.Name })), true
		}
		return o.misfit(pattern, value)
	case stem == "remote":
		return source.Problem{Message: "gestures are taught to a remote and are no option of a device", Expected: "`teachable` in the remote's profile"}, true
	}
	return source.Problem{}, false
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
