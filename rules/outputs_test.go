package rules

import (
	"slices"
	"strings"
	"testing"

	"asleft/config/profile"
	"asleft/config/setting"
	"asleft/rules/assign"
	"asleft/rules/derive"
	"asleft/rules/keying"
)

// What the button plan asks of outputs and gestures is what the second pass comes to, and what has to be changed for
// it stands on a card: keyed, or by hand where it is a strap or entered by cable.
func TestOutputsOfThePlanAreDerivedAndKeyed(t *testing.T) {
	kinds := map[string]int{}
	for _, name := range goodJobs {
		out := resolve(t, name+".toml", Options{})
		for _, d := range out.Plan.Demands {
			got, ok := out.Derived.Get(d.Key)
			if !ok || got.Value != d.Value {
				t.Errorf("%s: %s is %q, the plan asks for %q", name, d.Key, got.Value, d.Value)
				continue
			}
			if property, ok := strings.CutPrefix(d.Setting, "aux."); ok {
				kinds[property[strings.Index(property, ".")+1:]]++
			}
			if got.Action != derive.Leave && got.Action != derive.Fixed && !out.carded(d.Key, d.Value) {
				t.Errorf("%s: %s = %s has to be changed (%s), and no card says so", name, d.Key, d.Value, got.Action)
			}
		}
	}
	for _, property := range []string{"behaviour", "seconds", "count", "when", "disarm-first", "unlock-first", "ends-with", "at-start", "at-start.below"} {
		if kinds[property] == 0 {
			t.Errorf("no demo job asks for aux.N.%s", property)
		}
	}
}

// carded reports whether a card brings a setting to a value: a keyed option as the card leaves it, or one set by hand.
// A gesture is taught on the remote itself, and the plan says so.
func (o *Outcome) carded(key setting.Key, to setting.Value) bool {
	d := o.Devices[slices.IndexFunc(o.Devices, func(d Device) bool { return d.Name == key.Device })]
	if d.Profile.Kind == profile.Remote {
		return d.Profile.Teach != "" && slices.ContainsFunc(o.Plan.Rows, func(r assign.Row) bool {
			return r.Teach && setting.Instance("remote.R.gesture.G", r.Remote, r.Gesture) == key.Setting
		})
	}
	option, _ := d.Profile.OptionFor(key.Setting)
	for _, c := range o.Cards {
		for _, held := range c.End {
			if c.Device == d.Name && held.Option == option.ID && option.Values[held.Value].Is[key.Setting] == string(to) {
				return true
			}
		}
		for _, h := range slices.Concat(c.Straps, c.Cable, c.Learned) {
			if c.Device == d.Name && slices.ContainsFunc(h.Settings, func(c keying.Change) bool { return c.Key == key && c.To == to }) {
				return true
			}
		}
	}
	return false
}
