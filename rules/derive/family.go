package derive

import (
	"cmp"
	"strings"
	"sync"

	"asleft/config/setting"
)

// familyOf finds the family of a setting by its name, and its place in the vocabulary. It is setting.Find with an index:
// a derivation asks some hundred times.
func familyOf(name string) (setting.Family, int, bool) {
	x := families()
	if i, ok := x.exact[name]; ok {
		return x.list[i], i, true
	}
	for _, i := range x.open {
		if !strings.HasPrefix(name, x.begins[i]) {
			continue
		}
		if _, ok := x.list[i].Parts(name); ok {
			return x.list[i], i, true
		}
	}
	return setting.Family{}, len(x.list), false
}

type familyIndex struct {
	list  []setting.Family
	exact map[string]int // by pattern; for most families that is the only name
	open  []int          // families with a variable part

	begins []string // of each family: its pattern up to the first variable part
}

var families = sync.OnceValue(func() familyIndex {
	x := familyIndex{list: setting.Families(), exact: map[string]int{}}
	for i, f := range x.list {
		x.exact[f.Pattern] = i
		x.begins = append(x.begins, f.Pattern[:len(f.Pattern)-len(strings.TrimLeftFunc(f.Pattern, func(r rune) bool { return r < 'A' || r > 'Z' }))])
		if f.Pattern != strings.ToLower(f.Pattern) {
			x.open = append(x.open, i)
		}
	}
	return x
})

// compareSettings is the listing order of settings, as setting.Compare has it.
func compareSettings(a, b string) int {
	if a == b {
		return 0
	}
	_, i, _ := familyOf(a)
	_, j, _ := familyOf(b)
	if c := cmp.Compare(i, j); c != 0 {
		return c
	}
	return setting.Compare(a, b)
}
