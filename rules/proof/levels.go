package proof

import (
	"cmp"
	"slices"

	"asleft/rules/base"
)

// voice is what one rule says of a group, whichever of its instances fires.
type voice struct {
	id     string
	level  base.Level
	fires  int // yes exactly when it is said, and its setting has a meaning
	mask   uint64
	prefer []uint64
}

// leftAtLast gives for each choice of a group a variable that is yes exactly when the choice is left after trade defaults. The levels
// are as package derive says: masks of a hard level hold together; those of a soft level that find nothing left are skipped, and where they
// do not fit together, they are taken by name; preferences come after the masks of their level.
func (x *inspection) leftAtLast(i int) []int {
	left := make([]int, len(x.groups[i].choices))
	for c := range left {
		left[c] = x.variable(yes)
	}
	voices := x.voices(i)
	for level := base.Safety; level <= base.TradeDefault; level++ {
		var masks, prefers []voice
		for _, v := range voices {
			switch {
			case v.level != level:
			case v.prefer != nil:
				prefers = append(prefers, v)
			default:
				masks = append(masks, v)
			}
		}
		if level.Hard() {
			left = x.together(left, masks, nil)
		} else {
			left = x.soft(left, masks)
		}
		for _, v := range prefers {
			left = x.preferring(left, v)
		}
	}
	return left
}

// voices are what the rules say of a group, in the order in which a level takes them. A number of the install that bounds a setting may
// be any: which of the setting's numbers pass is a choice of its own.
func (x *inspection) voices(i int) []voice {
	type key struct {
		id   string
		mask uint64
	}
	var order []key
	said := map[key]*formula{}
	prefers := map[key][]uint64{}
	levels := map[key]base.Level{}
	places := map[string]int{} // where a number of the install lies among those of the group
	note := func(s says, mask uint64, when formula) {
		k := key{s.rule.ID + " " + x.groups[i].settings[s.at], mask}
		if said[k] == nil {
			order = append(order, k)
			said[k], prefers[k], levels[k] = &formula{}, s.prefer, s.rule.Level
		}
		said[k].kids = append(said[k].kids, when)
	}
	for _, s := range x.says[i] {
		switch {
		case s.none:
		case s.bound:
			x.bounded(i, s, places, note)
		default:
			note(s, s.mask, x.firesFor(i, s))
		}
	}
	slices.SortStableFunc(order, func(a, b key) int { return cmp.Compare(a.id, b.id) })
	var out []voice
	for _, k := range order {
		out = append(out, voice{id: k.id, level: levels[k], fires: x.exactly(*said[k]), mask: k.mask, prefer: prefers[k]})
	}
	return out
}

// bounded notes a bound by a number of the install, once for each place at which the number can lie: on a number of the group, between two,
// or beyond all. The same number lies at one place for all settings of the group.
func (x *inspection) bounded(i int, s says, places map[string]int, note func(says, uint64, formula)) {
	g := x.groups[i]
	var lie []float64
	for at := range g.settings {
		for _, n := range g.numbers(at) {
			lie = append(lie, n-1e-6, n, n+1e-6)
		}
	}
	slices.Sort(lie)
	lie = slices.Compact(lie)
	if _, ok := places[s.effect.Quantity]; !ok {
		places[s.effect.Quantity] = x.variable(uint64(2)<<len(lie) - 1) // the last place: nobody knows the number, and nothing is said
	}
	for n, number := range lie {
		note(s, g.passing(s.at, s.effect, number), all(x.firesFor(i, s), literal(places[s.effect.Quantity], 1<<n)))
	}
}

// exactly is a variable that is yes if and only if a formula holds.
func (x *inspection) exactly(f formula) int {
	y := x.fresh()
	x.claim(f, lit(y, no))
	x.claim(x.not(f), lit(y, yes))
	return y
}

// anyOf is the formula that one of the choices of a mask is left.
func anyOf(left []int, mask uint64) formula {
	out := some()
	for c, v := range left {
		if mask&(1<<c) != 0 {
			out.kids = append(out.kids, literal(v, yes))
		}
	}
	return out
}

// together are the choices that pass all masks of which the rule fires and, where asked for, that leave something.
func (x *inspection) together(left []int, masks []voice, counts []int) []int {
	out := slices.Clone(left)
	for c := range left {
		passes := all(literal(left[c], yes))
		for k, m := range masks {
			switch {
			case m.mask&(1<<c) != 0:
			case counts != nil:
				passes.kids = append(passes.kids, literal(counts[k], no))
			default:
				passes.kids = append(passes.kids, literal(m.fires, no))
			}
		}
		if len(passes.kids) > 1 {
			out[c] = x.exactly(passes)
		}
	}
	return out
}

// soft is a soft level: what finds nothing left is skipped, and what does not fit together is taken one by one.
func (x *inspection) soft(left []int, masks []voice) []int {
	var counts []int
	for _, m := range masks {
		counts = append(counts, x.exactly(all(literal(m.fires, yes), anyOf(left, m.mask))))
	}
	joint := x.together(left, masks, counts)
	if len(masks) < 2 || masks[0].level == base.Wish { // wishes that do not fit together are a contradiction
		return joint
	}
	single := left
	for _, m := range masks {
		fits := x.exactly(all(literal(m.fires, yes), anyOf(single, m.mask)))
		single = x.together(single, []voice{m}, []int{fits})
	}
	fit := x.exactly(anyOf(joint, ^uint64(0)))
	out := make([]int, len(left))
	for c := range left {
		out[c] = x.exactly(some(all(literal(fit, yes), literal(joint[c], yes)), all(literal(fit, no), literal(single[c], yes))))
	}
	return out
}

// preferring takes the first preference that is left; where none is, everything.
func (x *inspection) preferring(left []int, v voice) []int {
	var there []int
	none := all()
	for _, m := range v.prefer {
		there = append(there, x.exactly(anyOf(left, m)))
		none.kids = append(none.kids, literal(there[len(there)-1], no))
	}
	out := make([]int, len(left))
	for c := range left {
		first := some(literal(v.fires, no), none)
		for k, m := range v.prefer {
			if m&(1<<c) == 0 {
				continue
			}
			way := all(literal(there[k], yes))
			for _, before := range there[:k] {
				way.kids = append(way.kids, literal(before, no))
			}
			first.kids = append(first.kids, way)
		}
		out[c] = x.exactly(all(literal(left[c], yes), first))
	}
	return out
}
