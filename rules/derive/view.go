package derive

import (
	"math/bits"
	"slices"

	"asleft/rules/base"
)

// view lets the sentences of rules be read against a state: the slow, plain way, for reasons.
type view struct {
	p       *program
	st      *state
	assumed bool // see what safety rules see
}

func (v view) vec() []uint64 {
	if v.assumed {
		return v.st.assumed
	}
	return v.st.seen
}

// Fact reads a fact out of the state.
func (v view) Fact(name string) (string, base.State) {
	i := v.p.byName[name]
	have := v.vec()[i]
	switch {
	case have == noMeaning:
		return "", base.NoMeaning
	case bits.OnesCount64(have) != 1:
		return "", base.NotKnown
	}
	return v.p.vars[i].fact.Domain[bits.TrailingZeros64(have)], base.Known
}

// Setting gives the values that a setting of the first device that has it may still get.
func (v view) Setting(name string) []string {
	g := v.p.first(name)
	if g == nil {
		return []string{""}
	}
	var out []string
	at := g.place(name)
	for have := v.vec()[g.v]; have != 0; have &= have - 1 {
		if value := string(g.choices[bits.TrailingZeros64(have)].values[at]); !slices.Contains(out, value) {
			out = append(out, value)
		}
	}
	return out
}

// Can reports whether a device has the value.
func (v view) Can(name, value string) base.Truth {
	return base.If(v.p.can(name, []string{value}))
}

// Instances are those of a kind.
func (v view) Instances(kind string) []string { return v.p.facts.InstancesOf(kind) }

// reasons are the facts that make a condition come out as it does: those of every line of "all" and "none", and
// of the first true line of "any". For a condition that is unknown they are the facts that are missing.
func (v view) reasons(c base.Condition, instance string) []FactRef {
	truth := c.Eval(v, instance)
	var out []FactRef
	add := func(l *base.Line) {
		if truth == base.Unknown && l.Eval(v, instance) != base.Unknown {
			return
		}
		out = v.leaves(out, l, instance)
	}
	for _, l := range c.All {
		add(l)
	}
	for _, l := range c.Any {
		if truth == base.Unknown {
			add(l)
		} else if l.Eval(v, instance) == base.True {
			add(l)
			break
		}
	}
	for _, l := range c.None {
		add(l)
	}
	return out
}

// leaves appends the facts and settings that a line reads, each once.
func (v view) leaves(out []FactRef, l *base.Line, instance string) []FactRef {
	if l.Subject != base.OfKind {
		return v.leaf(out, l, instance)
	}
	for _, i := range v.Instances(l.Kind) {
		holds := base.True
		for _, in := range l.Inner {
			holds = min(holds, in.Eval(v, i))
		}
		if l.Over == base.Some && holds == base.False {
			continue
		}
		for _, in := range l.Inner {
			out = v.leaf(out, in, i)
		}
		if l.Over == base.Some && holds == base.True {
			break
		}
	}
	return out
}

func (v view) leaf(out []FactRef, l *base.Line, instance string) []FactRef {
	name := base.Fill(l.Name, instance)
	var ref FactRef
	switch l.Subject {
	case base.OfFact:
		ref = v.factRef(name)
	case base.OfSetting:
		ref = FactRef{Name: "setting " + name}
		if values := v.Setting(name); len(values) == 1 {
			ref.Value = values[0]
		}
	case base.OfCan:
		ref = FactRef{Name: "can set " + name, Value: map[bool]string{true: "no", false: "yes"}[l.Not]}
	}
	for _, have := range out {
		if have.Name == ref.Name && have.Value == ref.Value {
			return out
		}
	}
	return append(out, ref)
}

// factRef is a fact as the view sees it, with the place where it was said.
func (v view) factRef(name string) FactRef {
	r := v.p.facts.Read(name)
	value, _ := v.Fact(name)
	return FactRef{
		Name: name, Value: value, Title: r.Type.Title, Pos: r.Pos,
		Assumed: v.assumed && r.State == base.NotKnown && value != "",
	}
}
