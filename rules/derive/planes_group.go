package derive

import (
	"math/bits"

	"asleft/rules/base"
)

// decide walks the levels of a group in all installs: walk.go in planes.
func (x *planes) decide(index int32) {
	g := x.p.groups[index]
	left := x.left[:len(g.choices)]
	for c := range left {
		left[c] = x.live
	}
	maybeNone := x.withoutMeaning(g)
	broken := uint64(0)
	i := 0
	for level := base.Safety; int(level) < levelCount; level++ {
		from := i
		for i < len(g.constraints) && g.constraints[i].level == level {
			i++
		}
		if i > from {
			broken |= x.level(g, left, broken, from, i, level)
		}
		copy(x.after[level], left)
	}
	mine := x.seen[x.at[g.v]:][:len(g.choices)]
	x.pick(g, left, mine)
	open := x.mayChange(g, mine) | maybeNone
	x.broken[index], x.unsure[index] = broken, open
	x.refused |= broken
	x.open |= open
	vague := open | broken
	for c := range mine {
		mine[c] = mine[c]&^vague | x.after[base.PolicyLimit][c]&vague&^maybeNone | maybeNone
	}
	copy(x.assumed[x.at[g.v]:], mine)
	x.look(g.v, x.seen, x.isSeen)
	copy(x.isWorst[x.from[g.v]:x.from[g.v+1]], x.isSeen[x.from[g.v]:])
}

// holds is the truth of what stands behind a constraint.
func (x *planes) holds(c *constraint) sliced {
	if c.rule < 0 {
		return sliced{x.live, x.live}
	}
	return x.truth[c.rule]
}

// withoutMeaning tells for each setting of the group in which installs it has no meaning, and where that is not known.
func (x *planes) withoutMeaning(g *group) (maybe uint64) {
	none := x.none[:len(g.settings)]
	clear(none)
	for i := range g.constraints {
		if c := &g.constraints[i]; c.none {
			t := x.holds(c)
			none[c.at] |= t.is
			maybe |= t.may &^ t.is
		}
	}
	return maybe
}

// maxSettings bounds the settings of one group.
const maxSettings = 64

// among are the installs in which one of the choices of the mask is left.
func among(left []uint64, mask uint64) uint64 {
	out := uint64(0)
	for m := mask; m != 0; m &= m - 1 {
		out |= left[bits.TrailingZeros64(m)]
	}
	return out
}

// narrow takes the choices outside the mask away, in the installs of where.
func narrow(left []uint64, mask, where uint64) {
	for c := range left {
		if mask&(1<<c) == 0 {
			left[c] &^= where
		}
	}
}

// level applies the constraints of one level and gives the installs in which a hard level, or two wishes, left nothing.
func (x *planes) level(g *group, left []uint64, broken uint64, from, to int, level base.Level) uint64 {
	before := x.after[level] // scratch until the level is done
	copy(before, left)
	for i := from; i < to; i++ {
		c := &g.constraints[i]
		if c.mere() {
			continue
		}
		where := x.holds(c).is &^ x.none[c.at] &^ broken
		if !level.Hard() {
			where &= among(before[:len(left)], c.mask)
		}
		narrow(left, c.mask, where)
	}
	empty := x.live &^ among(left, g.full)
	if empty != 0 {
		for c := range left {
			left[c] |= before[c] & empty
		}
		if !level.Hard() && level != base.Wish {
			x.oneByOne(g, left, broken, empty, from, to)
		}
	}
	if level.Hard() {
		broken |= empty
	}
	for i := from; i < to; i++ {
		c := &g.constraints[i]
		if c.prefer == nil {
			continue
		}
		where := x.holds(c).is &^ x.none[c.at] &^ broken
		for _, m := range c.prefer {
			here := where & among(left, m)
			narrow(left, m, here)
			where &^= here
		}
	}
	if level.Hard() || level == base.Wish {
		return empty
	}
	return 0
}

// oneByOne applies defaults that do not fit together in the order of their names.
func (x *planes) oneByOne(g *group, left []uint64, broken, where uint64, from, to int) {
	for i := from; i < to; i++ {
		if c := &g.constraints[i]; !c.mere() {
			narrow(left, c.mask, where&x.holds(c).is&^x.none[c.at]&^broken&among(left, c.mask))
		}
	}
}

// pick takes the factory choice where it is left, else the first.
func (x *planes) pick(g *group, left, mine []uint64) {
	taken := uint64(0)
	if g.factory != 0 {
		taken = left[bits.TrailingZeros64(g.factory)]
	}
	rest := x.live &^ taken
	for c := range left {
		mine[c] = left[c] & rest
		rest &^= left[c]
	}
	if g.factory != 0 {
		mine[bits.TrailingZeros64(g.factory)] |= taken
	}
}

// mayChange are the installs in which a rule of which nobody knows if it fires could change the pick.
func (x *planes) mayChange(g *group, mine []uint64) uint64 {
	open := uint64(0)
	for i := range g.constraints {
		c := &g.constraints[i]
		t := x.holds(c)
		maybe := t.may &^ t.is &^ x.none[c.at]
		if maybe == 0 || c.none {
			continue
		}
		if c.prefer != nil {
			open |= maybe & x.barsPreferred(g, c, mine)
			continue
		}
		bars := maybe & among(mine, g.full&^c.mask)
		if !c.level.Hard() {
			bars &= among(x.after[c.level-1][:len(g.choices)], c.mask)
		}
		open |= bars
	}
	return open
}

// barsPreferred are the installs in which the first preference that is left would not be the pick.
func (x *planes) barsPreferred(g *group, c *constraint, mine []uint64) uint64 {
	bars, rest := uint64(0), x.live
	after := x.after[c.level][:len(g.choices)]
	for _, m := range c.prefer {
		here := rest & among(after, m)
		bars |= here &^ among(mine, m)
		rest &^= here
	}
	return bars
}
