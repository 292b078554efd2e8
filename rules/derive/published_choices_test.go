package derive

import (
	"math/bits"
	"slices"
	"testing"

	"asleft/config/setting"
	"asleft/rules/base"
)

// Source: the T-shirt of Hadzic and others (2004) and Andersen (remembered, counts computed): MIB needs black, small bars STW; of 24
// combinations a device can express 11. After one wish so many are left, and so many values of each setting: the walk of the levels
// must leave just those.
func TestPublishedChoices(t *testing.T) {
	shirt := &group{virtual: true, settings: []string{"colour", "size", "print"}}
	for _, colour := range []setting.Value{"black", "white", "red", "blue"} {
		for _, size := range []setting.Value{"small", "medium", "large"} {
			for _, print := range []setting.Value{"MIB", "STW"} {
				if (print != "MIB" || colour == "black") && (size != "small" || print != "STW") {
					shirt.choices = append(shirt.choices, choice{values: []setting.Value{colour, size, print}})
				}
			}
		}
	}
	shirt.full = bitsBelow(len(shirt.choices))
	for _, c := range []struct {
		setting string
		value   setting.Value
		left    int
		values  []int // of colour, size and print
	}{
		{"", "", 11, []int{4, 3, 2}}, {"size", "small", 1, []int{1, 1, 1}}, {"colour", "white", 2, []int{1, 2, 1}},
		{"print", "MIB", 3, []int{1, 3, 1}}, {"size", "large", 5, []int{4, 1, 2}},
	} {
		shirt.constraints = nil
		if at := shirt.place(c.setting); at >= 0 {
			mask := shirt.mask(at, func(v setting.Value) bool { return v == c.value })
			shirt.constraints = []constraint{{level: base.Wish, rule: -1, at: at, mask: mask}}
		}
		p := &program{groups: []*group{shirt}, order: []int32{0}, vars: []variable{{full: shirt.full}}}
		st := p.newState()
		p.decide(st, 0)
		after := st.groups[0].after[base.TradeDefault]
		var values []int
		for at := range shirt.settings {
			values = append(values, count(shirt, at, after))
		}
		if got := bits.OnesCount64(after); got != c.left || !slices.Equal(values, c.values) {
			t.Errorf("%s %s: %d choices with %v values, want %d with %v", c.setting, c.value, got, values, c.left, c.values)
		}
	}
}
