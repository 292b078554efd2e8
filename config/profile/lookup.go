package profile

import (
	"slices"
	"sort"
	"strings"

	"asleft/config/setting"
)

// Feed returns the feed of that name.
func (p *Profile) Feed(name string) (Feed, bool) {
	return find(p.Feeds, func(f Feed) bool { return f.Name == name })
}

// Output returns the output of that name.
func (p *Profile) Output(name string) (Output, bool) {
	return find(p.Outputs, func(o Output) bool { return o.Name == name })
}

// Channel returns the channel of that number.
func (p *Profile) Channel(number int) (Channel, bool) {
	return find(p.Channels, func(c Channel) bool { return c.Number == number })
}

// Option returns the option of that id.
func (p *Profile) Option(id string) (Option, bool) {
	return find(p.Options, func(o Option) bool { return o.ID == id })
}

// Link returns the link of that form.
func (p *Profile) Link(form string) (Link, bool) {
	return find(p.Links, func(l Link) bool { return l.Form == form })
}

// Gesture returns the gesture of that id.
func (p *Profile) Gesture(id string) (Gesture, bool) {
	return find(p.Gestures, func(g Gesture) bool { return g.ID == id })
}

// Value returns the position of that name and its place, counted from 0; -1
// when the option has none.
func (o Option) Value(name string) (OptionValue, int) {
	i := slices.IndexFunc(o.Values, func(v OptionValue) bool { return v.Name == name })
	if i < 0 {
		return OptionValue{}, -1
	}
	return o.Values[i], i
}

// OptionFor returns the option that sets the setting.
func (p *Profile) OptionFor(name string) (Option, bool) {
	return find(p.Options, func(o Option) bool {
		return len(o.Values) > 0 && o.Values[0].Is[name] != ""
	})
}

// Values returns what the setting can be on this device: the values of its
// option in the order of the device, each once, or the one fixed value. None
// when the device does not know the setting.
func (p *Profile) Values(name string) []setting.Value {
	if v, ok := p.Fixed[name]; ok {
		return []setting.Value{setting.Value(v)}
	}
	o, ok := p.OptionFor(name)
	if !ok {
		return nil
	}
	var out []setting.Value
	for _, v := range o.Values {
		if value := setting.Value(v.Is[name]); !slices.Contains(out, value) {
			out = append(out, value)
		}
	}
	return out
}

// Settings returns the names of all settings that the device has an option for
// or works by, in the order of listings.
func (p *Profile) Settings() []string {
	var names []string
	for name := range p.Fixed {
		names = append(names, name)
	}
	for _, o := range p.Options {
		if len(o.Values) > 0 {
			for name := range o.Values[0].Is {
				names = append(names, name)
			}
		}
	}
	sort.Slice(names, func(i, j int) bool { return setting.Less(names[i], names[j]) })
	return slices.Compact(names)
}

// Factory returns the value of each setting as the device leaves its maker,
// fixed ones included.
func (p *Profile) Factory() map[string]setting.Value {
	out := map[string]setting.Value{}
	for name, v := range p.Fixed {
		out[name] = setting.Value(v)
	}
	for _, o := range p.Options {
		v, _ := o.Value(o.Factory)
		for name, value := range v.Is {
			out[name] = setting.Value(value)
		}
	}
	return out
}

// Reads reports whether the device has an input for the signal.
func (p *Profile) Reads(signal string) bool {
	return slices.ContainsFunc(p.Inputs, func(i Input) bool { return i.Signal == signal })
}

// Hears reports whether some link form carries the signal to the controller.
func (p *Profile) Hears(signal string) bool {
	return slices.ContainsFunc(p.Links, func(l Link) bool { return slices.Contains(l.ToController, signal) })
}

// Commands reports whether some link form carries the command to the vehicle.
func (p *Profile) Commands(command string) bool {
	return slices.ContainsFunc(p.Links, func(l Link) bool { return slices.Contains(l.ToVehicle, command) })
}

// HasUse reports whether the device has an output for the use.
func (p *Profile) HasUse(use string) bool {
	return slices.ContainsFunc(p.Outputs, func(o Output) bool { return o.Use == use })
}

func find[T any](all []T, is func(T) bool) (T, bool) {
	if i := slices.IndexFunc(all, is); i >= 0 {
		return all[i], true
	}
	var none T
	return none, false
}

// list joins words for a message.
func list(words []string) string { return strings.Join(words, ", ") }
