package proof

import (
	"slices"

	"asleft/config/setting"
	"asleft/rules/base"
)

// effect is what an effect leaves of a group's choices.
func (g *group) effect(name string, e base.Effect) says {
	s := says{at: slices.Index(g.settings, name), effect: e, bound: e.Quantity != ""}
	if e.Verb == base.Prefer {
		for _, v := range e.Values {
			s.prefer = append(s.prefer, g.preferred(s.at, v)...)
		}
		return s
	}
	s.mask = g.passing(s.at, e, e.Number)
	return s
}

// passing are the choices that pass an effect, with a number for the bound.
func (g *group) passing(at int, e base.Effect, bound float64) uint64 {
	mask := uint64(0)
	for i, c := range g.choices {
		value := setting.Value(c[at])
		passes := false
		switch e.Verb {
		case base.Require, base.Only:
			passes = slices.Contains(e.Values, value)
		case base.Never:
			passes = !slices.Contains(e.Values, value)
		default:
			n, number := value.Number()
			passes = !number || (e.Verb == base.AtMost && n <= bound) || (e.Verb == base.AtLeast && n >= bound)
		}
		if passes {
			mask |= 1 << i
		}
	}
	return mask
}

// preferred are the choices of one preference: a value, or each number from one end.
func (g *group) preferred(at int, v setting.Value) []uint64 {
	if v != "largest" && v != "smallest" {
		return []uint64{g.mask(g.settings[at], []string{string(v)})}
	}
	var out []uint64
	for _, n := range g.numbers(at) {
		out = append(out, g.passing(at, base.Effect{Verb: base.AtMost}, n)&g.passing(at, base.Effect{Verb: base.AtLeast}, n)&^g.words(at))
	}
	if v == "largest" {
		slices.Reverse(out)
	}
	return out
}

// numbers are the numbers that a setting can be, the smallest first.
func (g *group) numbers(at int) []float64 {
	var out []float64
	for _, c := range g.choices {
		if n, ok := setting.Value(c[at]).Number(); ok {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// words are the choices in which a setting is no number.
func (g *group) words(at int) uint64 {
	mask := uint64(0)
	for i, c := range g.choices {
		if _, ok := setting.Value(c[at]).Number(); !ok {
			mask |= 1 << i
		}
	}
	return mask
}
