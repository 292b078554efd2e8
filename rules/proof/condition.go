package proof

import (
	"slices"

	"asleft/rules/base"
)

// rail says which of two questions is asked of a condition in Kleene's logic: whether it is certainly true, or whether it is not
// certainly false.
type rail bool

const (
	certain  rail = false
	possible rail = true
)

// condition is the formula that a condition is true, or may be.
func (w *world) condition(c base.Condition, instance string, v view, r rail) formula {
	out := all()
	for _, l := range c.All {
		out.kids = append(out.kids, w.line(l, instance, v, r))
	}
	if len(c.Any) > 0 {
		any := some()
		for _, l := range c.Any {
			any.kids = append(any.kids, w.line(l, instance, v, r))
		}
		out.kids = append(out.kids, any)
	}
	for _, l := range c.None {
		out.kids = append(out.kids, w.not(w.line(l, instance, v, !r)))
	}
	return out
}

// line is one sentence.
func (w *world) line(l *base.Line, instance string, v view, r rail) formula {
	switch l.Subject {
	case base.OfKind:
		return w.over(l, v, r)
	case base.OfCan:
		return w.can(base.Fill(l.Name, instance), l)
	case base.OfSetting:
		if v == actual {
			return w.held(base.Fill(l.Name, instance), l)
		}
		return w.setting(base.Fill(l.Name, instance), l, r)
	}
	f := w.fact(base.Fill(l.Name, instance))
	at := f.at[v]
	mask := uint64(0)
	for i, word := range f.kind.Domain {
		if slices.Contains(l.Values, word) {
			mask |= 1 << i
		}
	}
	if l.Not {
		mask = w.problem.Domains[at] &^ mask &^ notKnown
	}
	if r == possible {
		mask |= notKnown & w.problem.Domains[at]
	}
	return literal(at, mask)
}

// over is a sentence about the instances of a kind. Openings, circuits and functions may be there or not.
func (w *world) over(l *base.Line, v view, r rail) formula {
	asked := r
	if l.Over == base.No || l.Over == base.AtMostOne {
		asked = !r
	}
	var each []formula // there, and its lines hold; for every: not there, or they hold
	for _, instance := range w.instancesOf(l.Kind) {
		inner := all()
		for _, in := range l.Inner {
			inner.kids = append(inner.kids, w.line(in, instance, v, asked))
		}
		each = append(each, w.present(l.Kind, instance, inner, l.Over == base.Every))
	}
	switch l.Over {
	case base.Every:
		return all(each...)
	case base.Some:
		return some(each...)
	case base.No:
		return w.not(some(each...))
	}
	two := some()
	for i := range each {
		for j := range each[:i] {
			two.kids = append(two.kids, all(each[i], each[j]))
		}
	}
	return w.not(two)
}

func (w *world) present(kind, instance string, f formula, every bool) formula {
	there, ok := w.there[kind+" "+instance]
	switch {
	case !ok:
		return f
	case every:
		return some(literal(there, no), f)
	}
	return all(literal(there, yes), f)
}

// can asks what a device can set.
func (w *world) can(name string, l *base.Line) formula {
	if w.free {
		any := some()
		for _, value := range l.Values {
			if able, ok := w.able[name+" to "+value]; ok {
				any.kids = append(any.kids, literal(able, yes))
			}
		}
		if l.Not {
			return w.not(any)
		}
		return any
	}
	has := false
	for _, i := range w.home[name] {
		g := w.groups[i]
		has = has || !g.virtual && g.mask(name, l.Values) != 0
	}
	return truth(has != l.Not)
}

// mask are the choices in which a setting has one of the values.
func (g *group) mask(name string, values []string) uint64 {
	at, out := slices.Index(g.settings, name), uint64(0)
	for i, c := range g.choices {
		if slices.Contains(values, c[at]) {
			out |= 1 << i
		}
	}
	return out
}

// setting asks what rules read of a setting: that of the first device that has it. What the button plan decides comes later and is
// not known; what nobody decides has no value.
func (w *world) setting(name string, l *base.Line, r rail) formula {
	homes := w.home[name]
	switch {
	case base.OfPlan(name):
		return truth(r == possible)
	case len(homes) == 0:
		return truth(l.Not)
	}
	return w.value(w.read[homes[0]], w.groups[homes[0]].mask(name, l.Values), l.Not, r)
}

func (w *world) value(v int, mask uint64, not bool, r rail) formula {
	if not {
		mask = w.problem.Domains[v] &^ mask &^ notKnown
	}
	if r == possible {
		mask |= notKnown & w.problem.Domains[v]
	}
	return literal(v, mask)
}

// held asks whether a device of the install holds such a value; what no device has, none holds. Where safety itself leaves a device no value,
// the part is refused for this device and stays unjoined, whatever the device holds.
func (w *world) held(name string, l *base.Line) formula {
	any := some()
	for _, i := range w.home[name] {
		if w.groups[i].virtual {
			continue
		}
		one := all(w.value(w.pick[i], w.groups[i].mask(name, l.Values), l.Not, certain), literal(w.refused[i], no))
		if w.free {
			one = all(one, literal(w.has[name], yes))
		}
		any.kids = append(any.kids, one)
	}
	return any
}
